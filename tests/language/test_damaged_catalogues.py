"""Whatever is in a PO file, reading ends with a catalogue or with a fault that has a place."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from docbuilder.errors import InputFault
from docbuilder.language.catalogue import load_catalogue, read_catalogue
from docbuilder.language.merge import po_bytes
from docbuilder.language.words import load_words

LINES = st.sampled_from(
    [
        'msgid "a"', 'msgid ""', 'msgstr "b"', 'msgstr ""', 'msgid_plural "as"', 'msgstr[0] "x"',
        'msgstr[1] "y"', 'msgstr[7] "z"', 'msgctxt "safety"', '"more"', "#, fuzzy", "# remark", "",
        '#| msgid "old"', '#~ msgid "gone"', '#~ msgstr "weg"', '"Plural-Forms: nplurals=2;\\n"',
        '"Plural-Forms: nplurals=2; plural=n!=1;\\n"', '"Content-Type: text/plain; charset=x\\n"',
        'msgid "a" "b"', "msgid a", 'msgid "%(n)s \\q"', "\x00", 'msgstr "é"', "#. NOTE",
        "#: a.py:1",
    ]
)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(st.lists(LINES, max_size=14))
def test_lines_in_any_order(tmp_path_factory, lines):
    path = tmp_path_factory.mktemp("po") / "docbuilder.po"
    path.write_text("\n".join(lines), encoding="utf-8")
    try:
        catalogue = read_catalogue(path, "es")
    except InputFault as fault:
        found = fault.issues
    else:
        found = ()
        po_bytes(catalogue)
    assert all(issue.place.line > 0 for issue in found)


@pytest.mark.parametrize(
    "header",
    [
        "Plural-Forms: nplurals=2; plural=(n > 4 ? 5 : 0);",
        "Plural-Forms: nplurals=2; plural=n.__class__;",
        "Plural-Forms: nplurals=2; plural=n/0;",
        "Plural-Forms: nplurals=0; plural=0;",
        "Plural-Forms: nplurals=2;",
        "Plural-Forms: banana",
        "Content-Type: text/plain; charset=no-such",
        "Content-Type: banana",
    ],
)
def test_a_header_that_cannot_be_is_refused_or_replaced(tmp_path, header):
    folder = tmp_path / "locales" / "es" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    (folder / "docbuilder.po").write_text(
        f'msgid ""\nmsgstr "{header}\\n"\n\nmsgid "%(n)s day"\nmsgid_plural "%(n)s days"\n'
        'msgstr[0] "%(n)s día"\nmsgstr[1] "%(n)s días"\n',
        encoding="utf-8",
    )
    try:
        words = load_words("es", "US", tmp_path)
    except InputFault:
        return
    for count in (0, 1, 2, 5, 100):
        shown = words.ngettext("%(n)s day", "%(n)s days", count, n=count)
        assert shown == f"{count} día" + ("" if count == 1 else "s")


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes(tmp_path_factory, data):
    folder = tmp_path_factory.mktemp("clinic")
    path = folder / "locales" / "es" / "LC_MESSAGES" / "docbuilder.po"
    path.parent.mkdir(parents=True)
    path.write_bytes(data)
    try:
        entries = load_catalogue("es", folder)
    except InputFault:
        return
    assert all(all(entry.texts) for entry in entries.values())
