"""Makes the template of all messages, merges it into a translation, writes PO files.

Files are the same for the same sources: no dates, no line numbers, messages in the
order of the sources. A translation whose source changed is kept as fuzzy, with the
old source beside it, and does not print until somebody has looked at it.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.catalog import Message as CatalogMessage
from babel.messages.pofile import write_po

from docbuilder.language.catalogue import DOMAIN, Key, message_ids, message_key, message_texts
from docbuilder.language.extract import Extracted
from docbuilder.language.plurals import plural_rule

__all__ = ["empty_catalogue", "make_template", "merge_catalogue", "po_bytes", "write_po_file"]

_ALIKE = 0.75
"""Least likeness of two sources for the old translation to be offered as fuzzy; by trial."""


def make_template(messages: Iterable[Extracted]) -> Catalog:
    """Return the catalogue of all messages, each once, in the order of file and line.

    Raises:
        ValueError: A message stands with and without a plural, or with two.
    """
    template = Catalog(domain=DOMAIN, charset="utf-8", fuzzy=False)
    plurals: dict[Key, str] = {}
    for found in sorted(messages, key=lambda one: (one.file, one.line)):
        key = (found.context, found.msgid)
        if plurals.setdefault(key, found.plural) != found.plural:
            raise ValueError(f"{found.file}:{found.line}: {found.msgid!r} has another plural")
        template.add(
            (found.msgid, found.plural) if found.plural else found.msgid,
            context=found.context or None,
            locations=[(found.file, 0)],
            auto_comments=list(found.comments),
        )
    return template


def empty_catalogue(tag: str) -> Catalog:
    """Return a catalogue without messages, with the language's plural rule."""
    locale = tag.replace("-", "_")
    catalogue = Catalog(locale=locale, domain=DOMAIN, charset="utf-8", fuzzy=False)
    forms, rule = plural_rule(tag)
    vars(catalogue).update(_num_plurals=forms, _plural_expr=rule)
    return catalogue


def merge_catalogue(old: Catalog, template: Catalog, tag: str) -> Catalog:
    """Return the catalogue of a language with exactly the messages of *template*.

    Translations of unchanged messages are kept as they are. For a changed message the
    translation of the most alike message that has gone is offered as fuzzy.
    Translations that are not needed any more are kept as obsolete.
    """
    merged = empty_catalogue(tag)
    merged.header_comment = old.header_comment
    known = {message_key(message): message for message in old.obsolete.values()}
    known.update({message_key(message): message for message in old if message.id})
    wanted = {message_key(message) for message in template if message.id}
    gone = {
        key: known[key] for key in known if key not in wanted and any(message_texts(known[key]))
    }
    for message in template:
        if message.id:
            _add(merged, message, known.get(message_key(message)), gone, merged.num_plurals)
    for message in gone.values():
        msgid = message_ids(message)[0]
        merged.obsolete[(msgid, message.context) if message.context else msgid] = message
    return merged


def _add(
    merged: Catalog,
    message: CatalogMessage,
    same: CatalogMessage | None,
    gone: dict[Key, CatalogMessage],
    forms: int,
) -> None:
    previous: tuple[str, ...] = ()
    source = same
    if same is None or not any(message_texts(same)):
        source = _most_alike(message, gone)
        if source is not None:
            gone.pop(message_key(source), None)
            previous = tuple(part for part in message_ids(source) if part)
    plural = bool(message_ids(message)[1])
    texts = message_texts(source) if source is not None else ()
    fuzzy = bool(previous) or (same is not None and same.fuzzy)
    if texts and len(texts) != (forms if plural else 1):
        texts, fuzzy = (texts[0],) * (forms if plural else 1), any(texts)
    texts = texts or ("",) * (forms if plural else 1)
    flags = (set(message.flags) - {"fuzzy"}) | ({"fuzzy"} if fuzzy and any(texts) else set())
    merged.add(
        message.id,
        texts if plural else texts[0],
        context=message.context,
        locations=message.locations,
        auto_comments=message.auto_comments,
        user_comments=list(same.user_comments) if same is not None else [],
        flags=flags,
        previous_id=previous or (tuple(same.previous_id) if same is not None and fuzzy else ()),
    )


def _most_alike(message: CatalogMessage, gone: dict[Key, CatalogMessage]) -> CatalogMessage | None:
    best, best_ratio = None, _ALIKE
    matcher = SequenceMatcher(autojunk=False)
    matcher.set_seq2(message_ids(message)[0])
    for candidate in gone.values():
        matcher.set_seq1(message_ids(candidate)[0])
        if matcher.real_quick_ratio() > best_ratio and matcher.quick_ratio() > best_ratio:
            ratio = matcher.ratio()
            if ratio > best_ratio:
                best, best_ratio = candidate, ratio
    return best


def po_bytes(catalogue: Catalog) -> bytes:
    """Return a catalogue as PO, without dates and line numbers.

    The language and plural rule stand in the header; a template (no locale) has none.
    """
    body = BytesIO()
    write_po(
        body, catalogue, width=0, omit_header=True, include_lineno=False, include_previous=True
    )
    head = ["Project-Id-Version: docbuilder"]
    if catalogue.locale is not None:
        head.append(f"Language: {str(catalogue.locale).replace('_', '-')}")
    head += ["MIME-Version: 1.0", "Content-Type: text/plain; charset=utf-8"]
    head.append("Content-Transfer-Encoding: 8bit")
    if catalogue.locale is not None:
        head.append(f"Plural-Forms: {catalogue.plural_forms}")
    lines = "".join(f'"{line}\\n"\n' for line in head)
    return f'msgid ""\nmsgstr ""\n{lines}\n'.encode() + body.getvalue()


def write_po_file(path: Path, catalogue: Catalog) -> bool:
    """Write a PO or POT file if it differs; returns whether it did."""
    data = po_bytes(catalogue)
    if path.is_file() and path.read_bytes() == data:
        return False
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return True
