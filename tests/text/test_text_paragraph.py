"""Lines: filling, breaking, alignment, vertical room."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from text_samples import RTL, SAMPLES, set_text

from docbuilder.document.blocks import Run
from docbuilder.text import layout, min_width, natural_width
from docbuilder.text.items import drawn_text
from docbuilder.text.linebreak import breaks
from docbuilder.text.metrics import least_leading

WORDS = [word for text in SAMPLES.values() for word in text.split()]
pieces = st.one_of(
    st.sampled_from(WORDS),
    st.sampled_from([" ", "  ", "\n", "\u00a0", "\u200b", "\u2060", "\u2067", "\u2068", "\u2069",
                     "\u200f", "-", "/", "(", ")", "10", "3.5", ",", "—"]),
    st.text("abcdefgالعربية漢字한글हिन्दी", min_size=1, max_size=40),
)  # fmt: skip
texts = st.lists(pieces, max_size=14).map("".join)
runs_of_text = st.lists(
    st.builds(
        Run, texts, st.booleans(), st.sampled_from([None, "tel:1"]),
        st.sampled_from([None, "en", "ar", "ur", "hi"]),
    ),
    max_size=4,
).map(tuple)  # fmt: skip


@settings(
    max_examples=250,
    deadline=timedelta(seconds=5),
    suppress_health_check=[HealthCheck.too_slow],
)
@given(runs_of_text, st.booleans(), st.floats(100, 400), st.sampled_from([9.0, 12.0, 18.0]))
def test_lines_never_exceed_the_width_and_keep_the_text(
    runs: tuple[Run, ...], rtl: bool, width: float, size: float
) -> None:
    block = layout(runs, language="ar" if rtl else "en", rtl=rtl, width_pt=width, size_pt=size)
    source = drawn_text("".join(run.text for run in runs))
    assert "".join(line.text for line in block.lines) == source
    unit = size / 1000
    for number, line in enumerate(block.lines):
        assert line.width * unit <= width + unit
        left = block.left_pt(number)
        assert left >= -unit
        assert left + block.line_width_pt(number) <= width + unit
        # The items of a line tile it without gap or overlap.
        edges = sorted(
            (place, place + item.word.width)
            for item, place in zip(line.items, line.places, strict=True)
        )
        assert all(end == start for (_, end), (start, _) in pairwise(edges))
        if edges:
            assert (edges[0][0], edges[-1][1]) == (0, line.width)
    assert block.height_pt == pytest.approx(block.leading_pt * len(block.lines))
    options = {"language": block.language, "rtl": rtl, "size_pt": size}
    assert min_width(runs, **options) <= natural_width(runs, **options) + unit
    if min_width(runs, **options) <= width:
        assert not block.forced


@given(runs_of_text, st.booleans())
@settings(max_examples=100, deadline=timedelta(seconds=5))
def test_natural_width_holds_the_text_and_no_less_does(runs: tuple[Run, ...], rtl: bool) -> None:
    options = {"language": "ar" if rtl else "en", "rtl": rtl, "size_pt": 12.0}
    wide = layout(runs, width_pt=1e6, **options)
    natural = natural_width(runs, **options)
    assert natural == pytest.approx(max(wide.line_width_pt(n) for n in range(len(wide.lines))))
    if natural > 30:
        assert len(layout(runs, width_pt=natural, **options).lines) == len(wide.lines)


def test_a_word_too_wide_is_parted_and_told() -> None:
    block = set_text("x Donaudampfschifffahrtsgesellschaft y", "en", width_pt=100.0)
    assert block.forced
    assert [line.forced for line in block.lines] == [False, True, True, False]
    assert not set_text("short words only", "en", width_pt=100.0).forced
    with pytest.raises(ValueError, match="single character"):
        set_text("word", "en", width_pt=2.0)


def test_a_parted_arabic_word_keeps_joining_forms() -> None:
    word = "والمستشفيات" * 3
    block = set_text(word, "ar", width_pt=60.0)
    assert block.forced
    whole = set_text(word, "ar", width_pt=1000.0)

    def glyphs(lines: tuple) -> list[int]:  # type: ignore[type-arg]
        return [
            part.glyph
            for line in lines
            for item in line.items
            for cluster in item.word.clusters
            for part in cluster.parts
        ]

    assert glyphs(block.lines) == glyphs(whole.lines)


@pytest.mark.parametrize(
    ("rtl", "align", "edge"),
    [(False, "start", 0.0), (False, "end", 1.0), (True, "start", 1.0), (True, "end", 0.0),
     (False, "centre", 0.5), (True, "centre", 0.5)],
)  # fmt: skip
def test_alignment(rtl: bool, align: str, edge: float) -> None:
    block = layout((Run("abc"),), language="en", rtl=rtl, width_pt=200, size_pt=10, align=align)
    room = 200 - block.line_width_pt(0)
    assert block.left_pt(0) == pytest.approx(edge * room)


def test_spaces_hang_and_controls_are_not_drawn() -> None:
    block = set_text("one two   \u2066three\u2069", "en", width_pt=60.0)
    assert [line.text for line in block.lines] == ["one two   ", "three"]
    assert block.line_width_pt(0) == pytest.approx(set_text("one two", "en").line_width_pt(0))


def test_a_control_at_the_end_makes_no_line_of_its_own() -> None:
    width = set_text("one two", "en").line_width_pt(0)
    assert len(set_text("one \u2068two \u2069", "en", width_pt=width).lines) == 1


def test_line_ends_and_bidi_paragraph() -> None:
    block = set_text("a\nb\u2028\nc\r\nd\n", "en")
    assert [line.text for line in block.lines] == ["a", "b", "", "c", "d"]
    assert len(set_text("", "en").lines) == 1


def test_quantities_stay_together_and_korean_breaks_at_spaces() -> None:
    assert not breaks("10\u00a0Hz")
    assert [place.position for place in breaks("확인하십시오 통증이")] == [7]
    assert [place.position for place in breaks("检查皮肤。如")] == [1, 2, 3, 5]
    assert not breaks("un\u00adbroken"), "nothing is hyphenated"
    assert [place.position for place in breaks("self-care 020-555")] == [5, 10]


def test_parts_for_page_breaks() -> None:
    block = set_text(SAMPLES["en"] * 2, "en", width_pt=150.0)
    head, tail = block.part(0, 2), block.part(2, len(block.lines))
    assert head.lines + tail.lines == block.lines
    assert head.height_pt + tail.height_pt == pytest.approx(block.height_pt)


MARKED = {
    "vi": "Ẫ Ễ Ổ Ữ ụ g ặ ỵ",
    "ar": "الإِحْسَاسُ ضَعِّفْ قِّ", "ur": "ٹھیک ڈاکٹر پہُنچ لِّ", "hi": "हृदय ट्ठ र्कीं ह्लू",
    "bn": "র্কীঁ ক্রূ স্ত্রী", "pa": "ਪ੍ਰਤੀ ਨੂੰ ਮੈਂ", "th": "ที่ ปู่ ญู ให้", "ro": "ȚȘ Î", "en": "ÀÉ jgpq (|",
}  # fmt: skip


@pytest.mark.parametrize("language", [*SAMPLES, *MARKED])
@pytest.mark.parametrize("bold", [False, True])
def test_ink_of_two_lines_never_meets(language: str, bold: bool) -> None:
    text = f"{SAMPLES[language]} {MARKED.get(language, '')}"
    text = "\n".join([text, *text.split(), text])
    block = set_text(text, language, leading=1.0, bold=bold)
    unit = block.size_pt / 1000
    for number, (upper, lower) in enumerate(pairwise(block.lines)):
        low = -block.baseline_pt(number) + upper.bottom * unit
        high = -block.baseline_pt(number + 1) + lower.top * unit
        assert high < low, f"line {number}"


@pytest.mark.parametrize("language", [tag for tag in SAMPLES if tag != "ar"])
def test_plain_text_keeps_the_leading_of_its_style(language: str) -> None:
    """Only rare stacks of marks may widen a paragraph, or pages would look uneven."""
    text = "\n".join([SAMPLES[language], *SAMPLES[language].split()])
    factor = max(1.4, least_leading(language))
    assert set_text(text, language).leading_pt == pytest.approx(factor * 14)


def test_ordinary_arabic_keeps_the_leading_of_its_style() -> None:
    text = SAMPLES["ar"].replace("تُضبط", "تضبط").replace("يومياً", "يوميا")
    assert set_text(text, "ar").leading_pt == pytest.approx(1.5 * 14)
    assert "ar" in RTL
