"""Font files, fallback chains and what happens when a glyph or a file is missing."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from importlib.util import find_spec

import pytest
from text_samples import SAMPLES, set_text

from docbuilder.document.blocks import Run
from docbuilder.text import MissingFont, MissingGlyph, font_files, fonts, layout

FILES = font_files.FONT_FILES
INSTALLED = [name for name, file in FILES.items() if find_spec(file.module) is not None]


def test_only_the_extra_may_be_absent() -> None:
    assert {FILES[name].extra for name in set(FILES) - set(INSTALLED)} <= {"cjk"}


@pytest.mark.parametrize("name", INSTALLED)
def test_file_is_the_recorded_one(name: str) -> None:
    file = FILES[name]
    assert hashlib.sha256(file.locate().read_bytes()).hexdigest() == file.sha256


@pytest.mark.parametrize("name", INSTALLED)
def test_weight_can_be_pinned(name: str) -> None:
    axes = {axis.tag: axis for axis in fonts.font(name).face.axis_infos}
    assert axes["wght"].min_value <= fonts.REGULAR
    assert axes["wght"].max_value >= fonts.BOLD


# The letters that each language writes with, from CLDR's exemplar characters as we use them.
NEEDED = {
    "en": "abcxyzABCXYZ0123456789", "vi": "ăâđêôơưạảấầẩẫậắằẳẵặẹẻẽếềểễệỉịọỏốồổỗộớờởỡợụủứừửữựỳỵỷỹ",
    "ro": "ăâîșțĂÂÎȘȚ", "pl": "ąćęłńóśźż", "ru": "абвгдеёжзийклмнопрстуфхцчшщъыьэюя",
    "el": "αβγδεζηθικλμνξοπρστυφχψωάέήίόύώϊϋΐΰ", "fil": "ñÑ", "pt": "ãõçáéíóúâêô", "fr": "éèêëçœæ",
    "ar": "ءآأؤإئابةتثجحخدذرزسشصضطظعغفقكلمنهوىيًٌٍَُِّْ؟،؛٠١٢٣٤٥٦٧٨٩", "ur": "ٹڈڑںھہۂۓےکگچپژ۔ئؤۃ۰۱۲۳۴۵۶۷۸۹",
    "hi": "अआइईउऊऋएऐओऔकखगघचछजझटठडढणतथदधनपफबभमयरलवशषसहक़ख़ग़ज़ड़ढ़फ़ािीुूृेैोौंँः्।०१२३४५६७८९",
    "bn": "অআইঈউঊঋএঐওঔকখগঘঙচছজঝঞটঠডঢণতথদধনপফবভমযরলশষসহড়ঢ়য়ৎািীুূৃেৈোৌংঁঃ্০১২৩৪৫৬৭৮৯।",
    "pa": "ੳਅੲਸਹਕਖਗਘਙਚਛਜਝਞਟਠਡਢਣਤਥਦਧਨਪਫਬਭਮਯਰਲਵੜਸ਼ਖ਼ਗ਼ਜ਼ਫ਼ਲ਼ਾਿੀੁੂੇੈੋੌੰਂੱ੍੦੧੨੩੪੫੬੭੮੯।",
    "he": "אבגדהוזחטיכךלמםנןסעפףצץקרשת", "th": "กขคงจฉชซญฎฏฐฑฒณดตถทธนบปผฝพฟภมยรลวศษสหฬอฮะัาำิีึืุูเแโใไ็่้๊๋์",
}  # fmt: skip


@pytest.mark.parametrize("language", NEEDED)
@pytest.mark.parametrize("bold", [False, True])
def test_letters_and_signs_of_each_language_are_there(language: str, bold: bool) -> None:
    signs = "✓☐☑≥≤→±×µ°–—“”‘’•…§½"
    for character in NEEDED[language] + signs:
        assert fonts.chain(language, bold).choose(character, None) is not None, character


@pytest.mark.parametrize("language", NEEDED)
def test_a_name_in_any_script_stands_in_any_page(language: str) -> None:
    for other, letters in NEEDED.items():
        choice = fonts.chain(language).choose(letters[0], None)
        assert choice is not None, (language, other)


def test_script_of_the_language_leads_and_punctuation_stays_with_its_word() -> None:
    chain = fonts.chain("hi")
    assert [font.name for font in chain.fonts[:2]] == ["devanagari", "latin"]
    word = chain.choose("क", None)
    assert chain.choose("।", word) is word
    assert chain.choose("(", word) is word
    assert chain.choose("7", word).name == "latin", "figures look alike in every language"


def test_missing_glyph_names_the_characters_and_not_the_text() -> None:
    with pytest.raises(MissingGlyph) as caught:
        set_text("Maria K. lives in \U00012000 or \x07 town", "en")
    assert set(caught.value.characters) == {"\U00012000", "\x07"}
    assert "U+12000 CUNEIFORM SIGN A" in str(caught.value)
    assert "Maria" not in str(caught.value)


def test_absent_package_names_its_remedy(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, file in FILES.items():
        if file.extra == "cjk":
            monkeypatch.setitem(FILES, name, replace(file, module="no_such_module"))
    fonts.chain.cache_clear()
    fonts.font.cache_clear()
    try:
        with pytest.raises(MissingFont, match=r'pip install "docbuilder\[cjk\]"'):
            layout((Run("医院很好"),), language="zh", rtl=False, width_pt=100, size_pt=12)
        with pytest.raises(MissingGlyph, match=r'U\+697D .*pip install "docbuilder\[cjk\]"'):
            layout((Run("name 楽"),), language="en", rtl=False, width_pt=100, size_pt=12)
    finally:
        fonts.chain.cache_clear()
        fonts.font.cache_clear()


def test_file_of_another_size_is_refused() -> None:
    changed = replace(FILES["latin"], size=FILES["latin"].size + 1)
    with pytest.raises(MissingFont, match="manimgx-fonts"):
        changed.locate()


@pytest.mark.parametrize("language", SAMPLES)
def test_no_missing_glyph_is_ever_drawn(language: str) -> None:
    block = set_text(SAMPLES[language], language)
    glyphs = {
        part.glyph
        for line in block.lines
        for item in line.items
        for cluster in item.word.clusters
        for part in cluster.parts
    }
    assert glyphs
    assert 0 not in glyphs
