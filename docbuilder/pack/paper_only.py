"""Fields to fill in on a screen, taken out of a paper that is about to be printed.

A field adds nothing to the print (`docbuilder.layout.form_fields`), and without the form
that its own file has it would be a fault in another one. With it go its Form element, every
element that held nothing else, and what only fields used.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from docbuilder.pack.print_source import REFERENCE, PaperSource, PdfObject

__all__ = ["without_fields"]

_FIELD, _FORM = b"/Subtype/Widget", b"/S/Form/"
_CELL = re.compile(rb"/S/T[DH]/")
"""An empty cell stays, since its column counts."""
_NOTES = re.compile(rb"/Annots\[([^\]]*)\]")
_NUMS = re.compile(rb"(\d+) (\d+) 0 R ?")
_KIDS = re.compile(rb"/K\[([^\[\]]*)\]")
_PARENT = re.compile(rb"/P (\d+) 0 R")


def without_fields(source: PaperSource) -> None:
    """Take all fields out of *source*; a paper that has none is left as it is."""
    objects = source.objects
    fields = {number for number, one in objects.items() if _FIELD in one.head}
    if not fields:
        return
    gone = fields | _emptied(objects)
    for page in source.kids:
        _edit(objects, page, lambda head: _NOTES.sub(lambda match: _notes(match, fields), head))
    _edit(objects, source.parents, lambda head: _NUMS.sub(lambda one: _entry(one, gone), head))
    _keep_reached(source)


def _emptied(objects: dict[int, PdfObject]) -> set[int]:
    """Take the Form elements from their parents; return all elements that are gone."""
    gone: set[int] = set()
    waiting = [number for number, one in objects.items() if _FORM in one.head]
    while waiting:
        number = waiting.pop()
        gone.add(number)
        parent = _PARENT.search(objects[number].head)
        if parent is None:
            raise ValueError("an element without its parent")
        above = int(parent[1])
        _edit(objects, above, lambda head: _KIDS.sub(lambda match: _kids(match, gone), head))
        head = objects[above].head
        if _KIDS.search(head) is None and not _CELL.search(head):
            waiting.append(above)
    return gone


def _edit(objects: dict[int, PdfObject], number: int, change: Callable[[bytes], bytes]) -> None:
    body = objects[number]
    objects[number] = PdfObject(change(body.head), body.stream)


def _kids(match: re.Match[bytes], gone: set[int]) -> bytes:
    left = REFERENCE.sub(lambda one: b"" if int(one[1]) in gone else one[0], match[1]).split()
    # A reference within a dictionary is not one of the kids: its words stay together.
    return b"/K[%b]" % b" ".join(left) if left else b""


def _notes(match: re.Match[bytes], fields: set[int]) -> bytes:
    left = [one for one in REFERENCE.findall(match[1]) if int(one) not in fields]
    return b"/Annots[%b]" % b" ".join(b"%b 0 R" % one for one in left) if left else b""


def _entry(match: re.Match[bytes], gone: set[int]) -> bytes:
    return b"" if int(match[2]) in gone else match[0]


def _keep_reached(source: PaperSource) -> None:
    """Drop what nothing leads to any more: looks, groups of boxes, the font to type with."""
    reached: set[int] = set()
    waiting = [source.pages, source.tree, source.outline, source.intents]
    while waiting:
        number = waiting.pop()
        if number not in reached and number in source.objects:
            reached.add(number)
            waiting += [int(one) for one in REFERENCE.findall(source.objects[number].head)]
    source.dropped |= set(source.objects) - reached
