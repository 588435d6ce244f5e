import unicodedata
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import TypeVar

import pytest
from babel.localedata import locale_identifiers
from dateutil import parser as dateutil_parser
from hypothesis import given, settings
from hypothesis import strategies as st

from docbuilder.inputs.fields import Fault, Unfit, list_of, nearest
from docbuilder.inputs.languages import known_language, territory
from docbuilder.inputs.values import (
    choice,
    clock_time,
    day,
    decimal,
    flag,
    integer,
    language_tag,
    person,
    text,
)
from docbuilder.inputs.yaml_file import ListNode, Node, ScalarNode

T = TypeVar("T")


def read(convert: Callable[[Node], T], written: str, *, plain: bool = True) -> T:
    return convert(ScalarNode(written, 3, plain))


def fault(convert: Callable[[Node], object], written: str, *, plain: bool = True) -> Fault:
    with pytest.raises(Unfit) as caught:
        read(convert, written, plain=plain)
    assert caught.value.faults[0].line == 3
    return caught.value.faults[0]


# Numbers


@given(st.decimals(-999, 999, allow_nan=False, places=3))
def test_decimal_is_exact(number: Decimal) -> None:
    assert read(decimal(-1000, 1000), f"{number:f}") == number


@given(st.integers(-500, 500))
def test_bounds_are_allowed_and_one_step_beyond_is_not(bound: int) -> None:
    inside = integer(bound, bound)
    assert read(inside, str(bound)) == bound
    for beyond in (bound - 1, bound + 1):
        assert str(bound) in fault(inside, str(beyond)).allowed


@pytest.mark.parametrize(
    ("written", "hint"),
    [
        ("200 us", "write 200 alone"),
        ("200µs", "write 200 alone"),
        ("10 Hz", "write 10 alone"),
        ("50%", "write 50 alone"),
        ("2,5", "2.5"),
        ("٢٠٠", "Latin digits: 200"),
        ("२०", "Latin digits: 20"),
        ("١٫٥", "Latin digits: 1.5"),
        ("007", "zero at the front"),
        ("1_000", "write digits"),
        ("0x10", "write digits"),
        ("1e3", "write digits"),
        ("NaN", "write digits"),
        ("+5", "write digits"),
        ("5.", "write digits"),
        (".5", "write digits"),
        ("9" * 5000, "write digits"),
        ("²", "write digits"),
    ],
)
def test_number_that_is_not_plain_gets_the_hint_that_mends_it(written: str, hint: str) -> None:
    assert hint in fault(decimal(0, 10_000), written).hint


# Dates


def test_every_day_of_two_centuries_reads_as_itself() -> None:
    convert, value = day(), date(1900, 1, 1)
    while value <= date(2100, 12, 31):
        assert read(convert, value.isoformat()) == value
        value += timedelta(days=1)


def test_every_day_that_no_calendar_has_is_named() -> None:
    """This test ensures that day numbers past a month's end are refused, by dateutil's calendar."""
    refused = 0
    for year in (1900, 2000, 2026, 2027, 2028, 2100):
        for month in range(1, 13):
            for number in range(28, 33):
                written = f"{year}-{month:02}-{number:02}"
                try:
                    expected = dateutil_parser.isoparse(written).date()
                except ValueError:
                    refused += 1
                    assert fault(day(), written).allowed == "a date that exists"
                    assert f"{year} has" in fault(day(), written).hint
                else:
                    assert read(day(), written) == expected
    assert refused > 6 * 12


@pytest.mark.parametrize(
    "written", ["2026-1-5", "20260105", "05.01.2026", "2026-W01-1", "2026-01-05 ", "٢٠٢٦-٠١-٠٥"]
)
def test_other_ways_to_write_a_date_are_refused(written: str) -> None:
    assert "2026-12-01" in fault(day(), written).hint


def test_clock_time() -> None:
    good = {f"{hour:02}:{minute:02}" for hour in range(24) for minute in range(60)}
    for hour in range(30):
        for minute in range(70):
            written = f"{hour:02}:{minute:02}"
            if written in good:
                assert read(clock_time(), written) == written
            else:
                assert fault(clock_time(), written)
    assert fault(clock_time(), "8:30")


# Words


@pytest.mark.parametrize(
    ("written", "hint"),
    [("yes", "write true"), ("No", "write false"), ("True", "write true"), ("1", "one of the two")],
)
def test_only_true_and_false_are_flags(written: str, hint: str) -> None:
    assert hint in fault(flag(), written).hint
    assert "without quotes" in fault(flag(), "true", plain=False).hint
    assert read(flag(), "true") is True
    assert read(flag(), "false") is False


def test_choice_suggests_the_nearest_word() -> None:
    sites = choice(("lower_abdomen", "sacral", "tibial"))
    assert read(sites, "sacral") == "sacral"
    for slip, meant in {
        "Tibial": "tibial",
        "sacrall": "sacral",
        "lower abdomen": "lower_abdomen",
    }.items():
        assert fault(sites, slip).hint == f"did you mean {meant}?"
    assert "did you mean" not in fault(sites, "xyz").hint
    assert nearest("a" * 100_000, ["b"]) == ""


def test_every_cldr_locale_name_is_a_language_tag_in_its_usual_case() -> None:
    """This test ensures that tags follow CLDR's own list, in any case of letters."""
    checked = 0
    for identifier in locale_identifiers():
        if identifier in ("root", "en_US_POSIX"):
            continue
        parts = identifier.split("_")  # CLDR writes variants in capitals, a tag in small letters
        tag = "-".join(part.lower() if len(part) > 4 else part for part in parts)
        assert read(language_tag(), tag) == tag
        assert read(language_tag(), tag.lower()).lower() == tag.lower()
        assert read(language_tag(), tag.upper()) == read(language_tag(), tag.lower())
        checked += 1
    assert checked > 500


@pytest.mark.parametrize(
    "tag",
    # From the examples of RFC 5646, appendix A.
    ["de", "zh-Hant", "zh-cmn-Hans-CN", "zh-yue-HK", "sr-Latn-RS", "sl-rozaj-biske", "de-CH-1901",
     "hy-Latn-IT-arevela", "es-419", "de-CH-x-phonebk", "az-Arab-x-AZE-derbend",
     "en-US-u-islamcal", "zh-CN-a-myext-x-private", "en-a-myext-b-another"],
)  # fmt: skip
def test_example_tags_of_the_standard_are_accepted(tag: str) -> None:
    assert read(language_tag(), tag).lower() == tag.lower()


@pytest.mark.parametrize(
    "tag", ["e", "en-", "-en", "en--US", "en_US", "de-419-DE", "a-DE", "en US", "ар"]
)
def test_what_is_no_tag_is_refused(tag: str) -> None:
    assert fault(language_tag(), tag).hint


def test_variety_of_a_known_language_is_known() -> None:
    convert = known_language(["es", "zh-Hans"])
    assert read(convert, "es-US") == "es-US"
    assert read(convert, "zh-hans-sg") == "zh-Hans-SG"
    assert fault(convert, "zh").allowed == "one of es, zh-Hans"
    assert fault(convert, "est").hint == "did you mean es?"
    assert fault(convert, "Spanish").hint == "write es"


def test_territory_is_a_country_code() -> None:
    for code in ("US", "GB", "CA", "AU", "IN", "HK", "PR"):
        assert read(territory(), code) == code
    assert fault(territory(), "UK").hint == "write GB"
    assert fault(territory(), "us").hint == "write US in capitals"
    for code in ("XX", "ZZ", "EU", "001", "USA"):
        assert fault(territory(), code)


# Text


@pytest.mark.parametrize(
    "name",
    ["Ada O’Neill-Example", "Ngũgĩ wa Example", "김예시", "示例·小明", "سالم المثالي", "مثال‌خانم",
     "उदाहरण शर्मा", "ਉਦਾਹਰਨ ਕੌਰ", "Nguyễn Thị Mẫu", "Привет-Пример", "Dr. Example, Jr. (Sam)",
     "\u2067سالم\u2069 Example", "דוגמה"],
)  # fmt: skip
def test_names_of_the_world_are_accepted_as_they_are(name: str) -> None:
    assert read(person(80), name) == unicodedata.normalize("NFC", name)


def test_text_is_composed_and_trimmed_but_not_rewritten() -> None:
    assert read(text(20), "  e\u0301t  e\u0301 ") == "ét  é"


def test_every_character_of_unicode_is_accepted_or_refused_by_its_class() -> None:
    """This test ensures that no control, override, private or half character gets through.

    The classes come from Unicode's own data: bidi class and general category.
    """
    convert, refused = text(200), set[int]()
    overrides = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    for code in range(0x110000):
        c = chr(code)
        if c.isspace() and unicodedata.category(c) == "Zs":
            continue
        try:
            read(convert, f"a{c}a")
        except Unfit:
            refused.add(code)
            continue
        assert unicodedata.category(c) not in ("Cc", "Co", "Cs", "Zl", "Zp"), hex(code)
        assert unicodedata.bidirectional(c) not in overrides, hex(code)
    for code in refused:
        assert unicodedata.category(chr(code))[0] in "CZ", hex(code)
    joiners = {0x200C, 0x200D, 0x200E, 0x200F, 0x061C, 0x00AD}
    assert not refused & joiners


@settings(max_examples=200)
@given(st.text("a<>{}[]|\\`&;$%'\"b ", min_size=1, max_size=12))
def test_person_never_holds_a_markup_sign(written: str) -> None:
    try:
        name = read(person(80), written, plain=False)
    except Unfit:
        return
    assert not set("<>{}[]|\\`") & set(name)


@settings(max_examples=200)
@given(st.text("a\u2066\u2067\u2068\u2069\n", min_size=1, max_size=10))
def test_isolates_pair_up_line_by_line(written: str) -> None:
    def paired(line: str) -> bool:
        while (shorter := _drop_innermost(line)) != line:
            line = shorter
        return not set(line) & set("\u2066\u2067\u2068\u2069")

    stripped = written.strip()
    try:
        read(text(50, lines=True), written, plain=False)
    except Unfit:
        assert not stripped or not all(paired(line) for line in stripped.split("\n"))
    else:
        assert all(paired(line) for line in stripped.split("\n"))


def _drop_innermost(line: str) -> str:
    line = line.replace("a", "")
    for opener in "\u2066\u2067\u2068":
        line = line.replace(opener + "\u2069", "")
    return line


# Lists


def test_list_tells_the_fault_of_each_item_with_its_line() -> None:
    node = ListNode((ScalarNode("1", 4), ScalarNode("x", 5), ScalarNode("", 6)), 4)
    with pytest.raises(Unfit) as caught:
        list_of(integer(1, 3))(node)
    assert [(f.line, f.under) for f in caught.value.faults] == [(5, "2"), (6, "3")]


@given(st.text(max_size=300))
def test_found_is_bounded_and_printable_for_any_value(written: str) -> None:
    """This test ensures that a message cannot carry control signs or a whole record along."""
    converters: list[Callable[[Node], object]] = [
        text(5), person(5), decimal(0, 1), day(), flag(), choice(("a", "b")), language_tag(),
        clock_time(), territory(),
    ]  # fmt: skip
    for convert in converters:
        try:
            convert(ScalarNode(written, 1))
        except Unfit as unfit:
            for item in unfit.faults:
                told = item.found + item.allowed + item.hint
                assert told.isprintable()
                assert len(item.found) <= 40 * 10 + 20
