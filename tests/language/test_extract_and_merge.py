"""Every message is found, and merging never loses or invents a translation."""

from __future__ import annotations

import pytest
from babel.messages.catalog import Catalog
from catalogue_files import po_text

from docbuilder.language.catalogue import message_ids, message_texts, read_catalogue
from docbuilder.language.extract import Extracted, extract_python, extract_template, literal_gaps
from docbuilder.language.merge import (
    empty_catalogue,
    make_template,
    merge_catalogue,
    po_bytes,
    write_po_file,
)

TEMPLATE = """\
{# NOTE: Said once a day. #}
{% trans "safety" %}
  Wash
  your hands.
{% endtrans %}
{% if x %}{{ panel(_("Care"), body) }}{% endif %}
{% trans n=count %}{{ n }} day{% pluralize %}{{ n }} days{% endtrans %}
{{ pgettext("consent", "I agree.") }} {% trans %}100 %{% endtrans %}
{{ gettext(name) }}
"""
MODULE = """\
from x import Message

A = Message(
    "Part one, "
    "part two.",
    context="safety",
)
# NOTE: The clinician reads it.
B = [Message("One.", plural="Many.", count=2), Message(msgid="Named.", context="consent")]


def f(words, name):
    words.gettext("Hello %(name)s.", name=name)
    words.npgettext("safety", "%(n)s pad", "%(n)s pads", 2)
    words.gettext(name)
    Message(name)
    print("not a message")
"""


def test_messages_of_a_template(tmp_path):
    path = tmp_path / "t.j2"
    path.write_text(TEMPLATE, encoding="utf-8")
    found = list(extract_template(path, "templates/t.j2"))
    assert [(one.context, one.msgid, one.plural) for one in found] == [
        ("safety", "Wash your hands.", ""),
        ("", "Care", ""),
        ("", "%(n)s day", "%(n)s days"),
        ("consent", "I agree.", ""),
        ("", "100 %%", ""),
    ]
    assert found[0].comments == ("Said once a day.",)
    assert found[0].line == 2


def test_messages_of_a_module(tmp_path):
    path = tmp_path / "m.py"
    path.write_text(MODULE, encoding="utf-8")
    found = list(extract_python(path, "m.py"))
    assert [(one.context, one.msgid, one.plural) for one in found] == [
        ("safety", "Part one, part two.", ""),
        ("", "One.", "Many."),
        ("consent", "Named.", ""),
        ("", "Hello %(name)s.", ""),
        ("safety", "%(n)s pad", "%(n)s pads"),
    ]
    assert found[1].comments == ("The clinician reads it.",)
    assert list(literal_gaps(path)) == [16]


def test_a_message_in_two_places_stands_once_with_both():
    template = make_template(
        [Extracted("A", "b.py", 9), Extracted("A", "a.py", 1), Extracted("A", "a.py", 2, "safety")]
    )
    assert [(m.context, m.id) for m in template if m.id] == [(None, "A"), ("safety", "A")]
    assert [place for place, _ in template["A"].locations] == ["a.py", "b.py"]


def test_two_plurals_for_one_message_are_refused():
    with pytest.raises(ValueError, match=r"b\.py:2"):
        make_template([Extracted("A", "a.py", 1), Extracted("A", "b.py", 2, plural="As")])


OLD = """
# my own remark
msgid "Wash your hands well."
msgstr "Lávese bien las manos."

msgctxt "safety"
msgid "Stop."
msgstr "Pare."

msgid "Gone for good."
msgstr "Ya no está."

#, fuzzy
msgid "Half."
msgstr "Medio."

msgid "%(n)s day"
msgid_plural "%(n)s days"
msgstr[0] "%(n)s día"
msgstr[1] "%(n)s días"
"""
NOW = [
    Extracted("Wash both your hands well.", "a.py", 1),
    Extracted("Stop.", "a.py", 2, "safety"),
    Extracted("Stop.", "a.py", 3),
    Extracted("Half.", "a.py", 4),
    Extracted("%(n)s day", "a.py", 5, plural="%(n)s days"),
    Extracted("A new thing altogether.", "a.py", 6),
]


@pytest.fixture
def merged(tmp_path):
    path = tmp_path / "old.po"
    path.write_text(po_text("es", OLD), encoding="utf-8")
    return merge_catalogue(read_catalogue(path, "es"), make_template(NOW), "es")


def test_unchanged_messages_keep_their_translations(merged):
    assert merged.get("Stop.", "safety").string == "Pare."
    assert merged["%(n)s day"].string == ("%(n)s día", "%(n)s días")
    assert not merged["%(n)s day"].fuzzy


def test_a_changed_message_is_fuzzy_with_the_old_source(merged):
    message = merged["Wash both your hands well."]
    assert message.string == "Lávese bien las manos."
    assert message.fuzzy
    assert tuple(message.previous_id) == ("Wash your hands well.",)


def test_a_new_message_is_empty_even_when_a_context_has_the_same_words(merged):
    assert not any(message_texts(merged["Stop."]))
    assert not any(message_texts(merged["A new thing altogether."]))


def test_fuzzy_stays_fuzzy(merged):
    assert merged["Half."].fuzzy


def test_what_is_not_needed_is_kept_aside_and_comes_back(merged, tmp_path):
    assert "Gone for good." in {message_ids(m)[0] for m in merged.obsolete.values()}
    path = tmp_path / "new.po"
    write_po_file(path, merged)
    again = merge_catalogue(
        read_catalogue(path, "es"), make_template([*NOW, Extracted("Gone for good.", "a.py", 7)]),
        "es",
    )  # fmt: skip
    assert again["Gone for good."].string == "Ya no está."
    assert not again["Gone for good."].fuzzy


def test_a_message_that_gained_a_plural_is_fuzzy():
    old = empty_catalogue("es")
    old.add("%(n)s day", "%(n)s día")
    template = make_template([Extracted("%(n)s day", "a.py", 1, plural="%(n)s days")])
    message = merge_catalogue(old, template, "es")["%(n)s day"]
    assert message.fuzzy
    assert message.string == ("%(n)s día", "%(n)s día")


def test_merging_twice_changes_nothing(merged, tmp_path):
    path = tmp_path / "docbuilder.po"
    assert write_po_file(path, merged)
    again = merge_catalogue(read_catalogue(path, "es"), make_template(NOW), "es")
    assert not write_po_file(path, again)
    assert po_bytes(again) == path.read_bytes()


def test_files_hold_no_date_and_no_line_number(merged):
    text = po_bytes(merged).decode()
    assert "Date" not in text
    assert "#: a.py\n" in text
    assert "Plural-Forms: nplurals=2" in text


def test_a_template_has_no_language():
    text = po_bytes(make_template(NOW)).decode()
    assert "Language:" not in text
    assert "Plural-Forms" not in text


def test_remarks_of_the_translator_stay(tmp_path):
    path = tmp_path / "old.po"
    path.write_text(po_text("es", '# accept only: why\nmsgid "Stop."\nmsgstr "Pare."\n'))
    template = make_template([Extracted("Stop.", "a.py", 1)])
    kept = merge_catalogue(read_catalogue(path, "es"), template, "es")
    assert kept["Stop."].user_comments == ["accept only: why"]
    assert merge_catalogue(Catalog(), template, "es")["Stop."].user_comments == []
