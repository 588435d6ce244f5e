import hashlib
import json
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
import yaml

from docbuilder.clinical.plan import make_plan
from docbuilder.errors import InputFault, Place, Refused
from docbuilder.inputs.clinic import read_clinic
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.prescription import read_prescription
from docbuilder.inputs.unit import find_unit, known_units
from docbuilder.model.prescription import (
    Clinician,
    Pads,
    Patient,
    Prescription,
    Reason,
    ScheduleRequest,
    SettingsRequest,
)
from docbuilder.paths import data_folder

DEMO = sorted((data_folder("demo") / "prescriptions").glob("*.yaml"))
FULL = """\
prescribed_on: 2026-12-01
patient:
  name: Ada Example
  record_number: 00123
  language: en-us
  born: 1961-04-09
  sex: female
  height_cm: 164
  large_print: true
  guardian_name: Gil Example
  interpreter_name: Ira Example
indication: urgency
placement: tibial
side: both
tibial_variant: foot_arch
device: demo-duo
settings:
  mode: burst
  pulse_width_us: 200.5
  pulse_rate_hz: 0.1
  session_minutes: 30
  channel: 2
  on_s: 5
  off_s: 10
  ramp_s: 0
  expected_strength_ma: 20
schedule:
  start: 2026-12-07
  weeks: 12
  sessions_per_week: 2
  weekdays: [mon, thu]
  skip: [2026-12-24]
  reviews: [2027-01-19]
  time_of_day: 19:30
  taper_sessions_per_week: [2, 1]
pads: {shape: oval, width_mm: 40, height_mm: 50, uses_per_set: 20, replace_after_days: 30}
screening: {pregnancy: no, epilepsy: unknown}
goal: "Walk: to market & back"
documents: [consent, handout]
languages: [es, en-US]
reasons:
  - about: settings.pulse_rate_hz
    text: Helped before
    name: Jordan Placeholder
clinician:
  name: Jordan Placeholder
  role: Physiotherapist
  registration: DEMO-1
"""


def written(folder: Path, text: str, name: str = "rx.yaml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_every_key_of_the_model_is_read(tmp_path: Path) -> None:
    """This test ensures that each field arrives exact, typed and in its place."""
    path = written(tmp_path, FULL)
    read = read_prescription(path)
    assert read == Prescription(
        patient=Patient(
            "Ada Example", "00123", "en-US", date(1961, 4, 9), "female", 164, True,
            "Gil Example", "Ira Example",
        ),
        indication="urgency", placement="tibial", side="both", device="demo-duo",
        settings=SettingsRequest(
            "burst", Decimal("200.5"), Decimal("0.1"), 30, 2, Decimal(5), Decimal(10), Decimal(0),
            Decimal(20),
        ),
        schedule=ScheduleRequest(
            date(2026, 12, 7), 12, 2, ("mon", "thu"), (date(2026, 12, 24),), (date(2027, 1, 19),),
            "19:30", (2, 1),
        ),
        clinician=Clinician("Jordan Placeholder", "Physiotherapist", "DEMO-1"),
        prescribed_on=date(2026, 12, 1),
        screening={"pregnancy": "no", "epilepsy": "unknown"},
        pads=Pads("oval", Decimal(40), Decimal(50), 20, 30),
        tibial_variant="foot_arch",
        goal="Walk: to market & back",
        documents=("consent", "handout"),
        languages=("es",),
        reasons=(Reason("settings.pulse_rate_hz", "Helped before", "Jordan Placeholder"),),
        places=read.places,
        digest=hashlib.sha256(path.read_bytes()).hexdigest(),
    )  # fmt: skip


def test_each_written_field_has_its_line(tmp_path: Path) -> None:
    path = written(tmp_path, FULL)
    places = read_prescription(path).places
    lines = FULL.split("\n")
    for name in ("device", "patient.name", "schedule.skip", "settings.ramp_s", "reasons.1.text"):
        key = name.rpartition(".")[2]
        at = [n for n, line in enumerate(lines, 1) if line.strip(" -").startswith(f"{key}:")]
        assert places[name].line in at
    assert places["reasons.1.about"].line == lines.index("  - about: settings.pulse_rate_hz") + 1


def test_place_of_a_field_left_out_is_its_parent(tmp_path: Path) -> None:
    path = written(tmp_path, FULL.replace("  mode: burst\n", ""))
    read = read_prescription(path)
    assert read.place("settings.mode") == read.places["settings"]
    assert read.place("reasons.1.missing") == read.places["reasons.1"]
    assert read.place("nowhere.at.all") == Place(str(path))


def test_the_same_in_json(tmp_path: Path) -> None:
    """This test ensures that JSON made by another reader of the YAML means the same."""
    texts = yaml.load(FULL, Loader=yaml.BaseLoader)
    texts["patient"]["height_cm"] = 164
    texts["patient"]["large_print"] = True
    texts["settings"] = {"mode": "burst", "pulse_width_us": 200.5, "pulse_rate_hz": 0.1,
                         "session_minutes": 30, "channel": 2, "on_s": 5, "off_s": 10, "ramp_s": 0,
                         "expected_strength_ma": 20}  # fmt: skip
    texts["schedule"] |= {"weeks": 12, "sessions_per_week": 2, "taper_sessions_per_week": [2, 1]}
    texts["pads"] = {"shape": "oval", "width_mm": 40, "height_mm": 50, "uses_per_set": 20,
                     "replace_after_days": 30}  # fmt: skip
    as_json = read_prescription(written(tmp_path, json.dumps(texts, indent="\t"), "rx.json"))
    as_yaml = read_prescription(written(tmp_path, FULL))
    for name in Prescription.__dataclass_fields__:
        if name not in ("places", "digest"):
            assert getattr(as_json, name) == getattr(as_yaml, name), name


def test_what_is_left_out_stays_none(tmp_path: Path) -> None:
    good = (Path(__file__).parent / "cases" / "good.yaml").read_text(encoding="utf-8")
    text = good.replace("  pulse_width_us: 200\n  pulse_rate_hz: 20\n", "")
    read = read_prescription(written(tmp_path, text))
    assert read.settings == SettingsRequest()
    assert read.pads is None
    assert read.goal is None
    assert read.documents == ("handout", "consent", "diary", "checklist")


def test_side_is_midline_without_being_written(tmp_path: Path) -> None:
    good = (Path(__file__).parent / "cases" / "good.yaml").read_text(encoding="utf-8")
    for extra in ("", "side: midline\n"):
        text = good.replace("placement: tibial\nside: left\n", f"placement: sacral\n{extra}")
        assert read_prescription(written(tmp_path, text)).side == "midline"


def test_round_pad_is_as_high_as_wide(tmp_path: Path) -> None:
    text = FULL.replace("shape: oval, width_mm: 40, height_mm: 50", "shape: round, width_mm: 32")
    assert read_prescription(written(tmp_path, text)).pads == Pads(
        "round", Decimal(32), Decimal(32), 20, 30
    )


# The invented patients and the starter


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_invented_prescription_reads_and_is_visibly_invented(path: Path) -> None:
    read = read_prescription(path)
    assert read.patient.record_number.startswith("DEMO-")
    assert read.device.startswith("demo-")
    assert date(2026, 12, 1) <= read.prescribed_on <= read.schedule.start < date(2027, 2, 1)
    assert len(read.screening) == len(read_prescription(DEMO[0]).screening) > 20


def test_invented_prescriptions_cover_the_ways_to_use_it() -> None:
    read = [read_prescription(path) for path in DEMO]
    assert {r.placement for r in read} == {"lower_abdomen", "sacral", "tibial"}
    assert {r.side for r in read} >= {"left", "right", "midline"}
    assert {r.tibial_variant for r in read if r.placement == "tibial"} == {
        "above_first", "foot_arch",
    }  # fmt: skip
    assert {r.patient.language for r in read} >= {"ar", "en", "es"}
    assert any(r.patient.large_print for r in read)
    assert any(r.patient.guardian_name for r in read)


def test_invented_prescriptions_build_or_are_refused_as_their_names_say() -> None:
    """This test ensures that the demo stays good against the real units and protocols.

    Both answers occur: one patient is refused by the screening, all others get a plan.
    """
    clinic = read_clinic()
    knowledge = read_knowledge(clinic)
    codes = {rule.code for rule in knowledge.screening}
    for path in DEMO:
        read = read_prescription(
            path,
            known_indications=knowledge.indications,
            known_devices=known_units(clinic),
            known_screening=codes,
        )
        assert set(read.screening) == codes
        unit = find_unit(read.device, clinic)
        if path.stem.endswith("refused"):
            with pytest.raises(Refused, match=r"screening\.pregnancy"):
                make_plan(read, clinic, unit, knowledge)
        else:
            plan = make_plan(read, clinic, unit, knowledge)
            assert plan.schedule.starts_on >= read.schedule.start
            assert not [f for f in plan.findings if f.code.startswith("schedule.review")]


def test_untouched_starter_builds_nothing_and_names_each_line_to_fill() -> None:
    """This test ensures that the starter can never print somebody else's values."""
    path = data_folder("starter.yaml")
    with pytest.raises(InputFault) as caught:
        read_prescription(path)
    assert {issue.found for issue in caught.value.issues} == {"nothing"}
    fields = {issue.field for issue in caught.value.issues}
    codes = read_prescription(DEMO[0]).screening
    assert fields == {
        "prescribed_on", "patient.name", "patient.record_number", "patient.language", "indication",
        "placement", "device", "schedule.start", "clinician.name", "clinician.role",
        *(f"screening.{code}" for code in codes),
    }  # fmt: skip


def test_starter_reads_with_every_remark_turned_on(tmp_path: Path) -> None:
    """This test ensures that every example in the starter's remarks is one that works."""
    fill = {
        "prescribed_on": "2026-12-01", "name": "Ada Example", "record_number": "DEMO-9",
        "language": "en", "indication": "urgency", "placement": "tibial", "device": "demo-duo",
        "start": "2026-12-07", "role": "Physiotherapist", "guardian_name": "Gil Example",
        "interpreter_name": "Ira Example", "registration": "DEMO-1",
    }  # fmt: skip
    lines = []
    for raw in data_folder("starter.yaml").read_text(encoding="utf-8").split("\n"):
        bare = raw.split(" #")[0].rstrip() if not raw.lstrip().startswith("#") else raw
        if raw.lstrip().startswith("# "):
            inner = raw.replace("# ", "", 1)
            key = inner.strip(" -").split(":")[0]
            if ":" not in inner or " " in key or not key.replace("_", "").isalpha():
                continue
            bare = inner.split(" #")[0].rstrip()
        key = bare.strip()[:-1]
        if bare.endswith(":"):
            if key in fill:
                bare += f" {fill[key]}"
            elif bare.startswith("  ") and key not in ("reasons",):
                bare += " no"
        lines.append(bare)
    text = "\n".join(lines).replace("  sessions_per_week: 3\n", "")
    read = read_prescription(written(tmp_path, text))
    assert read.settings.ramp_s == 1
    assert read.pads is not None
    assert read.schedule.taper_sessions_per_week == (2, 1)
    assert read.reasons[0].about == "settings.pulse_rate_hz"
    assert read.patient.interpreter_name == "Ira Example"
    assert set(read.screening.values()) == {"no"}
