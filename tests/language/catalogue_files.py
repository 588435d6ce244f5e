"""Writes small catalogues for the tests; all texts are made up here."""

from __future__ import annotations

from pathlib import Path

from docbuilder.language.plurals import plural_rule


def write_po(folder: Path, tag: str, body: str) -> Path:
    """Write *body* as the clinic folder's catalogue of a language; returns the folder."""
    path = folder / "locales" / tag / "LC_MESSAGES" / "docbuilder.po"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(po_text(tag, body), encoding="utf-8")
    return folder


def po_text(tag: str, body: str) -> str:
    """Return a PO file's text: header and *body*."""
    forms, rule = plural_rule(tag)
    return (
        'msgid ""\nmsgstr ""\n'
        '"Content-Type: text/plain; charset=utf-8\\n"\n'
        f'"Plural-Forms: nplurals={forms}; plural={rule};\\n"\n\n{body}'
    )
