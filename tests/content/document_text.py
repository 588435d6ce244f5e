"""Reads a document's blocks back as text, without the layout."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from docbuilder.document.blocks import Block, Document, Heading, Run
from docbuilder.document.scene import Scene
from docbuilder.language.isolates import without_isolates

__all__ = [
    "blocks_of", "figure_labels", "groups_of", "legible", "outline", "runs_of", "sentences_of",
    "text_of",
]  # fmt: skip


def runs_of(part: object) -> Iterator[Run]:
    """Yield every run in reading order."""
    if isinstance(part, Run):
        yield part
    elif isinstance(part, tuple):
        for item in part:
            yield from runs_of(item)
    elif is_dataclass(part) and not isinstance(part, Scene):
        for field in fields(part):
            if field.name not in _REPEATED:
                yield from runs_of(getattr(part, field.name))


def strings_of(part: object) -> Iterator[str]:
    """Yield every text that prints or is read aloud: runs, labels, notes, alternates."""
    if isinstance(part, Run):
        yield part.text
    elif isinstance(part, str):
        yield part
    elif isinstance(part, Scene):
        yield from (label.text for label in part.labels)
    elif isinstance(part, tuple):
        if part and all(isinstance(item, Run) for item in part):
            yield "".join(item.text for item in part)
            return
        for item in part:
            yield from strings_of(item)
    elif is_dataclass(part):
        for field in fields(part):
            if field.name not in _CODES | _REPEATED:
                yield from strings_of(getattr(part, field.name))


_CODES = frozenset(
    {"kind", "role", "mark", "box", "align", "language", "paper", "accent", "key", "payload"}
    | {"second_language"}
)
"""Fields that hold a word of the program, never of the page. A calendar's key has no text
that its days do not have; a signature line's role is read through its runs."""


_REPEATED = frozenset({"asks"})
"""What stands elsewhere and names a field to fill in."""


def legible(text: str) -> str:
    """Return *text* without what only steers the setting: isolates, joiners, tied spaces."""
    return without_isolates(text).replace("\u2060", "").replace("\u00a0", " ")


def text_of(document: Document) -> str:
    """Return all text of a document as it reads, one string a line."""
    parts = [*strings_of(document.blocks), *strings_of(document.furniture)]
    parts += ["".join(run.text for run in runs_of(document.blocks))]
    return legible("\n".join(parts))


def sentences_of(document: Document) -> list[str]:
    """Return the paragraphs, items, steps and headings that a patient reads."""
    return [legible("".join(run.text for run in group)) for group in groups_of(document.blocks)]


def groups_of(part: object) -> Iterator[tuple[Run, ...]]:
    """Yield the runs of each paragraph, heading or cell together."""
    if isinstance(part, tuple):
        if part and all(isinstance(item, Run) for item in part):
            yield part
            return
        for item in part:
            yield from groups_of(item)
    elif is_dataclass(part) and not isinstance(part, Scene | Run):
        for field in fields(part):
            if field.name not in _REPEATED:
                yield from groups_of(getattr(part, field.name))


def blocks_of(part: object, kind: type) -> Iterator[Block]:
    """Yield every block of one kind, however deep."""
    if isinstance(part, kind):
        yield part  # type: ignore[misc]
    if isinstance(part, tuple):
        for item in part:
            yield from blocks_of(item, kind)
    elif is_dataclass(part) and not isinstance(part, Scene):
        for field in fields(part):
            if field.name not in _REPEATED:
                yield from blocks_of(getattr(part, field.name), kind)


def figure_labels(document: Document) -> Iterator[tuple[str, str]]:
    """Yield (key, text) of every label of every drawing."""
    for scene in blocks_of(document.blocks, Scene):
        yield from ((label.key, label.text) for label in scene.labels)  # type: ignore[attr-defined]


def outline(document: Document) -> list[tuple[int, str]]:
    """Return level and text of every heading in order."""
    return [
        (heading.level, "".join(run.text for run in heading.runs))
        for heading in blocks_of(document.blocks, Heading)
        if isinstance(heading, Heading)
    ]
