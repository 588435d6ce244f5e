"""What a box asks for where a document can be filled in on a screen.

A box that prints room to write in holds an asker or none, and calls it with its frame when
it is drawn. The Form element is made when the box is measured, so that fields are read and
reached in the order of the page.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from docbuilder.document.blocks import Runs
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import Frame
from docbuilder.layout.pen import Pen
from docbuilder.layout.structure import Element

__all__ = ["Asker", "choice_askers", "plain", "signature_asker", "text_asker", "tick_asker"]

Asker = Callable[[Pen, Frame], None]
"""Puts a field over a frame of the page that is being drawn."""


_UNSEEN = dict.fromkeys((0x200B, 0x2060))


def plain(runs: Runs) -> str:
    """Return the words of *runs* on one line, without marks that steer the page."""
    lines = "".join(run.text for run in runs).translate(_UNSEEN).splitlines()
    return " / ".join(" ".join(line.split()) for line in lines)


def text_asker(
    flow: Flow, parent: Element, says: str, lines: int = 1, kind: str = "text"
) -> Asker | None:
    """Return an asker for words; None where the document is for paper alone."""
    size = min(flow.text_pt, 14.0)
    return _asker(
        flow,
        parent,
        lambda form, pen, frame: pen.file.fields.text(
            form, pen.page, frame, says, size, lines, kind, flow.rtl
        ),
    )


def signature_asker(flow: Flow, parent: Element, says: str) -> Asker | None:
    """Return an asker for a signature; None where the document is for paper alone."""
    return _asker(
        flow,
        parent,
        lambda form, pen, frame: pen.file.fields.signature(form, pen.page, frame, says),
    )


def tick_asker(flow: Flow, parent: Element, says: str) -> Asker | None:
    """Return an asker for a tick; None where the document is for paper alone."""
    return _asker(
        flow, parent, lambda form, pen, frame: pen.file.fields.tick(form, pen.page, frame, says)
    )


def _asker(flow: Flow, parent: Element, put: Callable[[Element, Pen, Frame], None]) -> Asker | None:
    if not flow.fillable:
        return None
    return partial(put, parent.child("Form"))


def choice_askers(
    flow: Flow, parents: Sequence[Element], says: str, words: Sequence[str]
) -> list[Asker | None]:
    """Return an asker for each of *words*, of which one can be chosen.

    The boxes stand on one line, so the group is complete when the last is drawn.
    """
    if not flow.fillable:
        return [None for _ in words]
    drawn: list[tuple[Element, Frame, str]] = []

    def asker(form: Element, word: str) -> Asker:
        def ask(pen: Pen, frame: Frame) -> None:
            drawn.append((form, frame, word))
            if len(drawn) == len(words):
                pen.file.fields.choice(pen.page, says, drawn)
                drawn.clear()  # the boxes may be lent to another document

        return ask

    forms = [parent.child("Form") for parent in parents]
    return [asker(form, word) for form, word in zip(forms, words, strict=True)]
