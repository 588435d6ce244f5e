"""Tables of amounts for the clinician: the settings and the electrical output."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Context, Decimal

from docbuilder.content.findings import in_this_language, override, source_text
from docbuilder.content.job import Job
from docbuilder.content.settings import in_unit_order, setting_name, value_fact
from docbuilder.content.tokens import Fact, Prose, TemplateFault
from docbuilder.document.blocks import Column, ListBlock, Paragraph, Runs, Table
from docbuilder.model.message import Quantity, UnitSymbol
from docbuilder.model.plan import OutputAt, OutputLimit, Setting, Source

__all__ = ["AMOUNTS"]

_DIGITS = Context(prec=3)
"""Computed output prints to three significant digits; `explain` has the rest."""
_DIFFERENCE = 3
"""Place of the column that is there only where the unit's value differs."""
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


def settings_table(job: Job) -> Prose:
    """Return each setting as prescribed and as the unit can do it, with range and source."""
    settings = in_unit_order(job)
    differs = any(setting.distance for setting in settings)
    columns = [
        Column(job.runs(job.gettext("Setting")), 0.14),
        Column(job.runs(job.gettext("Prescribed")), 0.13),
        Column(job.runs(job.gettext("On the unit")), 0.13),
        # NOTE: Column: range found in publications, or customary.
        Column(job.runs(job.gettext("Range")), 0.14),
        Column(job.runs(job.gettext("Where it comes from")), 0.37),
    ]
    if differs:
        # NOTE: Column: how far the unit's value lies from the prescribed one.
        columns.insert(_DIFFERENCE, Column(job.runs(job.gettext("Difference")), 0.09))
    rows = tuple(_setting_row(job, setting, differs) for setting in settings)
    shaded = tuple(index for index, setting in enumerate(settings) if setting.outside_range)
    return job.store.block(
        Table(tuple(columns), rows, row_headers=True, compact=True, dense=True, shaded_rows=shaded)
    )


def _setting_row(job: Job, setting: Setting, differs: bool) -> tuple[Runs, ...]:
    cells = [
        job.runs(setting_name(job, setting.name)),
        job.runs(value_fact(job, setting, setting.prescribed)),
        job.runs(value_fact(job, setting, setting.settable)),
        job.runs(_range(job, setting)),
        job.runs(" ".join(str(part) for part in _provenance(job, setting))),
    ]
    if differs:
        apart = _signed(job, setting.name, setting.distance) if setting.distance else ""
        cells.insert(_DIFFERENCE, job.runs(str(apart)))
    return tuple(cells)


def _range(job: Job, setting: Setting) -> str:
    low, high = setting.range_low, setting.range_high
    if low is None or high is None:
        return ""
    ends = {
        "low": job.ltr(job.words.device_number(low)),
        "high": _with_unit(job, setting.name, high),
    }
    if low == high:
        return str(ends["high"])
    # NOTE: A range of values, for example "175–200 µs".
    return job.gettext("%(low)s–%(high)s", **ends)


def _with_unit(job: Job, name: str, value: Decimal) -> Fact:
    if name in _SETTING_UNITS:
        return job.quantity(Quantity(value, _SETTING_UNITS[name]))
    return job.ltr(job.words.device_number(value))


def _signed(job: Job, name: str, value: Decimal) -> Fact:
    """Return a difference with a minus sign, not a hyphen, where it is negative."""
    shown = _with_unit(job, name, value)
    return job.store.fact(shown.text.replace("-", "\u2212", 1))


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
        source = in_this_language(job, setting.source)
        parts.append(job.ltr(f"[{_sources(job).index(source) + 1}]"))
    if setting.outside_range:
        parts.append(job.pgettext("safety", "**Outside the range.**"))
    if setting.reason is not None:
        parts.append(override(job, setting.reason))
    return parts


def _sources(job: Job) -> list[Source]:
    """Return the sources of the ranges, each once, in the order of the table."""
    ranged = [item.source for item in in_unit_order(job) if item.range_low is not None]
    return list(dict.fromkeys(in_this_language(job, source) for source in ranged))


def settings_sources(job: Job) -> Prose:
    """Return the sources that the numbers in the settings table stand for, as a list."""
    items = tuple(
        (Paragraph(job.runs(str(source_text(job, source))), "small"),) for source in _sources(job)
    )
    return job.store.block(ListBlock(items, ordered=True)) if items else Prose("")


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
    table = Table(
        columns, tuple(rows), row_headers=True, compact=True, dense=True, shaded_rows=tuple(shaded)
    )
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
        return job.pgettext("safety", "**Attention:** this is above %(value)s", value=value)
    if limit.kind == "attention":
        return job.pgettext("safety", "Attention above %(value)s", value=value)
    if limit.passed_at_maximum or limit.passed_at_expected:
        return job.pgettext("safety", "**Over the limit** of %(value)s", value=value)
    return job.pgettext("safety", "Within the limit of %(value)s", value=value)


def passed_limits(job: Job) -> tuple[OutputLimit, ...]:
    """Return the limits that the output goes past at maximum or as expected."""
    return tuple(
        item for item in job.plan.limits if item.passed_at_maximum or item.passed_at_expected
    )


AMOUNTS: dict[str, Callable[..., object]] = {
    "settings_table": settings_table,
    "settings_sources": settings_sources,
    "output_table": output_table,
    "passed_limits": passed_limits,
}
