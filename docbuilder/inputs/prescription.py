"""Read one prescription: checked for form here, for sense in `docbuilder.clinical`.

What is checked: every key known, every value of its type and in the widest range
that can be meant at all, dates that exist and follow one another, a side where one
is needed. What is not: published ranges, the unit's own steps, the answers'
meaning. A value that was left out stays None; nothing is guessed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Hashable, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TypeVar

from docbuilder.inputs.fields import Collector, Convert, Fault, Section, Unfit, list_of
from docbuilder.inputs.languages import known_language
from docbuilder.inputs.values import (
    choice,
    clock_time,
    day,
    decimal,
    flag,
    integer,
    one_of,
    pattern,
    person,
    text,
    unsaid,
)
from docbuilder.inputs.yaml_file import Node, YamlFile, read_yaml, shown
from docbuilder.model.prescription import (
    DOCUMENT_KINDS,
    WEEKDAYS,
    Answer,
    Clinician,
    Pads,
    PadShape,
    Patient,
    PlacementSite,
    Prescription,
    Reason,
    ScheduleRequest,
    SettingsRequest,
    Sex,
    Side,
    StimulationMode,
    TibialVariant,
)

__all__ = ["prescription_from", "read_prescription"]

Many = TypeVar("Many", bound=Sequence[Hashable])

_ANSWERS: tuple[Answer, ...] = ("yes", "no", "unknown")
_MIDLINE: Side = "midline"
_MODES: tuple[StimulationMode, ...] = ("continuous", "burst", "modulated")
_PLACEMENTS: tuple[PlacementSite, ...] = ("lower_abdomen", "sacral", "tibial")
_SEXES: tuple[Sex, ...] = ("female", "male", "other")
_SHAPES: tuple[PadShape, ...] = ("rectangle", "round", "oval")
_SIDES: tuple[Side, ...] = ("left", "right", "both")
_VARIANTS: tuple[TibialVariant, ...] = ("above_first", "foot_arch")
_WORD, _DEVICE = "[a-z][a-z0-9_]{0,40}", "[a-z][a-z0-9-]{0,40}"
_KINDS = list_of(choice(DOCUMENT_KINDS), 1)
_ABOUT = pattern(
    r"[a-z][a-z0-9_]*(\.[a-z0-9_]+){0,4}", "what the reason answers, as in settings.pulse_rate_hz"
)
_YEAR = timedelta(days=366)
_OLDEST = 120
_LEAST_LETTERS = 4


def read_prescription(
    path: Path,
    *,
    known_indications: Collection[str] | None = None,
    known_devices: Collection[str] | None = None,
    known_languages: Collection[str] | None = None,
    known_screening: Collection[str] | None = None,
) -> Prescription:
    """Read the prescription at *path* (YAML, or JSON if the name ends in `.json`).

    The `known_...` words are those that other files define; None leaves a word
    unchecked here.

    Raises:
        InputFault: Holds every fault of the file, each with its line.
    """
    return prescription_from(
        read_yaml(path),
        known_indications=known_indications,
        known_devices=known_devices,
        known_languages=known_languages,
        known_screening=known_screening,
    )


def prescription_from(
    file: YamlFile,
    *,
    known_indications: Collection[str] | None = None,
    known_devices: Collection[str] | None = None,
    known_languages: Collection[str] | None = None,
    known_screening: Collection[str] | None = None,
) -> Prescription:
    """Make a prescription of *file*, already read; see `read_prescription`.

    Raises:
        InputFault: Holds every fault of the file, each with its line.
    """
    collector = Collector(file)
    root = collector.root
    prescribed_on = root.required("prescribed_on", day(date(2000, 1, 1)))
    patient = _patient(root.section("patient"), prescribed_on, known_languages)
    placement = root.required("placement", choice(_PLACEMENTS))
    prescription = Prescription(
        patient=patient,
        indication=root.required("indication", _defined(known_indications, _WORD)),
        placement=placement,
        side=_side(root, placement),
        tibial_variant=_variant(root, placement),
        device=root.required("device", _defined(known_devices, _DEVICE)),
        settings=_settings(root.optional_section("settings")),
        schedule=_schedule(root.section("schedule"), prescribed_on),
        pads=_pads(root.optional_section("pads")),
        screening=root.pairs(
            "screening", choice(_ANSWERS), known_screening, keys=_defined(None, _WORD)
        ),
        goal=root.optional("goal", text(300)),
        documents=_no_repeat(root, "documents", root.optional("documents", _KINDS, DOCUMENT_KINDS)),
        languages=_languages(root, patient.language, known_languages),
        reasons=_reasons(root),
        clinician=_clinician(root.section("clinician")),
        prescribed_on=prescribed_on,
        places=collector.places,
        digest=file.digest,
    )
    collector.finish()
    return prescription


def _defined(known: Collection[str] | None, form: str) -> Convert[str]:
    """Make a converter for a word that another file defines."""
    if known is not None:
        return one_of(sorted(known))
    return pattern(form, "a short lower-case word, as in urge_leakage or demo-duo")


def _patient(section: Section, prescribed_on: date, known: Collection[str] | None) -> Patient:
    patient = Patient(
        name=section.required("name", person(80)),
        record_number=section.required("record_number", person(40)),
        language=section.required("language", known_language(known)),
        born=section.optional("born", unsaid(day())),
        sex=section.optional("sex", choice(_SEXES)),
        height_cm=section.optional("height_cm", integer(40, 250)),
        large_print=section.optional("large_print", flag(), False),
        guardian_name=section.optional("guardian_name", person(80)),
        interpreter_name=section.optional("interpreter_name", person(80)),
    )
    for key, name in (
        ("guardian_name", patient.guardian_name),
        ("interpreter_name", patient.interpreter_name),
    ):
        if name and patient.name and name.casefold() == patient.name.casefold():
            section.add(key, "the patient's own name", "the name of another person",
                        "correct it, or remove the line")  # fmt: skip
    born = patient.born
    if born and prescribed_on:
        if born > prescribed_on:
            section.add("born", "a later date", f"a date up to prescribed_on, {prescribed_on}",
                        "check both years")  # fmt: skip
        elif prescribed_on.year - born.year > _OLDEST:
            section.add("born", "an earlier date", f"at most {_OLDEST} years before prescribed_on",
                        "check the year")  # fmt: skip
    return patient


def _side(root: Section, placement: PlacementSite) -> Side:
    if placement == "tibial":
        return root.required("side", choice(_SIDES))
    if placement is None:  # its own fault is told already: any side may be meant
        return root.optional("side", choice((*_SIDES, _MIDLINE)), _MIDLINE)
    side = root.optional("side", choice((*_SIDES, _MIDLINE)), _MIDLINE)
    if side is not None and side != _MIDLINE:
        root.add("side", side, f"{_MIDLINE} with placement {placement}",
                 "remove the line, or write placement: tibial")  # fmt: skip
    return side


def _variant(root: Section, placement: PlacementSite) -> TibialVariant:
    variant = root.optional("tibial_variant", choice(_VARIANTS), _VARIANTS[0])
    if "tibial_variant" in root and placement not in (None, "tibial"):
        root.add("tibial_variant", str(variant), "this key with placement tibial only",
                 "remove the line, or write placement: tibial")  # fmt: skip
    return variant


def _settings(section: Section | None) -> SettingsRequest:
    """Read the settings; the ranges here only keep out what no unit can mean."""
    if section is None:
        return SettingsRequest()
    settings = SettingsRequest(
        mode=section.optional("mode", choice(_MODES)),
        pulse_width_us=section.optional("pulse_width_us", decimal(1, 10_000)),
        pulse_rate_hz=section.optional("pulse_rate_hz", decimal("0.1", 10_000)),
        session_minutes=section.optional("session_minutes", integer(1, 720)),
        channel=section.optional("channel", integer(1, 8)),
        on_s=section.optional("on_s", decimal("0.1", 600)),
        off_s=section.optional("off_s", decimal("0.1", 600)),
        ramp_s=section.optional("ramp_s", decimal(0, 60)),
        expected_strength_ma=section.optional("expected_strength_ma", decimal("0.1", 200)),
    )
    for one, other in (("on_s", "off_s"), ("off_s", "on_s")):
        if one in section and other not in section:
            section.add(one, f"{one} without {other}", "both or neither", f"add {other}")
    return settings


def _schedule(section: Section, prescribed_on: date) -> ScheduleRequest:
    schedule = ScheduleRequest(
        start=section.required("start", day(date(2000, 1, 1))),
        weeks=section.optional("weeks", integer(1, 52)),
        sessions_per_week=section.optional("sessions_per_week", integer(1, 7)),
        weekdays=section.optional("weekdays", list_of(choice(WEEKDAYS), 1, 7), ()),
        skip=section.optional("skip", list_of(day(), 0, 100), ()),
        reviews=section.optional("reviews", list_of(day(), 0, 12), ()),
        time_of_day=section.optional("time_of_day", clock_time()),
        taper_sessions_per_week=section.optional(
            "taper_sessions_per_week", list_of(integer(1, 7), 0, 26), ()
        ),
    )
    start, days, count = schedule.start, schedule.weekdays, schedule.sessions_per_week
    if start and prescribed_on and start < prescribed_on:
        section.add("start", str(start), f"a day from prescribed_on, {prescribed_on}, onwards",
                    "check both dates")  # fmt: skip
    if start and prescribed_on and start > prescribed_on + _YEAR:
        section.add("start", str(start), f"a day up to {prescribed_on + _YEAR}",
                    "check the year; what was asked a year ago must be asked again")  # fmt: skip
    if days and count and len(days) != count:
        section.add("weekdays", f"{len(days)} days with sessions_per_week {count}",
                    "as many days as sessions_per_week", "keep one of the two keys")  # fmt: skip
    for key, values in (("weekdays", days), ("skip", schedule.skip), ("reviews", schedule.reviews)):
        _no_repeat(section, key, values)
    for key, dates in (("skip", schedule.skip), ("reviews", schedule.reviews)):
        _within_a_year(section, key, start, dates)
    return schedule


def _within_a_year(section: Section, key: str, start: date, dates: Sequence[date]) -> None:
    """Refuse a date that no session or review of this course can meet: a slip of the year."""
    for number, value in enumerate(dates or (), start=1):
        if start and not start <= value <= start + _YEAR:
            section.add(f"{key}.{number}", str(value), f"a day from {start} to {start + _YEAR}",
                        "check the year, or remove the date")  # fmt: skip


def _pads(section: Section | None) -> Pads | None:
    if section is None:
        return None
    size = decimal(10, 250)
    shape = section.required("shape", choice(_SHAPES))
    width = section.required("width_mm", size)
    if shape == "round":
        height = section.optional("height_mm", size, width)
        if width and height and height != width:
            section.add("height_mm", str(height), f"{width}, as a round pad is as high as wide",
                        "remove height_mm, or write shape: oval")  # fmt: skip
    else:
        height = section.required("height_mm", size)
    return Pads(
        shape=shape,
        width_mm=width,
        height_mm=height,
        uses_per_set=section.optional("uses_per_set", integer(1, 500)),
        replace_after_days=section.optional("replace_after_days", integer(1, 366)),
    )


def _languages(root: Section, own: str, known: Collection[str] | None) -> tuple[str, ...]:
    """Read the extra languages; the patient's own may stand among them and is left out."""
    tags = root.optional("languages", list_of(known_language(known), 0, 20), ())
    _no_repeat(root, "languages", tags)
    return tuple(tag for tag in tags or () if tag != own)


def _reasons(root: Section) -> tuple[Reason, ...]:
    reasons = tuple(
        Reason(
            about=section.required("about", _ABOUT),
            text=section.required("text", _in_words),
            name=section.required("name", person(80)),
        )
        for section in root.sections("reasons", at_most=40)
    )
    _no_repeat(root, "reasons", [reason.about for reason in reasons if reason.about])
    return reasons


def _in_words(node: Node) -> str:
    """Read a reason's text: it is read by others, so a dot or "ok" will not do."""
    said = text(600)(node)
    if sum(character.isalnum() for character in said) < _LEAST_LETTERS:
        hint = "write why, for whoever reads the checklist"
        raise Unfit(Fault(node.line, shown(said), "the reason in words", hint))
    return said


def _clinician(section: Section) -> Clinician:
    return Clinician(
        name=section.required("name", person(80)),
        role=section.required("role", person(80)),
        registration=section.optional("registration", person(60)),
    )


def _no_repeat(section: Section, key: str, values: Many) -> Many:
    """Remember a fault for each entry of *values* that stands there twice."""
    for value, times in Counter(values or ()).items():
        if times > 1:
            section.add(key, f"{value} {times} times", "each entry once", "keep one of them")
    return values
