"""Tables for the clinician: screening, settings, output, and the pack's contents."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Context, Decimal

from docbuilder.content.job import Job
from docbuilder.content.settings import in_unit_order, setting_name, value_fact
from docbuilder.content.tokens import Fact, Prose, TemplateFault
from docbuilder.document.blocks import Column, Paragraph, Runs, Table
from docbuilder.model.message import Quantity, UnitSymbol
from docbuilder.model.plan import Finding, OutputAt, OutputLimit, ScreeningLine, Setting, Source
from docbuilder.model.prescription import Reason

__all__ = ["CHECKS"]

_DIGITS = Context(prec=3)
"""Computed output prints to three significant digits; `explain` has the rest."""
REVIEW_ROW_MM = 6.5
_UNITS: dict[str, UnitSymbol] = {
    "charge_per_phase_uc": "uC",
    "rms_ma": "mA",
    "rms_density_ma_cm2": "mA/cm2",
    "mean_power_mw": "mW",
    "power_density_mw_cm2": "mW/cm2",
    "energy_per_phase_mj": "mJ",
    "energy_per_pulse_mj": "mJ",
}
_SETTING_UNITS: dict[str, UnitSymbol] = {
    "pulse_width_us": "us",
    "pulse_rate_hz": "Hz",
    "session_minutes": "min",
    "on_off_s": "s",
}


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
    columns = (
        # NOTE: Column of the clinician's table: stop, ask first, caution or note.
        Column(job.runs(job.gettext("Class")), 0.11),
        Column(job.runs(job.gettext("What, why, and what to do")), 0.89),
    )
    shaded = tuple(index for index, item in enumerate(found) if item.severity in ("stop", "ask"))
    return job.store.block(Table(columns, tuple(rows), compact=True, shaded_rows=shaded))


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


def source_text(job: Job, source: Source) -> Prose | Fact:
    """Return where a figure comes from: its citation, or plainly that there is none."""
    words: dict[str, Callable[[], Prose | Fact]] = {
        "published": lambda: job.text(source.citation, "en"),
        "common practice, no source": lambda: job.gettext("common practice, no source"),
        "from memory": lambda: (
            # NOTE: The figure was not looked up again; the publication is named after it.
            job.gettext("from memory: %(citation)s", citation=job.text(source.citation, "en"))
            if source.citation
            # NOTE: The figure was written down without looking it up.
            else job.gettext("from memory")
        ),
        "definition": lambda: job.gettext("by definition"),
    }
    return words[source.mark]()


def settings_table(job: Job) -> Prose:
    """Return each setting as prescribed and as the unit can do it, with range and source."""
    columns = (
        Column(job.runs(job.gettext("Setting")), 0.14),
        Column(job.runs(job.gettext("Prescribed")), 0.13),
        Column(job.runs(job.gettext("On the unit")), 0.13),
        # NOTE: Column: how far the unit's value lies from the prescribed one.
        Column(job.runs(job.gettext("Apart")), 0.09),
        # NOTE: Column: range found in publications, or customary.
        Column(job.runs(job.gettext("Range")), 0.14),
        Column(job.runs(job.gettext("Where it comes from")), 0.37),
    )
    rows = tuple(_setting_row(job, setting) for setting in in_unit_order(job))
    shaded = tuple(
        index for index, setting in enumerate(in_unit_order(job)) if setting.outside_range
    )
    return job.store.block(Table(columns, rows, row_headers=True, compact=True, shaded_rows=shaded))


def _setting_row(job: Job, setting: Setting) -> tuple[Runs, ...]:
    apart = ""
    if setting.distance:
        apart = str(_with_unit(job, setting.name, setting.distance))
    return (
        job.runs(setting_name(job, setting.name)),
        job.runs(value_fact(job, setting, setting.prescribed)),
        job.runs(value_fact(job, setting, setting.settable)),
        job.runs(apart),
        job.runs(_range(job, setting)),
        job.runs(" ".join(str(part) for part in _provenance(job, setting))),
    )


def _range(job: Job, setting: Setting) -> str:
    low, high = setting.range_low, setting.range_high
    if low is None or high is None:
        return ""
    ends = {"low": job.count(low), "high": _with_unit(job, setting.name, high)}
    # NOTE: A range of values, for example "175–200 µs".
    return job.gettext("%(low)s–%(high)s", **ends)


def _with_unit(job: Job, name: str, value: Decimal) -> Fact:
    if name in _SETTING_UNITS:
        return job.quantity(Quantity(value, _SETTING_UNITS[name]))
    return job.count(value)


def _provenance(job: Job, setting: Setting) -> list[Prose | Fact]:
    origins: dict[str, Callable[[], Prose]] = {
        # NOTE: The value stands in the prescription.
        "prescription": lambda: job.gettext("Prescribed."),
        "protocol": lambda: job.gettext("Start value of the protocol."),
        "clinic": lambda: job.gettext("The clinic’s own protocol."),
        "unit": lambda: job.gettext("Fixed by the unit."),
        "computed": lambda: job.gettext("Computed."),
    }
    parts: list[Prose | Fact] = [origins[setting.origin]()]
    if setting.range_low is not None:
        parts.append(job.ltr(f"[{_sources(job).index(setting.source) + 1}]"))
    if setting.outside_range:
        parts.append(job.pgettext("safety", "**Outside the range.**"))
    if setting.reason is not None:
        parts.append(override(job, setting.reason))
    return parts


def _sources(job: Job) -> list[Source]:
    """Return the sources of the ranges, each once, in the order of the table."""
    ranged = [item.source for item in in_unit_order(job) if item.range_low is not None]
    return list(dict.fromkeys(ranged))


def settings_sources(job: Job) -> Prose:
    """Return the sources that the numbers in the settings table stand for."""
    parts = [
        f"{job.ltr(f'[{number}]')} {source_text(job, source)}"
        for number, source in enumerate(_sources(job), start=1)
    ]
    if not parts:
        return Prose("")
    return job.store.block(Paragraph(job.runs(" · ".join(parts)), "small"))


def call_table(job: Job) -> Prose:
    """Return the questions of the one-week call with room for the answers."""
    columns = (
        Column(job.runs(job.gettext("Question")), 0.56),
        Column(job.runs(job.gettext("Answer")), 0.44),
    )
    rows = tuple((job.runs(job.fact(item)), ()) for item in job.plan.follow_up.call_questions)
    table = Table(columns, rows, row_headers=True, min_row_mm=REVIEW_ROW_MM, compact=True)
    return job.store.block(table)


def output_table(job: Job) -> Prose:
    """Return the computed output at maximum and as expected, beside its limits."""
    plan = job.plan
    maximum = _output(plan.output, "maximum")
    expected = next((item for item in plan.output if item.label == "expected"), None)
    heads = [job.gettext("At most (%(current)s)", current=Quantity(maximum.peak_ma, "mA"))]
    if expected is not None:
        current = Quantity(expected.peak_ma, "mA")
        heads.append(job.gettext("Expected (%(current)s)", current=current))
    share = 0.4 / len(heads)
    columns = (
        Column(job.runs(job.gettext("Output into %(load)s", load=_load(job))), 0.28),
        *(Column(job.runs(head), share) for head in heads),
        Column(job.runs(job.gettext("Limit")), 0.32),
    )
    shown = [item for item in (maximum, expected) if item is not None]
    rows, shaded = [], []
    for index, name in enumerate(_output_rows(plan.limits)):
        limit = next((item for item in plan.limits if item.quantity == name), None)
        cells = [job.runs(_rounded(job, name, getattr(item, name))) for item in shown]
        rows.append((job.runs(_output_name(job, name)), *cells, job.runs(_limit(job, limit))))
        if limit is not None and (limit.passed_at_maximum or limit.passed_at_expected):
            shaded.append(index)
    table = Table(columns, tuple(rows), row_headers=True, compact=True, shaded_rows=tuple(shaded))
    return job.store.block(table)


def _output(output: Sequence[OutputAt], label: str) -> OutputAt:
    found = next((item for item in output if item.label == label), None)
    if found is None:
        raise TemplateFault(f"the plan has no output at {label}")
    return found


def _output_rows(limits: Sequence[OutputLimit]) -> list[str]:
    names = ["charge_per_phase_uc", "rms_ma", "rms_density_ma_cm2", "power_density_mw_cm2"]
    return names + [item.quantity for item in limits if item.quantity not in names]


def _load(job: Job) -> Quantity:
    return Quantity(job.plan.unit.load_ohm, "ohm")


def _rounded(job: Job, name: str, value: Decimal) -> Fact:
    short = _DIGITS.plus(value)
    return job.quantity(Quantity(short.normalize() if short else short, _UNITS[name]))


def _output_name(job: Job, name: str) -> Prose:
    words: dict[str, Callable[[], Prose]] = {
        "charge_per_phase_uc": lambda: job.gettext("Charge per phase"),
        "rms_ma": lambda: job.gettext("Current, r.m.s."),
        "rms_density_ma_cm2": lambda: job.gettext("Current density, r.m.s."),
        "mean_power_mw": lambda: job.gettext("Mean power"),
        "power_density_mw_cm2": lambda: job.gettext("Mean power density"),
        "energy_per_phase_mj": lambda: job.gettext("Energy per phase"),
        "energy_per_pulse_mj": lambda: job.gettext("Energy per pulse"),
    }
    return words[name]()


def _limit(job: Job, limit: OutputLimit | None) -> str:
    if limit is None:
        return ""
    value = limit.limit
    if limit.kind == "attention" and (limit.passed_at_maximum or limit.passed_at_expected):
        # NOTE: A value above which the standard asks for special attention; it is passed.
        return job.pgettext("safety", "**Attention** above %(value)s: passed", value=value)
    if limit.kind == "attention":
        return job.pgettext("safety", "Attention above %(value)s", value=value)
    if limit.passed_at_maximum or limit.passed_at_expected:
        return job.pgettext("safety", "**Passed**: limit %(value)s", value=value)
    return job.pgettext("safety", "Limit %(value)s: kept", value=value)


def passed_limits(job: Job) -> tuple[OutputLimit, ...]:
    """Return the limits that the output goes past at maximum or as expected."""
    return tuple(
        item for item in job.plan.limits if item.passed_at_maximum or item.passed_at_expected
    )


def pack_table(job: Job) -> Prose:
    """Return what the pack holds: document, languages, pages, state of the translation."""
    columns = (
        Column(job.runs(job.gettext("Document")), 0.27),
        Column(job.runs(job.gettext("Languages")), 0.31),
        Column(job.runs(job.gettext("Pages")), 0.14),
        # NOTE: Column: whether the translation has been reviewed.
        Column(job.runs(job.gettext("Translation")), 0.28),
    )
    rows = []
    for file in job.issue.pack:
        state = job.gettext("Reviewed") if file.reviewed else job.gettext("**Awaits review**")
        languages = job.listed([job.text(name).text for name in file.languages])
        rows.append(
            (
                job.runs(document_name(job, file.kind)),
                job.runs(languages),
                job.runs(job.count(file.pages)),
                job.runs(state),
            )
        )
    return job.store.block(Table(columns, tuple(rows), row_headers=True, compact=True))


def document_name(job: Job, kind: str) -> Prose:
    """Return what a kind of document is called."""
    words: dict[str, Callable[[], Prose]] = {
        "handout": lambda: job.gettext("Handout"),
        "consent": lambda: job.gettext("Consent form"),
        "diary": lambda: job.gettext("Diary"),
        "checklist": lambda: job.gettext("Checklist"),
    }
    return words[kind]()


def review_table(job: Job) -> Prose:
    """Return the measures to compare: before, and at each review."""
    reviews = job.plan.schedule.reviews[:3]
    share = 0.55 / (len(reviews) + 1)
    columns = (
        Column(job.runs(job.gettext("Measure")), 0.45),
        # NOTE: Column of the review table: the value before treatment.
        Column(job.runs(job.gettext("Before")), share),
        *(Column(job.runs(job.day(review, "medium")), share) for review in reviews),
    )
    empty: tuple[Runs, ...] = ((),) * (len(columns) - 1)
    rows = tuple((job.runs(job.fact(m)), *empty) for m in job.plan.follow_up.review_measures)
    table = Table(columns, rows, row_headers=True, min_row_mm=REVIEW_ROW_MM, compact=True)
    return job.store.block(table)


def site_name(job: Job) -> Prose:
    """Return where the pads go, for the clinician, in a few words."""
    rx = job.rx
    arch = rx.tibial_variant == "foot_arch"
    words: dict[tuple[str, str, bool], Callable[[], Prose]] = {
        ("tibial", "left", False): lambda: job.pgettext("safety", "tibial, left leg"),
        ("tibial", "right", False): lambda: job.pgettext("safety", "tibial, right leg"),
        ("tibial", "both", False): lambda: job.pgettext("safety", "tibial, both legs"),
        ("tibial", "left", True): lambda: job.pgettext("safety", "tibial, left leg and arch"),
        ("tibial", "right", True): lambda: job.pgettext("safety", "tibial, right leg and arch"),
        ("tibial", "both", True): lambda: job.pgettext("safety", "tibial, both legs and arches"),
    }
    if rx.placement == "lower_abdomen":
        return job.pgettext("safety", "lower abdomen, both sides of the midline")
    if rx.placement == "sacral":
        return job.pgettext("safety", "sacral, both sides of the midline")
    return words["tibial", rx.side, arch]()


CHECKS: dict[str, Callable[..., object]] = {
    "flagged": flagged,
    "clear_count": clear_count,
    "findings_table": findings_table,
    "settings_table": settings_table,
    "settings_sources": settings_sources,
    "call_table": call_table,
    "output_table": output_table,
    "passed_limits": passed_limits,
    "pack_table": pack_table,
    "review_table": review_table,
    "site_name": site_name,
}
