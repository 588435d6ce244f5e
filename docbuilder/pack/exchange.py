"""The catalogue that somebody works on, and translators' files taken back into it.

All of a file is taken, or nothing of it. A clinic works on the shipped translations
with its own on top; its folder keeps only what differs.
"""

from __future__ import annotations

from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.catalog import Message as CatalogMessage

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.language.catalogue import (
    catalogue_paths,
    message_ids,
    message_key,
    message_texts,
    read_catalogue,
)
from docbuilder.language.marks import placeholders_in
from docbuilder.language.merge import empty_catalogue, write_po_file
from docbuilder.language.registry import find_language
from docbuilder.language.review import key_digest
from docbuilder.language.words import SOURCE_TAG
from docbuilder.language.xliff import Unit, read_xliff, units_of

__all__ = [
    "import_po", "import_xliff", "known_translation", "own_path", "save_catalogue",
    "working_catalogue",
]  # fmt: skip


def known_translation(tag: str) -> str:
    """Return *tag* if it is a language that is translated into.

    Raises:
        InputFault: Unknown, or the source language itself.
    """
    if find_language(tag).tag == SOURCE_TAG:
        allowed = "a language other than the source's"
        raise InputFault([Issue(Place("command line"), "LANGUAGE", repr(tag), allowed)])
    return tag


def own_path(tag: str, clinic: Path | None = None) -> Path:
    """Return the PO file that is worked on: the clinic's if there is one, else ours."""
    return catalogue_paths(known_translation(tag), clinic)[-1][0]


def working_catalogue(tag: str, clinic: Path | None = None) -> Catalog:
    """Return the shipped catalogue, with the clinic's own translations on top."""
    paths = catalogue_paths(known_translation(tag), clinic)
    catalogue = empty_catalogue(tag)
    for path, from_clinic in paths:
        if not path.is_file():
            continue
        read = read_catalogue(path, tag)
        if not from_clinic:
            catalogue = read
            continue
        for message in read:
            if message.id and all(message_texts(message)):
                _lay_over(catalogue, message)
    return catalogue


def _lay_over(catalogue: Catalog, message: CatalogMessage) -> None:
    below = catalogue.get(message_ids(message)[0], message.context)
    if below is None:
        catalogue[message.id] = message
    else:
        below.string = message.string
        below.flags, below.user_comments = message.flags, message.user_comments


def save_catalogue(catalogue: Catalog, tag: str, clinic: Path | None = None) -> Path:
    """Write a working catalogue back to where it belongs; returns the file."""
    path = own_path(tag, clinic)
    if clinic is not None:
        shipped = working_catalogue(tag)
        own = empty_catalogue(tag)
        for message in catalogue:
            theirs = shipped.get(message_ids(message)[0], message.context)
            if message.id and any(message_texts(message)) and _differs(message, theirs):
                own[message.id] = message
        catalogue = own
    write_po_file(path, catalogue)
    return path


def _differs(message: CatalogMessage, other: CatalogMessage | None) -> bool:
    return (
        other is None
        or message_texts(message) != message_texts(other)
        or message.fuzzy != other.fuzzy
    )


def import_xliff(catalogue: Catalog, path: Path, tag: str) -> int:
    """Put the translated units of an XLIFF file into *catalogue*.

    Units in the state "initial" or without a target are left as they are.

    Returns:
        How many texts changed.

    Raises:
        InputFault: Another language, or a unit that the catalogue does not have or whose
            source differs; nothing was taken.
    """
    target, units = read_xliff(path)
    if target != tag:
        raise InputFault([Issue(Place(str(path)), "trgLang", repr(target), tag)])
    known = {unit.id: unit for unit in units_of(catalogue)}
    issues = [_misfit(unit, known.get(unit.id), str(path)) for unit in units.values()]
    faults = [issue for issue in issues if issue is not None]
    if faults:
        raise InputFault(faults)
    texts = {
        unit.id: unit.target for unit in units.values() if unit.target and unit.state != "initial"
    }
    changed = 0
    for message in catalogue:
        if not message.id:
            continue
        plural = message_ids(message)[1]
        digest = key_digest(message_key(message))
        old = message_texts(message)
        if plural:
            new = tuple(texts.get(f"{digest}-{form}", text) for form, text in enumerate(old))
        else:
            new = (texts.get(digest, old[0]),)
        changed += _replace(message, old, new)
    return changed


def _misfit(unit: Unit, known: Unit | None, file: str) -> Issue | None:
    short = unit.source[:60]
    if known is None or known.source != unit.source:
        return Issue(
            Place(file), short, "a source that the catalogue does not have", "an export of today",
            "export again; the source was changed since",
        )  # fmt: skip
    if unit.target and placeholders_in(unit.target) - placeholders_in(unit.source):
        return Issue(Place(file), short, "an unknown placeholder", "those of the source")
    return None


def import_po(catalogue: Catalog, incoming: Catalog, file: str) -> int:
    """Put the complete translations of another PO file into *catalogue*; see `import_xliff`."""
    changed, issues = 0, []
    planned = []
    for message in incoming:
        if not message.id or message.fuzzy or not all(message_texts(message)):
            continue
        own = catalogue.get(message_ids(message)[0], message.context)
        if own is None or message_ids(own) != message_ids(message):
            issues.append(
                Issue(Place(file, message.lineno or 0), message_ids(message)[0][:60],
                      "a source that the catalogue does not have", "an export of today")
            )  # fmt: skip
        elif len(message_texts(message)) != len(message_texts(own)):
            issues.append(
                Issue(Place(file, message.lineno or 0), message_ids(message)[0][:60],
                      "another number of plural forms", str(catalogue.num_plurals))
            )  # fmt: skip
        else:
            planned.append((own, message_texts(message)))
    if issues:
        raise InputFault(issues)
    for own, new in planned:
        changed += _replace(own, message_texts(own), new)
    return changed


def _replace(message: CatalogMessage, old: tuple[str, ...], new: tuple[str, ...]) -> int:
    if not all(new) or (new == old and not message.fuzzy):
        return 0
    message.string = new if message_ids(message)[1] else new[0]
    message.flags.discard("fuzzy")
    message.previous_id = []
    return 1
