"""Two documents of one plan, in two languages, as one document side by side.

Both come from the same template and the same plan, so they have the same blocks in the
same order; anything else is a bug of ours and stops the build. Text stands in aligned
pairs. What is filled in by hand stands once, in the first column or across both: two
boxes for one statement could be ticked two ways.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from docbuilder.document.blocks import (
    Block,
    CheckItem,
    Columns,
    Document,
    Furniture,
    Heading,
    KeepTogether,
    ListBlock,
    PageBreak,
    Pair,
    Pairs,
    Panel,
    Paragraph,
    QrCode,
    Run,
    Runs,
    SignatureBlock,
    SignatureLine,
    Table,
    WriteLines,
)
from docbuilder.language.isolates import FSI, PDI

__all__ = ["pair_documents"]

BILINGUAL_LARGE_PT = 16.0
"""Large print in half the width: 16 pt is its lower bound (RNIB clear print)."""
_MORE_LINES = 1
"""Lines to write on that are added where a line is only half as wide."""


def pair_documents(first: Document, second: Document, heads: tuple[str, str]) -> Document:
    """Set *second* beside *first*, block by block and list item by list item.

    Args:
        first: In the patient's language; its direction and furniture lead.
        second: The same document in the clinic's language.
        heads: What the two languages are called, each in its own.

    Raises:
        ValueError: The two do not have the same structure.
    """
    if first.kind != second.kind or first.language == second.language:
        raise ValueError("two documents of one kind in two languages are wanted")
    joiner = _Joiner(second.language, first.rtl != second.rtl)
    frame = Pairs((), second.language, second.rtl, ((Run(heads[0]),), _own(heads[1], second)))
    blocks = tuple(_paired(first.blocks, second.blocks, joiner, frame))
    return replace(
        first,
        blocks=blocks,
        furniture=_furniture(first, second, joiner),
        text_pt=min(first.text_pt, BILINGUAL_LARGE_PT),
        zeros=first.zeros + second.zeros,
    )


def _own(text: str, document: Document) -> Runs:
    return (Run(text, language=document.language),)


@dataclass(frozen=True, slots=True)
class _Joiner:
    """Joins two labels in one line, each keeping its direction and language."""

    language: str
    mixed: bool

    def text(self, first: str, second: str) -> str:
        if first == second or not first or not second:
            return first or second
        if self.mixed:
            return f"{FSI}{first}{PDI} / {FSI}{second}{PDI}"
        return f"{first} / {second}"

    def runs(self, first: Runs, second: Runs) -> Runs:
        if first == second or not first or not second:
            return first or self.marked(second)
        if self.mixed:
            middle = Run(f"{PDI} / {FSI}")
            return (Run(FSI), *first, middle, *self.marked(second), Run(PDI))
        return (*first, Run(" / "), *self.marked(second))

    def lines(self, first: Runs, second: Runs) -> Runs:
        """Set the second below the first: side by side, both would wrap."""
        if first == second or not first or not second:
            return first or self.marked(second)
        if self.mixed:
            return (Run(FSI), *first, Run(f"{PDI}\n{FSI}"), *self.marked(second), Run(PDI))
        return (*first, Run("\n"), *self.marked(second))

    def marked(self, runs: Runs) -> Runs:
        """Say of each run that it is in the second language, where it says nothing."""
        return tuple(run if run.language else replace(run, language=self.language) for run in runs)


@dataclass(slots=True)
class _Rows:
    """Gathers neighbouring pairs into one `Pairs` and lets whole-width blocks between."""

    frame: Pairs
    pairs: list[Pair] = field(default_factory=list)

    def close(self) -> Iterator[Block]:
        if self.pairs:
            yield replace(self.frame, pairs=tuple(self.pairs))
            self.pairs = []


def _paired(
    first: Sequence[Block], second: Sequence[Block], joiner: _Joiner, frame: Pairs
) -> Iterator[Block]:
    rows = _Rows(frame)
    for one, other in zip(_flat(first), _flat(second), strict=True):
        if type(one) is not type(other):
            raise ValueError(f"{type(one).__name__} stands beside {type(other).__name__}")
        whole = _whole_width(one, other, joiner, frame)
        if whole is None:
            rows.pairs.extend(_pairs(one, other))
        else:
            yield from rows.close()
            yield from whole
    yield from rows.close()


def _flat(blocks: Sequence[Block]) -> Iterator[Block]:
    """Undo two columns: each half is too narrow to be halved again."""
    for block in blocks:
        if isinstance(block, Columns):
            yield from _flat(block.first)
            yield from _flat(block.second)
        else:
            yield block


def _pairs(one: Block, other: Block) -> Iterator[Pair]:
    if isinstance(one, ListBlock) and isinstance(other, ListBlock):
        for number, (item, other_item) in enumerate(
            zip(one.items, other.items, strict=True), start=one.start
        ):
            yield Pair(
                ListBlock((item,), one.ordered, number),
                ListBlock((other_item,), one.ordered, number),
            )
    elif isinstance(one, CheckItem) and isinstance(other, CheckItem):
        yield _check(one, other)
    elif isinstance(one, WriteLines) and isinstance(other, WriteLines):
        more = 0 if one.brief else _MORE_LINES
        yield Pair(replace(one, lines=one.lines + more), Paragraph(other.label))
    else:
        yield Pair(one, other)


def _check(one: CheckItem, other: CheckItem) -> Pair:
    """Set the box in the first column only; yes and no get a line of their own there."""
    if one.box != "yes_no":
        return Pair(one, Paragraph(other.runs))
    boxes = KeepTogether((Paragraph(one.runs), replace(one, runs=(), asks=one.runs)))
    words = Run(f" ({' / '.join(other.yes_no_words)})")
    return Pair(boxes, Paragraph((*other.runs, words)))


def _whole_width(
    one: Block, other: Block, joiner: _Joiner, frame: Pairs
) -> tuple[Block, ...] | None:
    """Return what stands once across both columns; None for what stands in pairs."""
    if isinstance(one, SignatureBlock) and isinstance(other, SignatureBlock):
        return _signatures(one, other, joiner, frame)
    if isinstance(one, KeepTogether) and isinstance(other, KeepTogether):
        # What begins without a heading goes on; the languages are named above it.
        headed = any(isinstance(block, Heading) for block in one.blocks[:1])
        inner = frame if headed else replace(frame, heads=((), ()))
        return (KeepTogether(tuple(_paired(one.blocks, other.blocks, joiner, inner))),)
    if isinstance(one, Table) and isinstance(other, Table) and _is_blank(one):
        return (_table(one, other, joiner),)
    if isinstance(one, QrCode) and isinstance(other, QrCode):
        return (replace(one, caption=joiner.text(one.caption, other.caption)),)
    if isinstance(one, PageBreak):
        return (one,)
    if isinstance(one, Panel) and isinstance(other, Panel):
        _same_structure(one.blocks, other.blocks)
    return None


def _is_blank(table: Table) -> bool:
    return not any(cell for row in table.rows for cell in row)


def _table(one: Table, other: Table, joiner: _Joiner) -> Table:
    columns = tuple(
        replace(column, header=joiner.lines(column.header, beside.header))
        for column, beside in zip(one.columns, other.columns, strict=True)
    )
    return replace(one, columns=columns, caption=joiner.runs(one.caption, other.caption))


def _signatures(
    one: SignatureBlock, other: SignatureBlock, joiner: _Joiner, frame: Pairs
) -> tuple[Block, ...]:
    """The statement in both languages, and one line for each signer, kept together."""
    lines = tuple(
        _line(line, beside, joiner, frame)
        for line, beside in zip(one.lines, other.lines, strict=True)
    )
    block = replace(one, statement=(), lines=lines, asks=one.statement)
    if not one.statement and not other.statement:
        return (block,)
    statement = Pair(Paragraph(one.statement), Paragraph(other.statement))
    return (KeepTogether((replace(frame, pairs=(statement,), heads=((), ())), block)),)


def _line(one: SignatureLine, other: SignatureLine, joiner: _Joiner, frame: Pairs) -> SignatureLine:
    return replace(
        one,
        role=joiner.lines(one.role, other.role),
        second_labels=tuple(label for label, _ in other.fields),
        second_language=frame.second_language,
        second_rtl=frame.second_rtl,
    )


def _same_structure(first: Sequence[Block], second: Sequence[Block]) -> None:
    if [type(block) for block in first] != [type(block) for block in second]:
        raise ValueError("two panels side by side do not hold the same blocks")


def _furniture(first: Document, second: Document, joiner: _Joiner) -> Furniture:
    one, other = first.furniture, second.furniture
    return replace(
        one,
        initials_label=joiner.text(one.initials_label, other.initials_label),
        review_line=joiner.text(one.review_line, other.review_line),
    )
