"""What a block needs to know of its surroundings when it is measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Protocol

from docbuilder.caching import memo
from docbuilder.document.blocks import Block
from docbuilder.document.scene import Tone
from docbuilder.layout.boxes import Box
from docbuilder.layout.lettering import Align, TextStyle
from docbuilder.layout.structure import Element
from docbuilder.layout.styles import Look

if TYPE_CHECKING:
    from docbuilder.layout.loans import Loans

__all__ = ["Flow", "MeasureAll"]


@dataclass(frozen=True, slots=True)
class Flow:
    """The look, the language and direction, and the body size where a block stands."""

    look: Look
    language: str
    rtl: bool
    text_pt: float
    page_height: float
    """Height of an empty page's body, in points."""
    outline: bool = True
    """Headings become bookmarks; not in the second column of a bilingual document."""
    fillable: bool = False
    """Room to write in becomes a field to type in as well."""
    zeros: tuple[tuple[str, str], ...] = ()
    """The zero of a language's own digits, where it is chosen."""
    narrow: bool = False
    """One of the columns is narrow: the headings of both are of one size."""

    loans: Loans | None = field(default=None, compare=False, repr=False)
    """Where measured blocks are borrowed; None: every block is measured anew."""
    _styles: dict[tuple[Any, ...], TextStyle] = field(
        default_factory=memo, compare=False, repr=False, init=False
    )

    def style(
        self,
        size_pt: float | None = None,
        *,
        bold: bool = False,
        tone: Tone = "black",
        align: Align = "start",
        leading: float | None = None,
    ) -> TextStyle:
        """Return a text style in this language and direction."""
        key = (size_pt, bold, tone, align, leading)
        style = self._styles.get(key)
        if style is None:
            ink = self.look.accent_ink if tone == "accent" else self.look.colour(tone)
            style = self._styles[key] = TextStyle(
                size_pt=size_pt or self.text_pt,
                ink=ink,
                language=self.language,
                rtl=self.rtl,
                bold=bold,
                align=align,
                leading=leading,
            )
        return style

    def own_digits(self, number: str) -> str:
        """Return a number that counts pages or steps, in the digits chosen for the language."""
        zero = ord(dict(self.zeros).get(self.language, "0"))
        return "".join(chr(zero + int(digit)) for digit in number)

    def sized(self, text_pt: float) -> Flow:
        """Return the same surroundings with another body size."""
        return replace(self, text_pt=text_pt)

    def space(self, steps: float) -> float:
        """Return *steps* of the vertical rhythm in points."""
        return self.look.space(steps)


class MeasureAll(Protocol):
    """Measures a sequence of blocks; handed to blocks that hold blocks."""

    def __call__(
        self, blocks: Sequence[Block], width: float, flow: Flow, parent: Element
    ) -> list[Box]:
        """Return the boxes in order."""
