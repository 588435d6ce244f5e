"""Parting what is wider than a line: between clusters, as a last resort.

Both halves keep the joining forms that the whole word gives them.
"""

from __future__ import annotations

from docbuilder.document.blocks import Run
from docbuilder.text.items import CONTEXT, Item, Prepared, Stretch
from docbuilder.text.shaping import shape

__all__ = ["parted"]


def parted(
    prepared: Prepared, stretch: Stretch, width: float, runs: tuple[Run, ...], language: str
) -> list[list[Item]]:
    """Part a stretch that is wider than the line between clusters; the last part is open."""
    parts: list[list[Item]] = [[]]
    used = 0
    word = prepared.text[stretch.items[0].start : stretch.items[-1].end]
    waiting = list(stretch.items)[::-1]
    while waiting:
        item = waiting.pop()
        if item.space or used + item.word.width <= width:
            parts[-1].append(item)
            used += item.word.width
            continue
        cut = _cut(
            item, word, stretch.items[0].start, width - used, runs[item.run].language or language
        )
        if cut is not None:
            item, rest = cut
            parts[-1].append(item)
            item = rest
        elif not parts[-1]:
            raise ValueError("a single character is wider than the line")
        parts.append([])
        used = 0
        waiting.append(item)
    return parts


def _cut(
    item: Item, whole: str, offset: int, room: float, language: str
) -> tuple[Item, Item] | None:
    """Cut an item behind the last cluster that fits in *room*.

    Args:
        item: The item.
        whole: The text of the stretch, which starts at *offset*; both halves keep the
            joining forms that it gives them.
        offset: Where the stretch starts in the paragraph.
        room: Thousandths of an em.
        language: BCP 47 tag.
    """
    word = item.word
    # Joining forms may change where a word is cut, so what nearly fits is tried too.
    count = 0
    for cluster in word.clusters:
        if (word.width - cluster.x if word.rtl else cluster.x) > room + 1000:
            break
        count += 1
    start, end = item.start - offset, item.end - offset
    for cluster in reversed(word.clusters[1 : count + 1]):
        middle = start + cluster.start
        head, tail = (
            shape(
                word.font, whole[first:last], word.rtl, language,
                whole[max(0, first - CONTEXT) : first], whole[last : last + CONTEXT],
            )
            for first, last in ((start, middle), (middle, end))
        )  # fmt: skip
        if head.width <= room:
            cut = offset + middle
            return item._replace(word=head, end=cut), item._replace(word=tail, start=cut)
    return None
