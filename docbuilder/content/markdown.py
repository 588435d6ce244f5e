"""Rendered template text to typed blocks, by way of Python-Markdown's element tree.

Only what a document can hold is let through: headings, paragraphs, bold, lists,
tables, line breaks and links. Any other Markdown, and all HTML, is a template fault.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterable, Iterator
from typing import Literal, cast
from xml.etree.ElementTree import Element

from markdown import Markdown

from docbuilder.caching import kept
from docbuilder.content.tokens import BlockToken, Fact, Picture, TemplateFault, TokenStore
from docbuilder.document.blocks import (
    Block,
    Column,
    Heading,
    ListBlock,
    Paragraph,
    Run,
    Runs,
    Table,
)

__all__ = ["closed_up", "parse_blocks", "parse_runs", "split_pictures"]

_SCHEMES = ("https:", "tel:", "mailto:")
_ALIGN: dict[str, Literal["start", "end", "centre"]] = {
    "text-align: left;": "start",
    "text-align: center;": "centre",
    "text-align: right;": "end",
}
Inline = Run | BlockToken | Picture

_AFTER_WIDE_MARK = re.compile("(?<=[\u3001\u3002\uff01\uff09\uff0c\uff1a\uff1b\uff1f]) +")


def parse_blocks(source: str, store: TokenStore) -> tuple[Block, ...]:
    """Turn rendered template text into blocks, tokens put back.

    Raises:
        TemplateFault: Markdown or HTML that a document cannot hold.
    """
    text, numbers = store.lifted(source)
    if not numbers:
        return _plain_blocks(text)
    return tuple(_blocks(_tree(text), store.seen(numbers)))


@kept(2048)
def _plain_blocks(text: str) -> tuple[Block, ...]:
    """Return the blocks of a text without tokens: the same objects for every document."""
    return tuple(_blocks(_tree(text), TokenStore()))


def parse_runs(source: str, store: TokenStore) -> Runs:
    """Turn one sentence with at most bold and facts in it into runs.

    Raises:
        TemplateFault: It holds more than one paragraph, or a block.
    """
    blocks = parse_blocks(source, store)
    if not blocks:
        return ()
    if len(blocks) > 1 or not isinstance(blocks[0], Paragraph):
        raise TemplateFault("one sentence is wanted here, not several blocks")
    return blocks[0].runs


def split_pictures(item: str, store: TokenStore) -> tuple[str, Picture | None]:
    """Take the picture token out of a step's text; at most one."""
    pictures = [part for part in store.split(item) if isinstance(part, Picture)]
    if len(pictures) > 1:
        raise TemplateFault("a step has two pictures")
    for picture in pictures:
        item = item.replace(picture.token, "")
    return item, pictures[0] if pictures else None


@kept(2048)
def _tree(source: str) -> Element:
    """Return the element tree of a text with its tokens numbered from 0; not to be changed.

    Templates give the same texts again and again, whatever their tokens stand for.
    """
    engine = _engine()
    engine.reset()
    lines = source.strip().split("\n")
    for preprocessor in engine.preprocessors:
        lines = preprocessor.run(lines)
    root = cast(Element, engine.parser.parseDocument(lines).getroot())
    for processor in engine.treeprocessors:
        changed = processor.run(root)
        root = root if changed is None else changed
    if engine.htmlStash.html_counter or engine.references:
        raise TemplateFault("HTML, character names (&...;) and link references are not allowed")
    return root


def _engine() -> Markdown:
    """Return this thread's engine: it keeps state while it works."""
    engine: Markdown | None = getattr(_own, "engine", None)
    if engine is None:
        engine = _own.engine = Markdown(extensions=["tables"])
    return engine


_own = threading.local()


def _blocks(parent: Element, store: TokenStore) -> Iterator[Block]:
    for element in parent:
        maker = _MAKERS.get(element.tag)
        if maker is None:
            raise TemplateFault(f"the Markdown element <{element.tag}> has no place in a document")
        yield from maker(element, store)


def _heading(element: Element, store: TokenStore) -> Iterator[Block]:
    level = int(element.tag[1])
    yield Heading(cast(Literal[1, 2, 3], level), _only_runs(element, store))


def _paragraph(element: Element, store: TokenStore) -> Iterator[Block]:
    yield from _paragraphs(_inline(element, store))


def _paragraphs(parts: tuple[Inline, ...]) -> Iterator[Block]:
    """Blocks that stand in the running text come out between its paragraphs."""
    runs: list[Run] = []
    for part in parts:
        if isinstance(part, Run):
            runs.append(part)
        elif isinstance(part, BlockToken):
            yield from _flushed(runs)
            runs = []
            yield part.block
        else:
            raise TemplateFault("a picture stands outside a step")
    yield from _flushed(runs)


def _flushed(runs: list[Run]) -> Iterator[Block]:
    tidy = _joined(runs)
    if tidy:
        yield Paragraph(tidy)


def _list(element: Element, store: TokenStore) -> Iterator[Block]:
    items: list[tuple[Block, ...]] = []
    for item in element:
        own = Element("p")
        own.text = item.text
        nested = [child for child in item if child.tag in _MAKERS]
        own.extend(child for child in item if child.tag not in _MAKERS)
        blocks = [*_paragraphs(_inline(own, store))]
        for child in nested:
            blocks.extend(_MAKERS[child.tag](child, store))
        items.append(tuple(blocks))
    start = int(element.get("start", "1"))
    yield ListBlock(tuple(items), ordered=element.tag == "ol", start=start)


def _table(element: Element, store: TokenStore) -> Iterator[Block]:
    heads = element.findall("thead/tr/th")
    columns = tuple(
        Column(_only_runs(head, store), 1 / len(heads), _ALIGN.get(head.get("style", ""), "start"))
        for head in heads
    )
    rows = tuple(
        tuple(_only_runs(cell, store) for cell in row) for row in element.findall("tbody/tr")
    )
    yield Table(columns, rows)


_MAKERS: dict[str, Callable[[Element, TokenStore], Iterator[Block]]] = {
    "h1": _heading,
    "h2": _heading,
    "h3": _heading,
    "p": _paragraph,
    "ul": _list,
    "ol": _list,
    "table": _table,
}


def _only_runs(element: Element, store: TokenStore) -> Runs:
    parts = _inline(element, store)
    if not all(isinstance(part, Run) for part in parts):
        raise TemplateFault(f"only text may stand in <{element.tag}>")
    return _joined([part for part in parts if isinstance(part, Run)])


def _inline(
    element: Element, store: TokenStore, bold: bool = False, link: str | None = None
) -> tuple[Inline, ...]:
    parts: list[Inline] = [*_text(element.text, store, bold, link)]
    for child in element:
        if child.tag == "strong":
            parts.extend(_inline(child, store, True, link))
        elif child.tag == "a":
            parts.extend(_inline(child, store, bold, _checked_link(child, store)))
        elif child.tag == "br":
            parts.append(Run("\n", bold=bold))
        else:
            raise TemplateFault(f"the Markdown element <{child.tag}> has no place in a document")
        parts.extend(_text(child.tail, store, bold, link))
    return tuple(parts)


def _checked_link(element: Element, store: TokenStore) -> str:
    if element.get("title"):
        raise TemplateFault("a link has no title on paper")
    parts = list(store.split(element.get("href", "")))
    href = "".join(part.text if isinstance(part, Fact) else str(part) for part in parts)
    if not href.startswith(_SCHEMES):
        raise TemplateFault("a link may only start with https:, tel: or mailto:")
    return href


def _text(
    text: str | None, store: TokenStore, bold: bool, link: str | None
) -> Iterator[Run | BlockToken | Picture]:
    for part in store.split((text or "").replace("\n", " ")):
        if isinstance(part, str):
            yield Run(part, bold=bold, link=link)
        elif isinstance(part, Fact):
            run = store.run(part, bold)
            yield run if link is None else Run(run.text, bold, link, run.language)
        else:
            yield part


def _joined(runs: list[Run]) -> Runs:
    """Join neighbours of one style and trim the ends; facts stay inside one run."""
    joined: list[Run] = []
    for run in runs:
        if joined and _style(joined[-1]) == _style(run):
            joined[-1] = Run(joined[-1].text + run.text, *_style(run))
        else:
            joined.append(run)
    if joined:
        joined[0] = Run(joined[0].text.lstrip(" "), *_style(joined[0]))
        joined[-1] = Run(joined[-1].text.rstrip(" "), *_style(joined[-1]))
    return tuple(closed_up(run for run in joined if run.text))


def closed_up(runs: Iterable[Run]) -> Iterator[Run]:
    """Drop the space after a full-width mark: the mark brings its own, also between runs."""
    before = ""
    for run in runs:
        text = _AFTER_WIDE_MARK.sub("", before + run.text)[len(before) :]
        if text:
            yield Run(text, *_style(run))
            before = text[-1]


def _style(run: Run) -> tuple[bool, str | None, str | None]:
    return run.bold, run.link, run.language
