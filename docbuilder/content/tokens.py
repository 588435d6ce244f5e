"""Values and blocks on their way through a template, as opaque tokens.

Jinja and Markdown work on one long text. Whatever is not template text (a patient's
name, a computed date, a finished table) travels through them as a short token of
private-use characters and is put back after parsing. So no value is ever read as
markup, whatever is written in it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from docbuilder.caching import kept
from docbuilder.document.blocks import Block, Run
from docbuilder.document.scene import Scene

__all__ = ["BlockToken", "Fact", "Picture", "Prose", "TemplateFault", "TokenStore"]

_OPEN, _CLOSE, _ZERO = "\ue000", "\ue00f", 0xE100
_TOKEN = re.compile(f"{_OPEN}([\ue100-\ue10f]+){_CLOSE}")
_LINE_BREAKS = re.compile(r"[\r\n\t\v\f\u0085\u2028\u2029]+")


class TemplateFault(Exception):
    """A template asks for something that documents do not have; caught in `assemble`."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One value for a template: its text, and what a `Run` may say about it.

    `str(fact)` is the token, never the text. *number* lets a plural form choose.
    """

    token: str
    text: str
    link: str | None = None
    language: str | None = None
    number: int | None = None

    def __str__(self) -> str:
        return self.token

    def __bool__(self) -> bool:
        return bool(self.text)


@dataclass(frozen=True, slots=True)
class Picture:
    """A small drawing for the step in whose text it stands."""

    token: str
    scene: Scene
    alt: str

    def __str__(self) -> str:
        return self.token


@dataclass(frozen=True, slots=True)
class BlockToken:
    """A finished block; stands in a paragraph of its own."""

    token: str
    block: Block


Entry = Fact | Picture | BlockToken

_LOOKS_LIKE_BLOCK = re.compile(r"^(\s*)(#|[-+*>](?=\s)|\d+[.)](?=\s))")


class Prose(str):
    """A sentence from the template or its catalogue: may hold `**bold**`, nothing else.

    Filling its placeholders keeps it prose; only facts may fill them.
    """

    __slots__ = ()

    def __mod__(self, values: Any) -> Prose:
        for name, value in dict(values).items():
            if not isinstance(value, Fact):
                raise TemplateFault(f"the placeholder {name} was not filled with a fact")
        return Prose(super().__mod__(values))

    @classmethod
    def from_catalogue(cls, text: str) -> Prose:
        """Return *text* on one line, with nothing at its start that opens a block."""
        line = " ".join(text.split("\n")).replace("|", "\\|")
        return cls(_LOOKS_LIKE_BLOCK.sub(_escaped, line))


def _escaped(found: re.Match[str]) -> str:
    mark = found[2]
    return found[1] + (f"\\{mark}" if len(mark) == 1 else f"{mark[:-1]}\\{mark[-1]}")


@kept(4096)
def _token(number: int) -> str:
    return _OPEN + "".join(chr(_ZERO + int(digit, 16)) for digit in f"{number:x}") + _CLOSE


@kept(4096)
def _number(digits: str) -> int:
    return int("".join(f"{ord(digit) - _ZERO:x}" for digit in digits), 16)


class TokenStore:
    """Hands out tokens for one document and puts their contents back."""

    def __init__(self) -> None:
        self._entries: list[Entry] = []

    def _next(self) -> str:
        return _token(len(self._entries))

    def fact(
        self,
        text: str,
        *,
        link: str | None = None,
        language: str | None = None,
        number: int | None = None,
    ) -> Fact:
        """Keep *text* and return the fact that stands for it; line breaks become spaces."""
        entry = Fact(self._next(), _LINE_BREAKS.sub(" ", text), link, language, number)
        self._entries.append(entry)
        return entry

    def block(self, block: Block) -> Prose:
        """Keep a finished block and return its token, a paragraph of its own."""
        entry = BlockToken(self._next(), block)
        self._entries.append(entry)
        return Prose(f"\n\n{entry.token}\n\n")

    def picture(self, scene: Scene, alt: str) -> Picture:
        """Keep a step's picture and return its token."""
        entry = Picture(self._next(), scene, alt)
        self._entries.append(entry)
        return entry

    def lifted(self, text: str) -> tuple[str, tuple[int, ...]]:
        """Return *text* with its tokens numbered from 0, and the numbers that they had.

        So two texts of one template are equal whatever stands before them in the document.
        """
        numbers: list[int] = []

        def renumbered(token: re.Match[str]) -> str:
            numbers.append(_number(token[1]))
            return _token(len(numbers) - 1)

        return _TOKEN.sub(renumbered, text), tuple(numbers)

    def seen(self, numbers: tuple[int, ...]) -> TokenStore:
        """Return a view in which token n is the one that has *numbers*[n] here.

        Raises:
            TemplateFault: A token of no entry.
        """
        if any(number >= len(self._entries) for number in numbers):
            raise TemplateFault("a token without a value")
        view = TokenStore()
        view._entries = [self._entries[number] for number in numbers]
        return view

    def split(self, text: str) -> Iterator[str | Entry]:
        """Yield template text and kept entries in order; contents are not read again.

        Raises:
            TemplateFault: A token of no entry: private-use characters in a template or
                a catalogue.
        """
        for index, part in enumerate(_TOKEN.split(text)):
            if index % 2:
                number = _number(part)
                if number >= len(self._entries):
                    raise TemplateFault("a token without a value")
                yield self._entries[number]
            elif part:
                yield part

    def run(self, fact: Fact, bold: bool = False) -> Run:
        """Return the text of *fact* as one run."""
        return Run(fact.text, bold=bold, link=fact.link, language=fact.language)
