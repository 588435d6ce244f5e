"""Checks of a whole catalogue: every rule over every translation, gaps first.

A mismatch that a translator has looked at and stands by is accepted in the PO file,
in the entry's own comment: ``# accept negation: "deje de" says it``. The rule's name
and a reason are both needed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.catalog import Message as CatalogMessage

from docbuilder.errors import Issue, Place
from docbuilder.language import marks, wording
from docbuilder.language.catalogue import message_ids, message_key, message_texts, read_catalogue
from docbuilder.language.pairs import Fault, Pair, Rule, counts_of_form
from docbuilder.language.registry import Language, find_language

__all__ = ["RULES", "Coverage", "check_catalogue", "check_file", "check_pair"]

RULES: Mapping[str, Rule] = {
    "placeholders": marks.check_placeholders,
    "numbers": marks.check_numbers,
    "units": marks.check_units,
    "markdown": marks.check_markdown,
    "isolates": marks.check_isolates,
    "negation": wording.check_negation,
    "only": wording.check_only,
    "glossary": wording.check_glossary,
    "leftovers": wording.check_leftovers,
    "letters": wording.check_letters,
    "untranslated": wording.check_untranslated,
    "ending": marks.check_ending,
    "spaces": marks.check_spaces,
    "length": marks.check_length,
    "sentences": marks.check_sentences,
}
"""Every rule by the name that prints in the report and that an acceptance uses."""

Coverage = Callable[[str, str], Iterable[str]]
"""Takes (language tag, text), gives the characters that no font of ours has."""

_ACCEPT = re.compile(r"^accept (\w+): *(\S.*)$")


def check_file(
    path: Path, tag: str, wanted: Catalog | None = None, coverage: Coverage | None = None
) -> list[Issue]:
    """Check the PO file of one language.

    Args:
        path: The PO file.
        tag: Its language.
        wanted: The template (POT); its messages that the file lacks are faults.
        coverage: Finds characters without a glyph; None leaves that check out.

    Returns:
        What is wrong, in file order.

    Raises:
        InputFault: Unknown language or unreadable file.
    """
    language = find_language(tag)
    return check_catalogue(read_catalogue(path, tag), language, str(path), wanted, coverage)


def check_catalogue(
    catalogue: Catalog,
    language: Language,
    file: str,
    wanted: Catalog | None = None,
    coverage: Coverage | None = None,
) -> list[Issue]:
    """Check a catalogue already read; see `check_file`."""
    issues = list(_absent(catalogue, wanted, file))
    for message in catalogue:
        if not message.id:
            continue
        place = Place(file, message.lineno or 0)
        faults = list(_state(message, catalogue.num_plurals))
        if not faults:
            faults = list(_faults(message, catalogue, language, coverage))
        for name, fault in faults:
            issues.append(_issue(place, name, message, fault))
    return sorted(issues, key=lambda issue: issue.place.line)


def _absent(catalogue: Catalog, wanted: Catalog | None, file: str) -> Iterator[Issue]:
    here = {message_key(message) for message in catalogue if message.id}
    for message in wanted or ():
        if message.id and message_key(message) not in here:
            fault = Fault("no entry", "every message of the template", "merge the template")
            yield _issue(Place(file), "missing", message, fault)


def _state(message: CatalogMessage, forms: int) -> Iterator[tuple[str, Fault]]:
    texts = message_texts(message)
    if message.fuzzy:
        yield "fuzzy", Fault("a fuzzy translation", "one that somebody has looked at")
    elif not all(texts):
        yield "empty", Fault("no translation", "a translation")
    elif message_ids(message)[1] and len(texts) != forms:
        yield "plurals", Fault(f"{len(texts)} forms", f"{forms} forms")


def _faults(
    message: CatalogMessage, catalogue: Catalog, language: Language, coverage: Coverage | None
) -> Iterator[tuple[str, Fault]]:
    accepted = _accepted(message)
    for pair in _pairs(message, catalogue.plural_expr, language):
        for name, fault in check_pair(pair):
            if name not in accepted:
                yield name, fault
        if coverage is not None and (lacking := set(coverage(language.tag, pair.text))):
            shown = ", ".join(f"{char} (U+{ord(char):04X})" for char in sorted(lacking))
            yield "coverage", Fault(f"no glyph for {shown}", "characters of the language's font")


def check_pair(pair: Pair) -> Iterator[tuple[str, Fault]]:
    """Run every rule over one translated text; yields (rule name, fault)."""
    for name, rule in RULES.items():
        for fault in rule(pair):
            yield name, fault


def _pairs(message: CatalogMessage, plural_rule: str, language: Language) -> Iterator[Pair]:
    msgid, plural = message_ids(message)
    context = message.context or ""
    if not plural:
        yield Pair(language, context, msgid, message_texts(message)[0])
        return
    for form, text in enumerate(message_texts(message)):
        counts = counts_of_form(plural_rule, form)
        yield Pair(language, context, msgid if counts == (1,) else plural, text, counts)


def _accepted(message: CatalogMessage) -> set[str]:
    matches = (_ACCEPT.match(comment) for comment in message.user_comments)
    return {match[1] for match in matches if match}


def _issue(place: Place, name: str, message: CatalogMessage, fault: Fault) -> Issue:
    msgid = message_ids(message)[0].replace("\n", " ")
    short = msgid if len(msgid) <= 60 else f"{msgid[:57]}..."
    label = f"{name}: {message.context + ': ' if message.context else ''}{short}"
    return Issue(place, label, fault.found, fault.allowed, fault.hint)
