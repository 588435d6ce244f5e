"""From a prescription to the computed plan, or to every fault that stands in its way.

Pure: no file, no clock, no language. All checks run before anything is refused, so
that the clinician mends everything in one go.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from docbuilder.clinical.consent import consent_content
from docbuilder.clinical.explain import figures_of
from docbuilder.clinical.findings import (
    output_findings,
    schedule_findings,
    setting_findings,
    unused_reasons,
)
from docbuilder.clinical.follow_up import follow_up
from docbuilder.clinical.notices import Noticed, applicable_notices
from docbuilder.clinical.output import (
    PulseTrain,
    check_limits,
    output_at,
    pad_area_cm2,
    rounded,
    rules_at,
    to_digits,
)  # fmt: skip
from docbuilder.clinical.protocols import case_of, find_protocol
from docbuilder.clinical.refusals import (
    consent_ended,
    course_issues,
    limits_passed,
    open_answers,
    pads_too_near,
    too_strong,
    unanswered,
)
from docbuilder.clinical.remedies import remedies
from docbuilder.clinical.safety import safety_sentences
from docbuilder.clinical.schedule import Course, make_schedule, weekday_number
from docbuilder.clinical.screening import Screened, by_severity, screen
from docbuilder.clinical.settings import Settled, settle
from docbuilder.clinical.supplies import make_supplies
from docbuilder.clinical.unit_steps import setup_steps
from docbuilder.errors import Issue, Refused
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Case, Knowledge, Protocol
from docbuilder.model.plan import OutputAt, OutputLimit, Plan, Schedule, Source
from docbuilder.model.prescription import Pads, Prescription
from docbuilder.model.unit import Unit, UnitMode

__all__ = ["make_plan"]


def make_plan(prescription: Prescription, clinic: Clinic, unit: Unit, knowledge: Knowledge) -> Plan:
    """Compute the plan.

    Raises:
        Refused: Holds every fault found: unanswered or stopping screening, values
            outside range or unit without a written reason, limits passed, no protocol.
    """
    rx, case = prescription, case_of(prescription, clinic, unit)
    screened = screen(rx, case, knowledge)
    noticed = applicable_notices(rx, case, knowledge)
    issues = [*unanswered(rx, screened), *open_answers(rx, screened, knowledge)]
    issues += noticed.issues
    try:
        protocol = find_protocol(rx, knowledge)
    except Refused as refused:
        raise Refused([*issues, *refused.issues]) from None
    settled, faults = settle(rx, unit, protocol)
    schedule, more = _schedule(rx, clinic, protocol, settled)
    issues += [*faults, *more, *too_strong(rx, unit), *pads_too_near(rx, _pads(rx, protocol))]
    output = _output(rx, unit, _pads(rx, protocol), settled) if settled else None
    if output:
        issues += limits_passed(rx, output.limits)
    if issues or settled is None or schedule is None or output is None:
        raise Refused(issues)
    case = _dated(case, schedule)
    plan = _assemble(
        rx, clinic, unit, knowledge, case, screened, noticed, protocol, settled, schedule, output
    )
    origins = _origins(rx)
    return replace(plan, figures=figures_of(plan, knowledge, protocol, output.train, origins))


def _dated(case: Case, schedule: Schedule) -> Case:
    """Add how long and how often: some texts hold for long or frequent courses only."""
    weeks = max(schedule.weeks, schedule.sessions[-1].week)
    return replace(case, weeks=weeks, sessions_per_week=schedule.sessions_per_week)


@dataclass(frozen=True, slots=True)
class _Output:
    train: PulseTrain
    at: tuple[OutputAt, ...]
    limits: tuple[OutputLimit, ...]


def _assemble(
    rx: Prescription, clinic: Clinic, unit: Unit, knowledge: Knowledge, case: Case,
    screened: Screened, noticed: Noticed, protocol: Protocol, settled: Settled,
    schedule: Schedule, output: _Output,
) -> Plan:  # fmt: skip
    pads, settings = _pads(rx, protocol), settled.settings
    limits = tuple(_printed(limit) for limit in output.limits)
    indication = knowledge.indications[rx.indication]
    safety = safety_sentences(case, screened, knowledge)
    mode = unit.mode(settled.state.mode) or unit.modes[0]
    findings = [
        *screened.findings, *noticed.findings, *setting_findings(rx, settings, unit, mode),
        *output_findings(limits, output.at[0], rx),
        *schedule_findings(rx, clinic, schedule, protocol),
    ]  # fmt: skip
    findings += unused_reasons(rx, settings, findings)
    return Plan(
        prescription=rx,
        clinic=clinic,
        unit=unit,
        indication_name=indication.name,
        why=indication.why,
        pads=pads,
        settings=settings,
        steps=setup_steps(unit, settled.state, settled.channels),
        strength_rule=protocol.strength_rule,
        schedule=schedule,
        supplies=make_supplies(
            schedule, pads, unit.battery, session_minutes=int(settled.state.timer_min),
            channels=len(settled.channels), pad_source=protocol.pad_source,
            battery_source=Source("definition", f"the unit's profile: {unit.source}"),
        ),
        output=tuple(rounded(item) for item in output.at),
        limits=limits,
        screening=screened.lines,
        findings=tuple(sorted(findings, key=by_severity)),
        notices=noticed.notices,
        handout_cautions=screened.handout_cautions,
        never_place=safety.never_place,
        stop_and_call=safety.stop_and_call,
        do_not_use=safety.do_not_use,
        consent=consent_content(
            rx, case, clinic, unit, settings, screened, noticed.notices, knowledge
        ),
        follow_up=follow_up(case, knowledge),
        figures={},
    )  # fmt: skip


def _schedule(
    rx: Prescription, clinic: Clinic, protocol: Protocol, settled: Settled | None
) -> tuple[Schedule | None, list[Issue]]:
    asked = rx.schedule
    weekdays = tuple(weekday_number(day) for day in asked.weekdays)
    weeks = int(protocol.weeks.start) if asked.weeks is None else asked.weeks
    sessions = len(weekdays) or asked.sessions_per_week or int(protocol.sessions_per_week.start)
    issues = [*consent_ended(rx, clinic), *course_issues(rx, protocol, weeks, sessions)]
    course = Course(
        start=asked.start,
        weeks=weeks,
        sessions_per_week=sessions,
        session_minutes=int(settled.state.timer_min) if settled else 0,
        weekdays=weekdays,
        taper=asked.taper_sessions_per_week,
        blocked=frozenset((*asked.skip, *clinic.holidays)),
        reviews=asked.reviews,
        territory=clinic.territory,
        clinic_closed=frozenset(clinic.holidays),
        as_needed=protocol.as_needed,
        open_days=clinic.open_days,
    )
    try:
        return make_schedule(course), issues
    except ValueError:
        issues.append(Issue(rx.place("schedule.skip"), "schedule.skip", "every planned day",
                            "at least one day for a session", "remove dates"))  # fmt: skip
        return None, issues


def _pads(rx: Prescription, protocol: Protocol) -> Pads:
    """Return the prescribed pads, their life from the protocol when none is written."""
    pads, usual = rx.pads, protocol.pads
    if pads is None:
        return usual
    if pads.uses_per_set is None and pads.replace_after_days is None:
        return replace(
            pads, uses_per_set=usual.uses_per_set, replace_after_days=usual.replace_after_days
        )
    return pads


def _origins(rx: Prescription) -> dict[str, str]:
    """Say where schedule and pads were taken from."""
    written, start = "taken from the prescription", "start value of the protocol"
    weeks = rx.schedule.weekdays or rx.schedule.sessions_per_week
    return {
        "weeks": written if rx.schedule.weeks else start,
        "sessions_per_week": written if weeks else start,
        "pads": written if rx.pads else start,
    }


def _output(rx: Prescription, unit: Unit, pads: Pads, settled: Settled) -> _Output:
    state, strength = settled.state, rx.settings.expected_strength_ma
    mode = unit.mode(state.mode) or unit.modes[0]
    pair = state.on_off_s if state.on_off_s and state.on_off_s[0] else None
    train = PulseTrain(
        width_us=state.pulse_width_us,
        pulses_a_second=mode.pulses_a_second(state.pulse_rate_hz),
        phases=unit.phases,
        area_cm2=pad_area_cm2(pads),
        load_ohm=unit.load_ohm,
        work_s=pair[0] if pair else None,
        rest_s=pair[1] if pair else Decimal(0),
        ramp_s=unit.ramp_s,
    )
    maximum = output_at(train, unit.max_current_ma, "maximum")
    expected = output_at(train, strength, "expected") if strength else None
    rate_hz = state.pulse_rate_hz
    found = check_limits(train, rate_hz, maximum, expected)
    limits = tuple(_mended(limit, train, rate_hz, unit, mode, pads) for limit in found)
    return _Output(train, (maximum, expected) if expected else (maximum,), limits)


def _mended(
    limit: OutputLimit, train: PulseTrain, rate_hz: Decimal, unit: Unit, mode: UnitMode, pads: Pads
) -> OutputLimit:
    """Return *limit* with what would mend it, if it is passed at the unit's strongest."""
    if not limit.passed_at_maximum:
        return limit
    rule = next(rule for rule in rules_at(rate_hz) if rule.code == limit.code)
    return replace(limit, remedies=remedies(rule, train, rate_hz, unit, mode, pads))


def _printed(limit: OutputLimit) -> OutputLimit:
    """Return *limit* with its values to four digits, as the output prints beside it."""
    expected = None if limit.at_expected is None else to_digits(limit.at_expected)
    return replace(limit, at_maximum=to_digits(limit.at_maximum), at_expected=expected)
