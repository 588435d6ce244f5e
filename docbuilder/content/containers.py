"""Boxes and groups that a template opens with `{% call panel(...) %} ... {% endcall %}`.

The body of the call is template text like any other; it comes here rendered, is parsed
into blocks, and goes back into the template as one block token.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from docbuilder.content import markdown
from docbuilder.content.job import Job
from docbuilder.content.markdown import split_pictures
from docbuilder.content.tokens import Prose, TemplateFault
from docbuilder.document.blocks import (
    Block,
    Card,
    Columns,
    Floating,
    KeepTogether,
    Landing,
    PageBreak,
    Panel,
    Paragraph,
    Run,
    Step,
    Steps,
)
from docbuilder.model.message import Message

__all__ = ["CONTAINERS"]

Caller = Callable[[], str]


def panel(job: Job, kind: str, title: Prose, *, caller: Caller) -> Prose:
    """Box its body; "stop" and "caution" carry their sign and its word."""
    blocks = job.blocks(caller())
    if kind == "stop":
        # NOTE: Word on the red stop sign above the list of dangers. One short word.
        sign = job.plain(job.pgettext("safety", "STOP"))
    elif kind == "caution":
        # NOTE: Word on the warning triangle. One short word.
        sign = job.plain(job.pgettext("safety", "CAUTION"))
    elif kind in ("info", "plain"):
        sign = ""
    else:
        raise TemplateFault(f"no panel of the kind {kind!r}; use stop, caution, info or plain")
    named = job.plain(title)
    # NOTE: Title of a box that goes on, on the next page.
    continued = job.gettext("%(title)s (continued)", title=job.store.fact(named)) if named else ""
    return job.store.block(
        Panel(kind, job.runs(title), blocks, sign, job.runs(continued))  # type: ignore[arg-type]
    )


def lead(job: Job, *, caller: Caller) -> Prose:
    """Set its one paragraph larger, as an opening."""
    return job.store.block(_paragraph(job, caller, "lead"))


def small(job: Job, *, caller: Caller) -> Prose:
    """Set its one paragraph small: sources and legal lines."""
    return job.store.block(_paragraph(job, caller, "small"))


def _paragraph(job: Job, caller: Caller, role: str) -> Paragraph:
    blocks = job.blocks(caller())
    if len(blocks) != 1 or not isinstance(blocks[0], Paragraph):
        raise TemplateFault(f"{role}() holds exactly one paragraph")
    return replace(blocks[0], role=role)  # type: ignore[arg-type]


def joined(job: Job, *, caller: Caller) -> Prose:
    """Run its paragraphs together into one."""
    runs: list[Run] = []
    for block in job.blocks(caller()):
        if not isinstance(block, Paragraph):
            raise TemplateFault("joined() holds paragraphs only")
        runs = [*markdown.closed_up([*runs, Run(" "), *block.runs])] if runs else [*block.runs]
    return job.store.block(Paragraph(tuple(runs)))


def keep(job: Job, page_one: bool = False, *, caller: Caller) -> Prose:
    """Keep its body on one page, on the first if *page_one* and that can hold it."""
    return job.store.block(KeepTogether(job.blocks(caller()), page_one))


def columns(
    job: Job, share: float = 0.5, on_one_line: bool = False, spills: bool = False, *,
    caller: Caller,
) -> Prose:  # fmt: skip
    """Set its body in two columns, parted by `{{ next_column() }}`.

    *on_one_line*: each holds one line, and both stand at one height. *spills*: notes at the
    end of the first may stand below the second.
    """
    first, second = _halves(job, "columns", caller)
    return job.store.block(Columns(first, second, share, on_one_line, spills))


def card(job: Job, *, caller: Caller) -> Prose:
    """Set its body on the two halves of a card to cut out, parted by `{{ next_column() }}`."""
    return job.store.block(Card(*_halves(job, "card", caller)))


def _halves(job: Job, name: str, caller: Caller) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    blocks = job.blocks(caller())
    cuts = [index for index, block in enumerate(blocks) if block == _CUT]
    if len(cuts) != 1:
        raise TemplateFault(f"{name}() holds next_column() once")
    return blocks[: cuts[0]], blocks[cuts[0] + 1 :]


def floating(job: Job, name: str, *, caller: Caller) -> Prose:
    """Let its body stand here or at `landing(name)`, wherever pages are used best."""
    return job.store.block(Floating(name, job.blocks(caller())))


def landing(job: Job, name: str) -> Prose:
    """Mark where `floating(name)` may stand too."""
    return job.store.block(Landing(name))


def sentences(job: Job, messages: Sequence[Message]) -> Prose:
    """Return several whole sentences as one running text."""
    return Prose(" ".join(str(job.fact(message)) for message in messages))


_CUT = Paragraph((Run("\ue00e"),))


def next_column(job: Job) -> Prose:
    """Part the two columns."""
    return job.store.block(_CUT)


def page_break(job: Job) -> Prose:
    """Start a new page."""
    return job.store.block(PageBreak())


def steps(job: Job, columns: int = 1, *, caller: Caller) -> Prose:
    """Number its lines as steps, one a line; a picture() in a line stands with its step.

    *columns* steps stand side by side where the page is wide enough for their words.
    """
    lines = [line for line in caller().split("\n") if line.strip()]
    if not lines:
        raise TemplateFault("steps() holds one step a line")
    return job.store.block(Steps(tuple(_step(job, line) for line in lines), columns=columns))


def _step(job: Job, line: str) -> Step:
    text, picture = split_pictures(line, job.store)
    if picture is None:
        return Step(job.runs(text))
    return Step(job.runs(text), picture.scene, picture.alt)


CONTAINERS: dict[str, Callable[..., Prose]] = {
    "panel": panel,
    "lead": lead,
    "small": small,
    "joined": joined,
    "keep": keep,
    "columns": columns,
    "card": card,
    "floating": floating,
    "landing": landing,
    "next_column": next_column,
    "page_break": page_break,
    "steps": steps,
    "sentences": sentences,
}
