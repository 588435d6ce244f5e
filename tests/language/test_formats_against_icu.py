"""Dates, weekdays, numbers and plurals agree with ICU, an independent CLDR reader.

ICU 78 carries CLDR 48, Babel 2.18 CLDR 47: the spellings that changed between the two
are mapped, and named, below. ICU comes with the icu4py package.
"""

from __future__ import annotations

import subprocess
import sys
from datetime import date, datetime, time, timedelta
from decimal import Decimal

import pytest
from icu4py.messageformat import MessageFormat

from docbuilder.language.formats import first_weekday, paper_for
from docbuilder.language.isolates import without_isolates
from docbuilder.language.pairs import counts_of_form
from docbuilder.language.plurals import plural_rule
from docbuilder.language.registry import known_languages
from docbuilder.language.words import load_words

LANGUAGES = known_languages()
CASES = [
    (language.tag, territory)
    for language in LANGUAGES
    for territory in sorted({"US", "GB", "CA", "AU", language.territory})
]
CLDR_47_TO_48 = {
    "জানুয়ারী": "জানুয়ারি",
    "ফেব্রুয়ারী": "ফেব্রুয়ারি",
    "ਸ਼ਨਿੱਚਰ": "ਸ਼ਨੀ",
    "ਪੂ.ਦੁ.": "AM",
    "ਬਾ.ਦੁ.": "PM",
    "Th ": "Thứ ",
}


def plain(text):
    text = without_isolates(text).replace("\u202f", " ").replace("\u00a0", " ")
    for old, new in CLDR_47_TO_48.items():
        text = text.replace(old, new)
    return text


def icu(pattern, words, **values):
    return plain(MessageFormat(pattern, f"{words.locale}@numbers=latn").format(values))


@pytest.mark.parametrize(("tag", "territory"), CASES)
def test_dates_and_weekdays(tag, territory):
    words = load_words(tag, territory)
    for month in range(1, 13):
        moment = datetime(2027, month, month * 5 % 27 + 1, 12)
        day = moment.date()
        assert plain(words.date(day, "full")) == icu("{d,date,full}", words, d=moment)
        assert plain(words.date(day, "long")) == icu("{d,date,long}", words, d=moment)
        title = icu("{d,date,::yMMMM}", words, d=moment)
        assert plain(words.month_title(day)).casefold() == title.casefold()
        if words.locale.territory != "PT":
            assert plain(words.date(day, "medium")) == icu("{d,date,::yMMMd}", words, d=moment)
            assert plain(words.date(day, "short")) == icu("{d,date,::MMMEd}", words, d=moment)
    for number in range(7):
        moment = datetime(2026, 11, 2) + timedelta(number)
        assert plain(words.weekday(number)) == icu("{d,date,cccc}", words, d=moment)
        short = plain(words.weekday(number, "abbreviated"))
        assert short == icu("{d,date,ccc}", words, d=moment)


@pytest.mark.parametrize(
    ("tag", "territory", "first", "other"),
    [
        ("fr", "CA", "vendredi 1er janvier 2027", "jeudi 11 novembre 2021"),
        ("fr", "FR", "vendredi 1er janvier 2027", "jeudi 11 novembre 2021"),
        ("pt", "US", "sexta-feira, 1º de janeiro de 2027", "quinta-feira, 11 de novembro de 2021"),
        ("pt", "PT", "sexta-feira, 1 de janeiro de 2027", "quinta-feira, 11 de novembro de 2021"),
        ("es", "US", "viernes, 1 de enero de 2027", "jueves, 11 de noviembre de 2021"),
    ],
)
def test_the_first_of_a_month(tag, territory, first, other):
    """Not by CLDR, which has the bare figure in every language: usage of the two languages."""
    words = load_words(tag, territory)
    assert plain(words.date(date(2027, 1, 1), "full")) == first
    assert plain(words.date(date(2021, 11, 11), "full")) == other
    styles = [plain(words.date(date(2027, 1, 1), style)) for style in ("long", "medium", "short")]
    for mark in ("1er", "1º"):
        assert [shown.count(mark) for shown in styles] == [first.count(mark)] * 3


@pytest.mark.parametrize(("tag", "territory"), CASES)
def test_times_and_numbers(tag, territory):
    words = load_words(tag, territory)
    for clock in (time(0, 0), time(9, 5), time(12, 0), time(21, 30)):
        moment = datetime.combine(date(2027, 1, 5), clock)
        assert plain(words.time_of_day(clock)) == icu("{d,time,short}", words, d=moment)
    for value in ("0", "2.5", "1234.5", "-3", "0.144"):
        expected = icu("{x,number,#0.####}", words, x=Decimal(value))
        assert plain(words.number(Decimal(value))) == expected


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one.tag != "en"])
def test_plural_rules_split_the_counts_as_cldr_does(language):
    forms, rule = plural_rule(language.tag)
    pattern = "{n,plural,zero{zero}one{one}two{two}few{few}many{many}other{other}}"
    formatter = MessageFormat(pattern, language.tag)
    category_of = {n: formatter.format({"n": n}) for n in range(201)}
    seen = set()
    for form in range(forms):
        counts = counts_of_form(rule, form)
        categories = {category_of[n] for n in counts}
        assert len(categories) <= 1, (form, categories)
        seen |= set(counts)
    assert seen == set(range(201))
    assert forms == len(set(category_of.values()))


def test_arabic_has_six_forms():
    forms, rule = plural_rule("ar")
    assert forms == 6
    first = [counts_of_form(rule, form)[:3] for form in range(6)]
    assert first == [(0,), (1,), (2,), (3, 4, 5), (11, 12, 13), (100, 101, 102)]


WEEK = {  # CLDR 48.2 supplemental weekData, firstDay, for where our readers live; 001: Monday
    6: "US CA MX PR PH BR PT IN PK BD KR JP HK TW TH ID IL SA YE CO PE VE GT SV HN NI PA DO KE ZA",
    5: "AF DZ EG IQ IR JO KW LY OM QA SD SY",
    4: "MV",
    0: "GB IE AU NZ FR BE CH DE ES IT PL RO RU UA VN CN MY TR NG MA TN LB AR CL EC AE",
}


@pytest.mark.parametrize("weekday", WEEK)
def test_first_day_of_the_week_by_territory(weekday):
    wrong = [land for land in WEEK[weekday].split() if first_weekday(land) != weekday]
    assert wrong == []


def test_weekday_names_begin_with_the_territorys_first_day():
    assert load_words("es", "US").weekday_names()[0] == "domingo"
    assert load_words("es", "GB").weekday_names()[0] == "lunes"
    assert load_words("ar", "EG").weekday_names()[0] == "السبت"
    assert load_words("en", "AU").weekday_names("abbreviated")[0] == "Mon"


def test_paper_by_territory():
    letter = "BZ CA CL CO CR GT MX NI PA PH PR SV US VE"  # CLDR 48.2 paperSize
    a4 = "GB AU NZ IE FR DE PL RO RU IN PK BD CN KR VN BR PT EG SA AR PE EC"
    assert {paper_for(land) for land in letter.split()} == {"Letter"}
    assert {paper_for(land) for land in a4.split()} == {"A4"}


@pytest.mark.parametrize("tag", [language.tag for language in LANGUAGES])
@pytest.mark.parametrize("style", ["full", "long", "medium", "short"])
def test_a_date_is_never_all_figures(tag, style):
    for territory in ("US", "GB", "PT"):
        shown = load_words(tag, territory).date(date(2027, 3, 4), style)
        assert "/" not in shown
        assert any(char.isalpha() for char in shown)


def test_no_language_takes_the_names_of_one_used_before_it():
    """Babel 2.18 shares resolved aliases between locales; ours must not."""
    program = (
        "import sys; from docbuilder.language.words import load_words\n"
        "for tag in sys.argv[1:]:\n"
        "    words = load_words(tag, 'GB')\n"
        "    print(tag, words.weekday_names('abbreviated'), words.weekday_names())\n"
    )
    tags = [language.tag for language in LANGUAGES]
    orders = (tags, tags[::-1])
    lines = [
        sorted(
            subprocess.run(
                [sys.executable, "-X", "utf8", "-c", program, *order],
                check=True, capture_output=True, encoding="utf-8",
            ).stdout.splitlines()
        )
        for order in orders
    ]  # fmt: skip
    assert lines[0] == lines[1]
    assert len({line.split(" ", 1)[1] for line in lines[0]}) == len(tags)


LISTS = {
    "en": "A, B and C", "es": "A, B y C", "fr": "A, B et C", "pt": "A, B e C", "pl": "A, B i C",
    "ro": "A, B și C", "ru": "A, B и C", "vi": "A, B và C", "fil": "A, B, at C", "ar": "A وB وC",
    "ur": "A، B، اور C", "hi": "A, B, और C", "bn": "A, B এবং C", "pa": "A, B ਅਤੇ C",
    "zh-Hans": "A、B和C", "ko": "A, B 및 C",
}  # fmt: skip
"""CLDR 47 listPattern "standard", read from its charts by eye."""


@pytest.mark.parametrize("tag", [language.tag for language in LANGUAGES])
def test_lists_of_each_language(tag):
    assert plain(load_words(tag, "GB").list(["A", "B", "C"])) == LISTS[tag]


QUOTES = dict.fromkeys([language.tag for language in LANGUAGES], "“”") | {
    "fr": "«»", "ru": "«»", "ar": "«»", "pl": "„”", "ro": "„”", "ur": "”“",
}  # fmt: skip
"""As leaflets of each language have them; CLDR's main pair but for Arabic and Spanish."""


@pytest.mark.parametrize("tag", [language.tag for language in LANGUAGES if language.tag != "en"])
def test_quotes_of_each_language_open_and_close(tag):
    found = 0
    for entry in load_words(tag, "GB").entries.values():
        for text in entry.texts:
            marks = "".join(char for char in text if char in '"“”„«»‹›「」『』')
            assert marks == QUOTES[tag] * (len(marks) // 2), text
            found += len(marks)
    assert found
