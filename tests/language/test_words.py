"""Sentences come from the catalogue, values by their type, and a gap is never hidden."""

from __future__ import annotations

import re
from datetime import date, time
from decimal import Decimal

import pytest
from catalogue_files import write_po

from docbuilder.errors import InputFault, Refused
from docbuilder.language.isolates import without_isolates
from docbuilder.language.words import load_words
from docbuilder.model.message import Message, Quantity

FSI, LRI, PDI = "\u2068", "\u2066", "\u2069"

POLISH = """
msgid "Good morning, %(name)s."
msgstr "Dzień dobry, %(name)s."

msgctxt "safety"
msgid "Stop."
msgstr "Przestań."

msgid "Stop."
msgstr "Stop."

msgid "%(n)s session"
msgid_plural "%(n)s sessions"
msgstr[0] "%(n)s zabieg"
msgstr[1] "%(n)s zabiegi"
msgstr[2] "%(n)s zabiegów"

#, fuzzy
msgid "Almost."
msgstr "Prawie."

msgid "Empty."
msgstr ""

msgid "%(n)s day"
msgid_plural "%(n)s days"
msgstr[0] "%(n)s dzień"
msgstr[1] ""
msgstr[2] "%(n)s dni"
"""


@pytest.fixture
def polish(tmp_path):
    return load_words("pl", "GB", write_po(tmp_path, "pl", POLISH))


def test_translation_with_value_and_context(polish):
    assert polish.gettext("Good morning, %(name)s.", name="Ada") == "Dzień dobry, Ada."
    assert polish.pgettext("safety", "Stop.") == "Przestań."
    assert polish.gettext("Stop.") == "Stop."
    assert polish.missing == []
    assert polish.used == {("", "Good morning, %(name)s."), ("safety", "Stop."), ("", "Stop.")}


def test_without_values_the_placeholders_stay_for_the_template_engine(polish):
    assert polish.gettext("Good morning, %(name)s.") == "Dzień dobry, %(name)s."


@pytest.mark.parametrize(
    ("count", "text"),
    [(1, "1 zabieg"), (2, "2 zabiegi"), (4, "4 zabiegi"), (5, "5 zabiegów"), (12, "12 zabiegów"),
     (22, "22 zabiegi"), (36, "36 zabiegów")],
)  # fmt: skip
def test_polish_plural_forms(polish, count, text):
    assert polish.ngettext("%(n)s session", "%(n)s sessions", count, n=count) == text


@pytest.mark.parametrize("msgid", ["Almost.", "Empty.", "Not there."])
def test_fuzzy_empty_and_absent_are_missing(polish, msgid):
    polish.gettext(msgid)
    assert polish.missing == [("", msgid)]
    with pytest.raises(Refused) as refused:
        polish.refuse_missing("handout")
    assert msgid in str(refused.value)


def test_a_plural_with_one_empty_form_is_missing_for_every_count(polish):
    polish.ngettext("%(n)s day", "%(n)s days", 1)
    assert polish.missing == [("", "%(n)s day")]


def test_a_singular_translation_does_not_serve_a_plural_message(polish):
    polish.ngettext("Stop.", "Stop now.", 2)
    assert polish.missing == [("", "Stop.")]


def test_missing_is_listed_once(polish):
    polish.gettext("Not there.")
    polish.gettext("Not there.")
    assert polish.missing == [("", "Not there.")]


def test_english_is_the_source_and_never_missing():
    words = load_words("en", "US")
    assert words.ngettext("%(n)s week", "%(n)s weeks", 1, n=1) == "1 week"
    assert words.ngettext("%(n)s week", "%(n)s weeks", 0, n=0) == "0 weeks"
    assert words.missing == []
    words.refuse_missing("handout")


def test_a_clinic_may_reword_one_english_message(tmp_path):
    folder = tmp_path / "locales" / "en" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    (folder / "docbuilder.po").write_text(
        'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'
        'msgid "Call us."\nmsgstr "Ring us."\n'
    )
    words = load_words("en", "GB", tmp_path)
    assert words.gettext("Call us.") == "Ring us."
    assert words.gettext("Stop.") == "Stop."


def test_the_clinic_wins_message_by_message(tmp_path, monkeypatch):
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    write_po(ours, "es", 'msgid "pad"\nmsgstr "parche"\n\nmsgid "skin"\nmsgstr "piel"\n')
    write_po(theirs, "es", 'msgid "pad"\nmsgstr "electrodo"\n\n#, fuzzy\nmsgid "skin"\nmsgstr "x"')
    monkeypatch.setattr("docbuilder.language.catalogue.shipped", lambda name: ours / name)
    words = load_words("es", "US", theirs)
    assert (words.gettext("pad"), words.gettext("skin")) == ("electrodo", "piel")
    assert [entry.from_clinic for entry in words.entries.values()] == [True, False]


def test_a_changed_file_is_read_again(tmp_path):
    write_po(tmp_path, "es", 'msgid "pad"\nmsgstr "parche"\n')
    assert load_words("es", "US", tmp_path).gettext("pad") == "parche"
    write_po(tmp_path, "es", 'msgid "pad"\nmsgstr "electrodo"\n')
    assert load_words("es", "US", tmp_path).gettext("pad") == "electrodo"


@pytest.mark.parametrize(
    "damage", ['msgid "a\nmsgstr "b"\n', 'msgid "a"\nmsgstr[0] "b"\nbanana\n', "msgstr\n\x00"]
)
def test_a_damaged_catalogue_stops_with_its_place(tmp_path, damage):
    write_po(tmp_path, "es", damage)
    with pytest.raises(InputFault) as fault:
        load_words("es", "US", tmp_path)
    assert fault.value.issues[0].place.file.endswith("es/LC_MESSAGES/docbuilder.po")


def test_a_catalogue_in_another_encoding_stops(tmp_path):
    path = write_po(tmp_path, "es", "") / "locales/es/LC_MESSAGES/docbuilder.po"
    path.write_bytes(path.read_bytes() + 'msgid "a"\nmsgstr "ñ"\n'.encode("latin-1"))
    with pytest.raises(InputFault):
        load_words("es", "US", tmp_path)


@pytest.mark.parametrize(
    ("tag", "hint"),
    [("zh", "zh-Hans"), ("pt-BR", "pt"), ("Polish", "pl"), ("AR", "ar"), ("es_MX", "es")],
)
def test_an_unknown_language_suggests_the_nearest(tag, hint):
    with pytest.raises(InputFault) as fault:
        load_words(tag, "US")
    assert f"did you mean {hint}?" in str(fault.value)


def test_values_are_formatted_by_their_type():
    words = load_words("fr", "CA")
    message = Message(
        "%(who)s, %(day)s: %(q)s, %(n)s, %(d)s",
        values=(
            ("who", "Ada"),
            ("day", date(2027, 1, 5)),
            ("q", Quantity(Decimal("2.5"), "mA")),
            ("n", 1234),
            ("d", Decimal("0.144")),
        ),
    )
    assert words.text(message) == "Ada, 5\u00a0janvier\u00a02027: 2,5\u00a0mA, 1234, 0,144"


@pytest.mark.parametrize(
    ("tag", "territory", "day", "shown"),
    [
        ("es", "US", date(2027, 2, 28), "28~de~febrero de~2027"),
        ("es", "US", date(2027, 3, 1), "1~de~marzo de~2027"),
        ("pt", "BR", date(2027, 2, 28), "28~de~fevereiro de~2027"),
        ("pt", "BR", date(2027, 3, 1), "1º~de~março de~2027"),
        ("fr", "CA", date(2027, 3, 1), "1er~mars~2027"),
    ],
)
def test_a_day_does_not_part_from_its_month(tag, territory, day, shown):
    assert load_words(tag, territory).date(day, "long") == shown.replace("~", "\u00a0")


def test_values_can_be_escaped_so_that_none_is_markup():
    words = load_words("en", "US")
    message = Message("**Call** %(who)s", values=(("who", "**Ada**"),))
    shown = words.text(message, escape=lambda text: text.replace("*", r"\*"))
    assert shown == r"**Call** \*\*Ada\*\*"


def test_a_message_without_its_value_is_an_error():
    with pytest.raises(KeyError):
        load_words("en", "US").text(Message("Call %(phone)s."))


def test_percent_signs_in_messages():
    message = Message("Print at %(n)s%%.", values=(("n", 100),))
    assert load_words("en", "US").text(message) == "Print at 100%."


@pytest.mark.parametrize("tag", ["ar", "ur"])
def test_right_to_left_languages_isolate_what_runs_left_to_right(tag):
    words = load_words(tag, "GB", digits="native")
    assert words.rtl
    assert words.quantity(Quantity(Decimal(200), "us")) == f"{LRI}200\u00a0\u00b5s{PDI}"
    assert words.isolate("Ada") == f"{FSI}Ada{PDI}"
    assert words.isolate_ltr("+1 555 0100") == f"{LRI}+1 555 0100{PDI}"
    assert words.isolate("") == ""


def test_left_to_right_text_in_its_own_direction_needs_no_isolate():
    words = load_words("es", "US")
    assert words.isolate("Ada") == "Ada"
    assert words.isolate("سعاد") == f"{FSI}سعاد{PDI}"
    assert words.quantity(Quantity(Decimal(20), "Hz")) == "20\u00a0Hz"


@pytest.mark.parametrize(
    ("unit", "symbol"),
    [("us", "\u00b5s"), ("uC", "\u00b5C"), ("ohm", "\u03a9"), ("cm2", "cm\u00b2"),
     ("mA/cm2", "mA/cm\u00b2"), ("Hz", "Hz"), ("min", "min"), ("mAh", "mAh")],
)  # fmt: skip
def test_unit_symbols_are_the_same_in_every_language(unit, symbol):
    from docbuilder.language.registry import known_languages

    for language in known_languages():
        shown = load_words(language.tag, "US").quantity(Quantity(Decimal(7), unit))
        assert without_isolates(shown) == f"7\u00a0{symbol}"


@pytest.mark.parametrize(
    ("tag", "plain", "native"),
    [("ar", "٢٠٢٧", "١٢٫٥"), ("ur", "۲۰۲۷", "۱۲٫۵"), ("hi", "२०२७", "१२.५"),
     ("bn", "২০২৭", "১২.৫"), ("pa", "੨੦੨੭", "੧੨.੫"), ("ko", "2027", "12.5")],
)  # fmt: skip
def test_native_digits_are_for_running_text_only(tag, plain, native):
    words = load_words(tag, "GB", digits="native")
    assert plain in words.date(date(2027, 1, 5))
    assert words.number(Decimal("12.5")) == native
    shown = without_isolates(words.quantity(Quantity(Decimal(20), "Hz")))
    assert shown == "20\u00a0Hz"
    assert plain not in load_words(tag, "GB").date(date(2027, 1, 5)) or tag == "ko"


@pytest.mark.parametrize(("tag", "zero"), [("ar", "٠"), ("ur", "۰"), ("hi", "०"), ("bn", "০"),
                                          ("pa", "੦")])  # fmt: skip
def test_figures_typed_into_a_translation_follow_the_digits_chosen(tag, zero):
    latin, native = load_words(tag, "GB"), load_words(tag, "GB", digits="native")
    own = str.maketrans("0123456789", "".join(chr(ord(zero) + digit) for digit in range(10)))
    turned = 0
    for (context, msgid), entry in latin.entries.items():
        if entry.plural:
            continue
        before, after = latin.pgettext(context, msgid), native.pgettext(context, msgid)
        bare = re.sub(r"%\(\w+\)s", "", before)
        if re.search("[A-Za-z]", bare):
            assert after == before, "beside a unit or a citation no figure turns, not even some"
        else:
            assert after == before.translate(own)
            turned += after != before
    assert turned > 15
    odds = "With it, 68 in 100 got better. Without it, 35 in 100 did."
    assert not set("0123456789") & set(native.pgettext("consent", odds))
    assert "10\u00a0cm" in native.gettext("Ruler: 10 cm").replace(" ", "\u00a0")
    assert native.pgettext("consent", odds) != latin.pgettext("consent", odds)


def test_every_value_keeps_its_digits_exactly():
    words = load_words("pl", "PL")
    assert words.number(Decimal("0.0000001")) == "0,0000001"
    assert words.number(123456789) == "123456789"


def test_a_time_of_day_with_latin_letters_is_isolated_in_urdu():
    shown = load_words("ur", "US").time_of_day(time(21, 30))
    assert shown == f"{FSI}9:30\u00a0PM{PDI}"
