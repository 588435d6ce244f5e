"""What the clinician looks at first: screening answers and findings that are not clear."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from docbuilder.content.job import Job
from docbuilder.content.own_words import own_words_notes
from docbuilder.content.tokens import Fact, Prose, TemplateFault
from docbuilder.document.blocks import Column, Runs, Table
from docbuilder.model.plan import Finding, ScreeningLine, Source
from docbuilder.model.prescription import Reason

__all__ = ["FINDINGS", "in_this_language", "override", "source_text"]

_NOTED = "noted"


def severity_word(job: Job, severity: str) -> Prose:
    """Return the word for a class of answer or finding."""
    words: dict[str, Callable[[], Prose]] = {
        # NOTE: Class of a screening answer: do not treat.
        "stop": lambda: job.pgettext("safety", "Stop"),
        # NOTE: Class of a screening answer: ask a named specialist first.
        "ask": lambda: job.pgettext("safety", "Ask first"),
        # NOTE: Class of a screening answer: treat with care.
        "caution": lambda: job.pgettext("safety", "Caution"),
        # NOTE: Class of a finding: to be known, nothing to do.
        "note": lambda: job.gettext("Note"),
        # NOTE: Class of a screening answer: nothing against treatment.
        "clear": lambda: job.gettext("Clear"),
    }
    return words[severity]()


def _answer_word(job: Job, answer: str) -> Prose:
    words: dict[str, Callable[[], Prose]] = {
        "yes": lambda: job.gettext("Yes"),
        "no": lambda: job.gettext("No"),
        "unknown": lambda: job.gettext("Not known"),
        "missing": lambda: job.gettext("Not asked"),
    }
    return words[answer]()


def flagged(job: Job) -> tuple[ScreeningLine, ...]:
    """Return the screening lines that are not clear, as the plan orders them."""
    return tuple(line for line in job.plan.screening if line.severity != "clear")


def clear_count(job: Job) -> int:
    """Return how many screening answers are clear."""
    return len(job.plan.screening) - len(flagged(job))


def findings_table(job: Job) -> Prose:
    """Return everything flagged, as the plan orders it: class, then what, why, what to do."""
    screening = {f"screening.{line.code}": line for line in flagged(job)}
    found = [item for item in job.plan.findings if not _in_settings_table(item)]
    rows = [_finding_row(job, item, screening.pop(item.code, None)) for item in found]
    if screening:
        raise TemplateFault(f"flagged answers without a finding: {', '.join(screening)}")
    note = job.runs(f"**{severity_word(job, 'note')}**")
    rows += [(note, job.runs(sentence)) for sentence in own_words_notes(job)]
    if not rows:
        return Prose("")
    columns = (
        # NOTE: Column of the clinician's table: stop, ask first, caution or note.
        Column(job.runs(job.gettext("Class")), 0.11),
        Column(job.runs(job.gettext("What, why, and what to do")), 0.89),
    )
    shaded = tuple(index for index, item in enumerate(found) if item.severity in ("stop", "ask"))
    return job.store.block(
        Table(columns, tuple(rows), compact=True, dense=True, shaded_rows=shaded)
    )


def _in_settings_table(finding: Finding) -> bool:
    return finding.code.startswith("settings.") and finding.severity == "note"


def _finding_row(job: Job, finding: Finding, line: ScreeningLine | None) -> tuple[Runs, ...]:
    parts: list[str | Fact] = []
    if line is not None:
        answer = job.store.fact(job.plain(_answer_word(job, line.answer)))
        parts += [job.fact(line.question), f"**{answer}** –"]
        sentences = (line.reason, finding.message, line.who_to_ask, line.disagreement)
        parts += [job.fact(message) for message in sentences if message is not None]
    else:
        parts.append(job.fact(finding.message))
        if finding.source is not None and finding.source.citation:
            parts.append(f"({source_text(job, finding.source)})")
    decided = finding.override or (line and line.override)
    if decided:
        parts.append(override(job, decided))
    word = severity_word(job, finding.severity)
    return job.runs(f"**{word}**"), job.runs(" ".join(str(part) for part in parts))


def override(job: Job, reason: Reason) -> Prose:
    """Return who decided to go on, and why, in their words."""
    # NOTE: Who decided to go past a check, then their written reason.
    return job.gettext(
        "Decided by %(name)s: “%(reason)s”",
        name=job.text(reason.name),
        reason=job.text(reason.text),
    )


def _citation(job: Job, source: Source) -> Fact:
    """Return a citation as it stands: English, left to right in every language."""
    differs = None if job.words.tag == "en" else "en"
    return job.store.fact(job.words.isolate_ltr(source.citation), language=differs)


def in_this_language(job: Job, source: Source) -> Source:
    """Return *source* as the paper tells it: the note, which is English, stays on English paper.

    Elsewhere one translated sentence stands for every note.
    """
    if job.words.tag == "en" or not source.note:
        return source
    return replace(source, citation=source.reference, note=_NOTED)


def source_text(job: Job, source: Source) -> Prose | Fact:
    """Return where a figure comes from: its citation, or plainly that there is none."""
    source = in_this_language(job, source)
    words: dict[str, Callable[[], Prose | Fact]] = {
        "published": lambda: (
            # NOTE: Behind a citation. Some values of a range of settings come from elsewhere.
            job.gettext(
                "%(citation)s; not every value of the range is from there",
                citation=_citation(job, source),
            )
            if source.note == _NOTED
            else _citation(job, source)
        ),
        "common practice, no source": lambda: job.gettext("common practice, no source"),
        "from memory": lambda: (
            # NOTE: The figure was not looked up again; the publication is named after it.
            job.gettext("from memory: %(citation)s", citation=_citation(job, source))
            if source.citation
            # NOTE: The figure was written down without looking it up.
            else job.gettext("from memory")
        ),
        "definition": lambda: job.gettext("by definition"),
    }
    return words[source.mark]()


FINDINGS: dict[str, Callable[..., object]] = {
    "flagged": flagged,
    "clear_count": clear_count,
    "findings_table": findings_table,
}
