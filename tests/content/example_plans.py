"""Plans made by hand, every field filled with something that can be looked for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

from docbuilder.content.job import IssueInfo, PackFile
from docbuilder.model.clinic import Clinic, OpeningHours
from docbuilder.model.message import Message, Quantity
from docbuilder.model.plan import (
    ConsentContent,
    Finding,
    FollowUp,
    Notice,
    OutputAt,
    OutputLimit,
    Plan,
    Schedule,
    ScreeningLine,
    Session,
    Setting,
    SetupStep,
    Source,
    Supplies,
)
from docbuilder.model.prescription import (
    Clinician,
    Pads,
    Patient,
    Prescription,
    Reason,
    ScheduleRequest,
    SettingsRequest,
)
from docbuilder.model.unit import Adjustable, Battery, Grid, Unit, UnitMode

START = date(2026, 11, 30)
PADS = Pads("rectangle", Decimal(40), Decimal(40), 15, 30)
PUBLISHED = Source("published", "Example 2021")
REASON = Reason("notice.example", "Other ways did not help", "Jordan Placeholder")
ISSUE = IssueInfo(
    document_id="DOC-7Q2M",
    version_date=date(2026, 11, 25),
    templates_digest="aa11",
    catalogue_digest="bb22",
    handout_id="HAND-3X",
    pack=(
        PackFile("handout", ("en",), 5, "HAND-3X", "reviewed"),
        PackFile("consent", ("en", "es"), 3, "CONS-9Z", "awaiting review"),
    ),
)


def d(text: str) -> Decimal:
    return Decimal(text)


def safety(text: str) -> Message:
    return Message(text, "safety")


def consent(text: str) -> Message:
    return Message(text, "consent")


def example_unit(rechargeable: bool = False) -> Unit:
    mode = UnitMode(
        "continuous",
        "CONT",
        Grid((d("100"), d("150"), d("200"))),
        Grid((d("10"), d("12"), d("20"))),
    )
    return Unit(
        id="example",
        name="Example Unit",
        channels=2,
        max_current_ma=d("60"),
        current_step_ma=d("1"),
        waveform="balanced_biphasic",
        modes=(mode,),
        timer_min=Grid((d("20"), d("30"))),
        order=(
            Adjustable("mode", "UP", "DOWN", "continuous", "{value}"),
            Adjustable("pulse_width_us", "UP", "DOWN", "150", "{value} us"),
            Adjustable("pulse_rate_hz", "UP", "DOWN", "10", "{value} Hz"),
            Adjustable("timer_min", "UP", "DOWN", "30", "{value} min"),
        ),
        power_key="POWER",
        select_key="SET",
        strength_up_key={1: "A+", 2: "B+"},
        strength_down_key={1: "A-", 2: "B-"},
        battery=Battery("AA", 2, d("60"), rechargeable),
        keys=("POWER", "SET", "UP", "DOWN", "A+", "A-", "B+", "B-"),
        power_on_shows="READY",
    )


def settings() -> tuple[Setting, ...]:
    def one(name: Any, prescribed: Any, settable: Any, shows: str, apart: str = "0") -> Setting:
        return Setting(
            name, prescribed, settable, shows, d(apart), "prescription", None, None, PUBLISHED
        )

    return (
        one("mode", "continuous", "continuous", "CONT"),
        replace(
            one(
                "pulse_width_us", Quantity(d("175"), "us"), Quantity(d("180"), "us"), "180 us", "5"
            ),
            range_low=d("160"),
            range_high=d("220"),
        ),
        replace(
            one("pulse_rate_hz", Quantity(d("23"), "Hz"), Quantity(d("23"), "Hz"), "23 Hz"),
            range_low=d("10"),
            range_high=d("20"),
            outside_range=True,
            reason=Reason("settings.pulse_rate_hz", "Tried in clinic", "Jordan Placeholder"),
        ),
        one("session_minutes", Quantity(d("25"), "min"), Quantity(d("25"), "min"), "25 min"),
        one("channel", "2", "2", "2"),
    )


STEPS = (
    SetupStep("power", "POWER", 1, "READY"),
    SetupStep("select", "SET", 1, "CONT", "mode"),
    SetupStep("select", "SET", 1, "150 us", "pulse_width_us"),
    SetupStep("change", "UP", 3, "180 us", "pulse_width_us"),
    SetupStep("strength", "B+", 0, ""),
)


def schedule(weeks: int = 12, pattern: tuple[int, ...] = (0, 2, 4)) -> Schedule:
    days = [
        (week, START + timedelta(days=7 * (week - 1) + offset))
        for week in range(1, weeks + 1)
        for offset in pattern
    ]
    sessions = tuple(Session(number, day, week) for number, (week, day) in enumerate(days, 1))
    last = Session(len(sessions) + 1, days[-1][1] + timedelta(days=7), weeks + 1, "taper")
    return Schedule(
        sessions=(*sessions, last),
        reviews=(date(2027, 1, 11), date(2027, 2, 23)),
        call_on=date(2026, 12, 7),
        skipped=(date(2026, 12, 25),),
        first_weekday=0,
        total_minutes=925,
        minutes_a_week=75,
        ends_on=last.day,
        weeks=weeks,
        sessions_per_week=len(pattern),
        pattern=pattern,
    )


def output(label: Any, peak: str, density: str) -> OutputAt:
    return OutputAt(
        label, d(peak), d("10.8"), d("7.7251"), d(density), d("14.9"), d("0.93"), d("0.324"),
        d("0.0083"), d("0.648"),
    )  # fmt: skip


CONSENT = ConsentContent(
    condition=consent("You leak urine when a sudden need comes."),
    purpose=consent("We hope that you will leak less."),
    benefit=(consent("In one trial, 68 in 100 got better."),),
    uncertainty=(consent("We cannot know now if it will help you."),),
    common_risks=(consent("Your skin may turn red."),),
    serious_risks=(consent("A pad can burn your skin."),),
    personal_risks=(consent("Your numb skin may not warn you."),),
    alternatives=(
        consent("You can choose to have no treatment."),
        consent("You can train your bladder to wait longer."),
    ),
    off_label=consent("The maker does not list this use."),
    renew_if=(
        consent("We must ask you again if the place of the pads changes."),
        Message("We must ask you again after %(date)s.", "consent", (("date", date(2027, 5, 25)),)),
    ),
    digest="5f3c-a1",
)

FOLLOW_UP = FollowUp(
    red_flags=(safety("Get help at once if you cannot pass urine."),),
    call_questions=(Message("How does the skin look?"), Message("What strength is reached?")),
    review_measures=(Message("Leaks in 24 hours"), Message("Bother, 0–10, by the patient")),
    stop_rules=(consent("We stop if it harms you."),),
    taper_rules=(Message("If it helped: from 3 sessions a week to 2, then 1."),),
)

CLINIC = Clinic(
    name="Example Clinic",
    phone="+44 20 7946 0958",
    territory="GB",
    language="en",
    emergency_number="999",
    email="desk@example.org",
    hours=(OpeningHours((0, 1, 2, 3, 4), time(8, 0), time(17, 0)),),
    witness_line=True,
)

PATIENT = Patient(
    name="Ada Mae Example",
    record_number="DEMO-0042",
    language="en",
    born=date(1948, 3, 1),
    sex="female",
    height_cm=165,
)

PRESCRIPTION = Prescription(
    patient=PATIENT,
    indication="urge_leakage",
    placement="tibial",
    side="left",
    device="example",
    settings=SettingsRequest(),
    schedule=ScheduleRequest(START),
    clinician=Clinician("Jordan Placeholder", "Physiotherapist", "REG-0001"),
    prescribed_on=date(2026, 11, 25),
    goal="Reach the shop and back",
)


def screening() -> tuple[ScreeningLine, ...]:
    return (
        ScreeningLine(
            "reduced_sensation",
            Message("Is feeling reduced where the pads go?"),
            "yes",
            "caution",
            reason=Message("A burn may go unnoticed."),
            who_to_ask=Message("Test sharp and blunt first."),
            override=Reason("screening.reduced_sensation", "Felt 10 g", "Jordan Placeholder"),
        ),
        ScreeningLine("epilepsy", Message("Epilepsy?"), "no", "clear"),
        ScreeningLine("dvt", Message("Blood clot?"), "no", "clear"),
    )


def example_plan(**changes: Any) -> Plan:
    """One adult, urge leakage, pads at the left ankle; *changes* replace parts.

    Keys of patient, prescription and clinic may be given beside those of the plan.
    """
    patient = replace(PATIENT, **_taken(PATIENT, changes))
    rx = replace(PRESCRIPTION, patient=patient, **_taken(PRESCRIPTION, changes))
    clinic = replace(CLINIC, **_taken(CLINIC, changes))
    plan = Plan(
        prescription=rx,
        clinic=clinic,
        unit=example_unit(),
        indication_name=Message("urgency urinary incontinence"),
        why=Message("This treatment is to calm your bladder, so that you leak less."),
        pads=PADS,
        settings=settings(),
        steps=STEPS,
        strength_rule=safety("Turn it up until you feel a strong tingle that does not hurt."),
        schedule=schedule(),
        supplies=Supplies(3, (date(2026, 12, 30),), (date(2027, 2, 1),), PUBLISHED, PUBLISHED),
        output=(output("maximum", "60", "2.41"), output("expected", "25", "0.48")),
        limits=(
            OutputLimit(
                "density_attention", "rms_density_ma_cm2", Quantity(d("2"), "mA/cm2"), d("2.41"),
                d("0.48"), True, False, "attention",
                (Message("Use larger pads."),), Source("from memory", "IEC 60601-2-10"),
            ),
        ),
        screening=screening(),
        findings=(
            Finding("screening.reduced_sensation", "caution", Message("Test feeling first.")),
            Finding("off_label", "note", Message("The unit is not labelled for this.")),
        ),
        notices=(
            Notice(
                "example", Message("Example guidance does not advise this."),
                Message("National guidance does not advise this."), PUBLISHED, REASON,
            ),
        ),
        handout_cautions=(safety("Look at your skin with a mirror."),),
        never_place=(safety("Never put a pad on your chest."),),
        stop_and_call=(safety("Stop and call us if your skin burns."),),
        do_not_use=(safety("Do not use the unit in the bath."),),
        consent=CONSENT,
        follow_up=FOLLOW_UP,
        figures={},
    )  # fmt: skip
    return replace(plan, **changes)


def _taken(part: object, changes: dict[str, Any]) -> dict[str, Any]:
    names = [name for name in changes if hasattr(part, name) and name in _OWN[type(part)]]
    return {name: changes.pop(name) for name in names}


_OWN: dict[type, frozenset[str]] = {
    Patient: frozenset(Patient.__dataclass_fields__),
    Prescription: frozenset(Prescription.__dataclass_fields__) - {"patient", "schedule", "pads"},
    Clinic: frozenset(Clinic.__dataclass_fields__) - {"name"},
}
