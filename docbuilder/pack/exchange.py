"""Takes translators' files back into a catalogue: all of a file, or nothing of it."""

from __future__ import annotations

from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.catalog import Message as CatalogMessage

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.language.catalogue import message_ids, message_key, message_texts
from docbuilder.language.marks import placeholders_in
from docbuilder.language.review import key_digest
from docbuilder.language.xliff import Unit, read_xliff, units_of

__all__ = ["import_po", "import_xliff"]


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
