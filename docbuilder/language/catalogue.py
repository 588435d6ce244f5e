"""Translations, read straight from the PO files, the clinic's winning message by message.

There is no compiled form, so none can be stale. An entry that is fuzzy, empty or
short of a plural form counts as missing: it is never printed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from gettext import c2py
from io import StringIO
from itertools import pairwise
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.catalog import Message as CatalogMessage
from babel.messages.pofile import PoFileError, denormalize, read_po

from docbuilder.caching import kept, version_of
from docbuilder.errors import InputFault, Issue, Place
from docbuilder.language.plurals import plural_rule
from docbuilder.paths import shipped

__all__ = [
    "DOMAIN", "Entry", "Key", "catalogue_paths", "load_catalogue", "message_ids",
    "message_key", "message_texts", "read_catalogue",
]  # fmt: skip

DOMAIN = "docbuilder"
_LINE = re.compile(
    r"(?:#.*|(?:#~ ?|#\| ?)?(?:(?:msgctxt|msgid|msgid_plural|msgstr(?:\[\d\])?) )?"
    r'"(?:[^"\\]|\\.)*")'
)
Key = tuple[str, str]
"""(context, msgid); the context is "" where there is none."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One complete translation."""

    context: str
    msgid: str
    plural: str
    texts: tuple[str, ...]
    """The translation; one text a plural form, in the order of the file's rule."""
    plural_rule: str
    """The C expression of the file's Plural-Forms header."""
    file: str
    line: int
    from_clinic: bool = False


def catalogue_paths(tag: str, clinic_folder: Path | None = None) -> tuple[tuple[Path, bool], ...]:
    """Return the PO files of a language, weakest first, each with "is the clinic's"."""
    tail = Path(tag) / "LC_MESSAGES" / f"{DOMAIN}.po"
    paths = [(shipped("locales") / tail, False)]
    if clinic_folder is not None:
        paths.append((clinic_folder / "locales" / tail, True))
    return tuple(paths)


def load_catalogue(tag: str, clinic_folder: Path | None = None) -> Mapping[Key, Entry]:
    """Return every complete translation of a language by its key.

    A file that does not exist adds nothing; its messages then count as missing.

    Raises:
        InputFault: A file is not a readable PO file.
    """
    entries: dict[Key, Entry] = {}
    for path, from_clinic in catalogue_paths(tag, clinic_folder):
        if path.is_file():
            entries.update(_complete(path, tag, from_clinic, version_of(path)))
    return entries


@kept(64)
def _complete(path: Path, tag: str, from_clinic: bool, _version: str) -> Mapping[Key, Entry]:
    catalogue = read_catalogue(path, tag)
    entries = {}
    for message in catalogue:
        if not message.id or message.fuzzy:
            continue
        ids, texts = message_ids(message), message_texts(message)
        if not all(texts) or (ids[1] and len(texts) != catalogue.num_plurals):
            continue
        entries[message_key(message)] = Entry(
            context=message.context or "",
            msgid=ids[0],
            plural=ids[1],
            texts=texts,
            plural_rule=catalogue.plural_expr,
            file=str(path),
            line=message.lineno or 0,
            from_clinic=from_clinic,
        )
    return entries


def message_key(message: CatalogMessage) -> Key:
    """Return the key of a Babel message."""
    return (message.context or "", message_ids(message)[0])


def message_ids(message: CatalogMessage) -> tuple[str, str]:
    """Return (msgid, plural msgid or "") of a Babel message."""
    ids = message.id if isinstance(message.id, list | tuple) else (message.id, "")
    return str(ids[0]), str(ids[1])


def message_texts(message: CatalogMessage) -> tuple[str, ...]:
    """Return the translated forms of a Babel message, "" for each empty one."""
    texts = message.string if isinstance(message.string, list | tuple) else (message.string,)
    return tuple(str(text or "") for text in texts)


def read_catalogue(path: Path, tag: str) -> Catalog:
    """Read one PO file with everything in it, fuzzy entries and comments too.

    Raises:
        InputFault: The file is not a readable PO file; names the line.
    """
    locale = tag.replace("-", "_")
    text = _text(path)
    try:
        catalogue = read_po(StringIO(text), locale=locale, domain=DOMAIN, abort_invalid=True)
    except PoFileError as fault:
        raise _fault(path, fault.lineno + 1, _in_one_line(fault), "PO syntax") from fault
    catalogue.charset = "utf-8"
    if "Plural-Forms" not in dict(catalogue.mime_headers):
        forms, rule = plural_rule(tag)
        vars(catalogue).update(_num_plurals=forms, _plural_expr=rule)
    _refuse_odd_rule(path, catalogue)
    for message in (*catalogue, *catalogue.obsolete.values()):
        _take_previous(message)
    return catalogue


def _take_previous(message: CatalogMessage) -> None:
    # The library's reader takes "#| msgid" lines for the translator's own remarks.
    lines = [one[1:].strip() for one in message.user_comments if one.startswith("|")]
    if not lines:
        return
    message.user_comments = [one for one in message.user_comments if not one.startswith("|")]
    starts = [i for i, line in enumerate(lines) if line.startswith("msgid")]
    parts = [lines[start:end] for start, end in pairwise([*starts, len(lines)])]
    message.previous_id = [
        denormalize("\n".join([part[0].split(" ", 1)[1], *part[1:]])) for part in parts
    ]


def _in_one_line(fault: PoFileError) -> str:
    """Return what the library says; it quotes the file, whatever stands there."""
    return "".join(c if c.isprintable() else " " for c in " ".join(str(fault).split()))


def _text(path: Path) -> str:
    """Return the file's text, UTF-8 whatever its header says, refusing what is no PO syntax.

    The library's reader guesses where a quote is missing; a lost sentence is no guess.
    """
    lines = []
    for number, line in enumerate(path.read_bytes().split(b"\n"), start=1):
        try:
            text = line.decode().strip()
        except UnicodeDecodeError:
            raise _fault(path, number, "bytes that are not UTF-8", "UTF-8 text") from None
        if text and not _LINE.fullmatch(text):
            raise _fault(path, number, repr(text[:60]), "PO syntax: keyword and quoted text")
        lines.append(text)
    return "\n".join(lines)


def _refuse_odd_rule(path: Path, catalogue: Catalog) -> None:
    try:
        rule = c2py(catalogue.plural_expr)
        fits = all(0 <= rule(count) < catalogue.num_plurals for count in range(201))
    except (ValueError, ZeroDivisionError, RecursionError):
        fits = False
    if not fits:
        found = f"Plural-Forms: {catalogue.plural_forms}"
        raise _fault(path, 1, found, "a rule that gives a form for every count")


def _fault(path: Path, line: int, found: str, allowed: str) -> InputFault:
    return InputFault([Issue(Place(str(path), line), "catalogue", found, allowed)])
