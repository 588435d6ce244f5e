"""The outline: headings as bookmarks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from docbuilder.layout.objects import Raw
from docbuilder.layout.structure import text_string

__all__ = ["Bookmark", "write_outline"]


@dataclass(frozen=True, slots=True)
class Bookmark:
    """An outline entry: *level* from 1, the page's index and the height to show."""

    level: int
    title: str
    page: int
    top: float


def write_outline(
    bookmarks: Sequence[Bookmark], pages: Sequence[str], add: Callable[[Raw], str]
) -> Raw:
    """Return the outline of at least one bookmark; *pages* are the pages' references."""
    outline = Raw()
    outline_at = add(outline)
    entries = [Raw() for _ in bookmarks]
    at = [add(entry) for entry in entries]
    parents, kids = _outline_tree([mark.level for mark in bookmarks])
    for index, mark in enumerate(bookmarks):
        parent = parents[index]
        family = kids[parent]
        place = family.index(index)
        parts = [
            f"<</Title{text_string(mark.title)}",
            f"/Parent {outline_at if parent is None else at[parent]}",
            f"/Dest[{pages[mark.page]}/XYZ null {mark.top:.2f} null]",
        ]
        if place:
            parts.append(f"/Prev {at[family[place - 1]]}")
        if place + 1 < len(family):
            parts.append(f"/Next {at[family[place + 1]]}")
        if own := kids.get(index):
            parts.append(f"/First {at[own[0]]}/Last {at[own[-1]]}/Count {len(own)}")
        entries[index].source = ("".join(parts) + ">>").encode("ascii")
    top = kids[None]
    outline.source = (
        f"<</Type/Outlines/First {at[top[0]]}/Last {at[top[-1]]}/Count {len(bookmarks)}>>"
    ).encode("ascii")
    return outline


def _outline_tree(
    levels: Sequence[int],
) -> tuple[list[int | None], dict[int | None, list[int]]]:
    """Return each entry's parent and each parent's kids, by index."""
    parents: list[int | None] = []
    kids: dict[int | None, list[int]] = {}
    open_entries: list[int] = []
    for index, level in enumerate(levels):
        while open_entries and levels[open_entries[-1]] >= level:
            open_entries.pop()
        parent = open_entries[-1] if open_entries else None
        parents.append(parent)
        kids.setdefault(parent, []).append(index)
        open_entries.append(index)
    return parents, kids
