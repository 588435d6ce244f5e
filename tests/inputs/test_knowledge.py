"""Knowledge files that are wrong are refused, and every text in them can be translated."""

from __future__ import annotations

import dataclasses
import shutil
from decimal import Decimal

import pytest

from docbuilder.errors import InputFault
from docbuilder.inputs.knowledge import knowledge_folder, read_knowledge
from docbuilder.inputs.knowledge_messages import knowledge_messages
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Knowledge
from docbuilder.model.message import Message

WIDTH = "pulse_width_us: {low: 175, start: 200, high: 200, source: electric2021,"
BAD = {
    "a range the wrong way round": (
        "protocols", WIDTH, WIDTH.replace("low: 175", "low: 250"),
        "protocols.1.pulse_width_us", "low 250, start 200, high 200",
    ),
    "a start outside its range": (
        "protocols", WIDTH, WIDTH.replace("start: 200", "start: 210"),
        "protocols.1.pulse_width_us", "start 210",
    ),
    "a value without a source": (
        "protocols", WIDTH, WIDTH.replace(" source: electric2021,", ""),
        "protocols.1.pulse_width_us.source", "nothing",
    ),
    "a source that is not listed": (
        "protocols", WIDTH, WIDTH.replace("electric2021", "electric2012"),
        "protocols.1.pulse_width_us.source", "electric2012",
    ),
    "a missing value": (
        "protocols", WIDTH, WIDTH.replace("low: 175, ", ""),
        "protocols.1.pulse_width_us.low", "nothing",
    ),
    "a pair twice": (
        "protocols", "indications: [faecal_leakage]", "indications: [faecal_leakage, urgency]",
        "sites", "urgency at tibial again",
    ),
    "a purpose that is not known": (
        "protocols", "indications: [faecal_leakage]", "indications: [fecal_leakage]",
        "protocols.9.indications.1", "fecal_leakage",
    ),
    "published without a citation": (
        "sources", 'mark: "common practice, no source"', "mark: published",
        "sources.practice.citation", "nothing",
    ),
    "an unknown answer milder than its yes": (
        "screening", "    yes: stop\n    unknown: stop\n    who: cardiology",
        "    yes: stop\n    unknown: caution\n    who: cardiology",
        "rules.cardiac_device.unknown", "caution",
    ),
    "a class that clears": (
        "screening", "    yes: stop\n    unknown: stop\n    who: cardiology",
        "    yes: clear\n    unknown: stop\n    who: cardiology",
        "rules.cardiac_device.yes", "clear",
    ),
    "a site left out": (
        "screening", "yes: {lower_abdomen: stop, sacral: stop, tibial: caution}",
        "yes: {lower_abdomen: stop, sacral: stop}",
        "rules.recent_radiotherapy.yes", "lower_abdomen, sacral",
    ),
    "a rule without sources": (
        "screening", "    sources: [fda1999, iec60601_2_10, braddom]\n", "",
        "rules.cardiac_device.sources", "nothing",
    ),
    "a stray per cent sign": (
        "screening", "Keep the pads off swollen veins.", "Keep 100 % off swollen veins.",
        "rules.varicose_veins_site.handout", "per cent",
    ),
    "a key that is not known": (
        "notices", "needs_reason: true", "needs_reasons: true",
        "notices.ng123.needs_reasons", "not known",
    ),
    "a territory in small letters": (
        "notices", "territories: [GB]", "territories: [gb]",
        "notices.ng123.territories.1", "gb",
    ),
    "a purpose without a condition": (
        "consent", '  urgency: "You often feel a sudden, strong need to pass urine."\n', "",
        "condition", "no text for urgency",
    ),
    "a statement without a sentence": (
        "safety", '  - safety: "Do not share your pads."\n    sources', "  - sources",
        "safety", "nothing",
    ),
    "no date of review": (
        "follow_up", "reviewed_on: 2026-11-25\n", "", "reviewed_on", "nothing",
    ),
}  # fmt: skip


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(knowledge_folder(), tmp_path / "files")


@pytest.mark.parametrize("name", BAD)
def test_it_is_refused_with_its_place(folder, name):
    file, old, new, field, found = BAD[name]
    path = folder / f"{file}.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputFault) as fault:
        read_knowledge(folder=folder)
    matching = [
        issue for issue in fault.value.issues
        if issue.field.endswith(field) and found in f"{issue.found} {issue.allowed}"
    ]  # fmt: skip
    assert matching, fault.value
    assert all(issue.place.file.endswith(f"{file}.yaml") for issue in matching)
    assert all(issue.place.line for issue in matching)


def test_faults_of_several_files_come_together(folder):
    for file in ("notices", "safety"):
        path = folder / f"{file}.yaml"
        path.write_text(path.read_text(encoding="utf-8") + "\nodd: 1\n", encoding="utf-8")
    with pytest.raises(InputFault) as fault:
        read_knowledge(folder=folder)
    assert len({issue.place.file for issue in fault.value.issues}) == 2


def test_a_missing_file_is_refused(folder):
    (folder / "safety.yaml").unlink()
    with pytest.raises(InputFault, match=r"safety\.yaml"):
        read_knowledge(folder=folder)


def clinic(tmp_path, **files):
    layer = tmp_path / "clinic" / "knowledge"
    layer.mkdir(parents=True)
    for name, text in files.items():
        (layer / f"{name}.yaml").write_text(text, encoding="utf-8")
    return Clinic("A", "1", "US", "en", "911", folder=tmp_path / "clinic")


OWN_PROTOCOL = """
reviewed_on: 2026-10-01
protocols:
  - indications: [faecal_leakage]
    sites: [tibial]
    mode: {start: continuous, source: policy}
    pulse_width_us: {low: 180, start: 190, high: 220, source: policy}
    pulse_rate_hz: {low: 10, start: 14, high: 20, source: policy}
    session_minutes: {low: 20, start: 30, high: 30, source: policy}
    sessions_per_week: {low: 2, start: 2, high: 7, source: policy}
    weeks: {low: 6, start: 6, high: 12, source: policy}
    pads: {shape: round, width_mm: 50, height_mm: 50, source: policy}
    strength: tibial
"""
OWN_SOURCE = """
reviewed_on: 2026-10-01
sources:
  policy: {mark: published, citation: "Example Clinic, policy 7"}
"""


def test_a_clinics_protocol_wins_and_takes_nothing_away(tmp_path):
    own = read_knowledge(clinic(tmp_path, protocols=OWN_PROTOCOL, sources=OWN_SOURCE))
    ours = read_knowledge()
    pair = {(item.indication, item.site): item for item in own.protocols}
    assert set(pair) == {(item.indication, item.site) for item in ours.protocols}
    bowel = pair["faecal_leakage", "tibial"]
    assert bowel.pulse_width_us.start == Decimal(190)
    assert bowel.pulse_width_us.source.citation == "Example Clinic, policy 7"
    assert str(bowel.pulse_width_us.source.reviewed_on) == "2026-10-01"
    assert bowel.strength_rule == pair["urgency", "tibial"].strength_rule
    assert [item for item in own.protocols if item != bowel] == [
        item for item in ours.protocols if item.indication != "faecal_leakage"
    ]
    assert own.clinic_files == ("sources.yaml", "protocols.yaml")
    assert own.digest != ours.digest


def test_a_clinic_cannot_replace_safety_sentences(tmp_path):
    with pytest.raises(InputFault, match=r"safety\.yaml"):
        read_knowledge(clinic(tmp_path, safety="reviewed_on: 2026-10-01\n"))


def test_a_clinic_can_make_a_rule_stricter_and_keeps_the_others(tmp_path):
    strict = """
reviewed_on: 2026-10-01
who_to_ask: {chief: "Ask the head of the clinic."}
rules:
  epilepsy:
    question: "Is there epilepsy?"
    yes: stop
    unknown: stop
    who: chief
    why: "Clinic policy."
    checklist: "Epilepsy: not at home."
    sources: [memory]
"""
    own = read_knowledge(clinic(tmp_path, screening=strict))
    rules = {rule.code: rule for rule in own.screening}
    assert rules["epilepsy"].severity("sacral", "yes") == "stop"
    assert set(rules) == {rule.code for rule in read_knowledge().screening}
    assert own.derived == read_knowledge().derived


OWN_RULE = """
reviewed_on: 2026-10-01
rules:
  {code}:
    question: "Is there one?"
    yes: {yes}
    unknown: {unknown}
    why: "Clinic policy."
    checklist: "Ask."
    sources: [memory]
{more}
"""


@pytest.mark.parametrize(
    ("yes", "unknown", "more", "field"),
    [
        ("note", "ask", "", "yes"),
        ("stop", "ask", "", "unknown"),
        ("stop", "stop", "", "specialist"),
        ("stop", "stop", "    sites: [sacral]", "sites"),
        ("stop", "stop", "    ages: [0, 60]", "ages"),
        ("stop", "stop", "    territories: [GB]", "territories"),
    ],
)
def test_a_clinic_cannot_make_a_rule_milder(tmp_path, yes, unknown, more, field):
    text = OWN_RULE.format(code="cardiac_device", yes=yes, unknown=unknown, more=more)
    with pytest.raises(InputFault) as caught:
        read_knowledge(clinic(tmp_path, screening=text))
    found = {issue.field for issue in caught.value.issues}
    assert f"rules.cardiac_device.{field}" in found
    assert all("stricter" in issue.hint for issue in caught.value.issues)


def test_every_built_in_stop_holds_against_a_clinic(tmp_path):
    stops = [
        rule.code
        for rule in read_knowledge().screening
        if "stop" in {rule.severity(site, "yes") for site in ("tibial", "sacral", "lower_abdomen")}
    ]
    assert len(stops) >= 5
    for code in stops:
        text = OWN_RULE.format(code=code, yes="caution", unknown="ask", more="")
        with pytest.raises(InputFault, match=rf"rules\.{code}\.yes"):
            read_knowledge(clinic(tmp_path / code, screening=text))


def test_a_patients_sentence_that_a_clinic_leaves_out_stays(tmp_path):
    ours = {rule.code: rule for rule in read_knowledge().screening}
    code = next(code for code, rule in ours.items() if rule.handout and not rule.specialist)
    text = OWN_RULE.format(code=code, yes="stop", unknown="stop", more="")
    own = {r.code: r for r in read_knowledge(clinic(tmp_path, screening=text)).screening}
    assert own[code].handout == ours[code].handout
    assert own[code].question.msgid == "Is there one?"


def test_a_clinics_rule_may_name_whom_we_name(tmp_path):
    rule = """
reviewed_on: 2026-10-01
rules:
  epilepsy:
    question: "Is there epilepsy?"
    yes: stop
    unknown: stop
    who: WHO
    why: "Clinic policy."
    checklist: "Epilepsy: not at home."
    sources: [memory]
"""
    own = read_knowledge(clinic(tmp_path / "a", screening=rule.replace("WHO", "neurology")))
    ours = {item.code: item for item in read_knowledge().screening}
    found = {item.code: item for item in own.screening}
    assert found["epilepsy"].who_to_ask == ours["epilepsy"].who_to_ask
    with pytest.raises(InputFault) as caught:
        read_knowledge(clinic(tmp_path / "b", screening=rule.replace("WHO", "neurologgy")))
    (issue,) = caught.value.issues
    assert (issue.field, issue.hint) == ("rules.epilepsy.who", "did you mean neurology?")
    assert "cardiology" in issue.allowed


def all_messages(value):
    """Yield every Message inside a value of the model."""
    if isinstance(value, Message):
        yield value
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from all_messages(getattr(value, field.name))
    elif isinstance(value, dict):
        for item in value.values():
            yield from all_messages(item)
    elif isinstance(value, tuple):
        for item in value:
            yield from all_messages(item)


def test_translators_get_exactly_what_can_print():
    knowledge: Knowledge = read_knowledge()
    printed = {(message.context, message.msgid) for message in all_messages(knowledge)}
    offered = {(item.context, item.msgid) for item in knowledge_messages(knowledge_folder())}
    assert printed == offered


def test_each_offered_text_stands_where_it_says():
    for item in knowledge_messages(knowledge_folder()):
        lines = (knowledge_folder() / item.file).read_text(encoding="utf-8").splitlines()
        assert item.msgid in lines[item.line - 1]
        assert item.comment.startswith(item.audience)


def test_a_text_has_one_context():
    contexts: dict[str, set[str]] = {}
    for item in knowledge_messages(knowledge_folder()):
        contexts.setdefault(item.msgid, set()).add(item.context)
    assert [text for text, found in contexts.items() if len(found) > 1] == []


def test_reading_twice_gives_the_same():
    assert read_knowledge() == read_knowledge()
