"""Shaping compared with HarfBuzz called directly on the whole word."""

from __future__ import annotations

import io
from itertools import pairwise

import pytest
import uharfbuzz as hb
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from text_samples import RTL, SAMPLES, set_text

from docbuilder.document.blocks import Run
from docbuilder.text import fonts
from docbuilder.text.items import prepare
from docbuilder.text.shaping import Word, shape

Placed = list[tuple[int, int, int]]


def placed(word: Word) -> Placed:
    """Glyphs of a word with their positions, left to right as HarfBuzz gives them."""
    clusters = sorted(word.clusters, key=lambda cluster: cluster.start, reverse=word.rtl)
    return [
        (part.glyph, cluster.x + part.dx, part.dy) for cluster in clusters for part in cluster.parts
    ]


def by_harfbuzz(name: str, weight: int, text: str, rtl: bool, language: str) -> Placed:
    face = hb.Face(hb.Blob.from_file_path(str(fonts.FONT_FILES[name].locate())))
    font = hb.Font(face)
    font.set_variations({"wght": weight})
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if rtl else "ltr"
    buffer.language = language
    hb.shape(font, buffer)
    found, pen = [], 0
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        found.append((info.codepoint, pen + place.x_offset, place.y_offset))
        pen += place.x_advance
    return found


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("language", SAMPLES)
def test_words_have_harfbuzz_glyphs_at_harfbuzz_places(language: str, bold: bool) -> None:
    block = set_text(SAMPLES[language], language, bold=bold)
    words = [item.word for line in block.lines for item in line.items]
    assert len(words) > 3
    for word in words:
        weight = 700 if bold else 400
        expected = by_harfbuzz(word.font.name, weight, word.text, word.rtl, language)
        unit = word.font.face.upem / 1000
        assert [(g, round(x * unit), y) for g, x, y in placed(word)] == expected, word.text


def test_arabic_letters_take_their_joining_forms() -> None:
    """Same letter, four forms; told by the names that the font itself gives its glyphs."""
    order = TTFont(io.BytesIO(fonts.FONT_FILES["arabic"].locate().read_bytes())).getGlyphOrder()
    forms = {}
    for form, text in {"alone": "ع", "init": "عب", "medi": "بعب", "fina": "بع"}.items():
        word = shape(fonts.font("arabic"), text, True, "ar")
        clusters = {cluster.text: cluster for cluster in word.clusters}
        forms[form] = order[clusters["ع"].parts[0].glyph]
    assert len(set(forms.values())) == 4
    for form in ("init", "medi", "fina"):
        assert forms[form].endswith("." + form), forms


def test_letters_join_where_only_the_style_changes() -> None:
    whole = shape(fonts.font("arabic"), "بيت", True, "ar")
    runs = (Run("ب"), Run("ي", link="tel:1"), Run("ت"))
    items = [item for part in prepare(runs, "ar", True).stretches for item in part.items]
    assert [item.run for item in items] == [0, 1, 2]
    split = [
        part.glyph for item in items for cluster in item.word.clusters for part in cluster.parts
    ]
    assert split == [part.glyph for cluster in whole.clusters for part in cluster.parts]


def test_language_chooses_its_own_forms() -> None:
    """Urdu figures four, six and seven differ from Persian ones in the same characters."""
    digits = "۴۶۷"
    urdu = shape(fonts.font("arabic"), digits, False, "ur")
    persian = shape(fonts.font("arabic"), digits, False, "fa")
    assert placed(urdu) != placed(persian)


JOINERS = "\u200c\u200d"
letters = st.sampled_from("aé̂ fil-ﬁبتعـًّلاאָ٣क्षिय़র্কোੳਸ਼้กีȚ漢한ㄱ\u200d\u200c")


@given(st.text(letters, min_size=1, max_size=12), st.booleans())
def test_clusters_spell_the_word(text: str, rtl: bool) -> None:
    for start, end in pairwise(
        sorted({0, len(text), *(i for i, c in enumerate(text) if c == " ")})
    ):
        part = text[start:end]
        for chosen in {fonts.chain("ar").choose(character, None) for character in part} - {None}:
            covered = "".join(c for c in part if chosen.has(c))
            if covered:
                word = shape(chosen, covered, rtl, "ar")
                spelled = "".join(cluster.text for cluster in word.clusters)
                # Joiners alone draw nothing.
                assert spelled == covered or (not spelled and set(covered) <= set(JOINERS))
                starts = [cluster.start for cluster in word.clusters]
                assert starts == sorted(starts)


def test_right_to_left_sample_languages_are_shaped_right_to_left() -> None:
    for language in RTL:
        block = set_text(SAMPLES[language], language)
        first = block.lines[0].items[0]
        assert first.word.rtl
        assert first.level == 1
