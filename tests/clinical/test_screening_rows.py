"""Every row of the collected cautions has something of ours that carries it.

The rows were copied by hand from the two tables that the project was given: the cautions
of its clinical facts (C) and section 3 of its evidence (E). A row is carried by screening
questions ("screening."), combinations ("derived."), standing sentences of the handout
("never_place", "do_not_use", "stop_and_call", "red_flags"), the consent form, or a
finding; each is named with a word that must stand in it.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest
from example_cases import knowledge, prescription, screened

from docbuilder.clinical.screening import _CONDITIONS


class Row(NamedTuple):
    item: str
    carried_by: tuple[tuple[str, str], ...]
    differ: tuple[str, ...] = ()
    """Screening rules that must show what each source says, as sources disagree."""


ROWS = [
    # C: cautions (screening answers -> stop, caution, ask).
    Row("C pacemaker, implanted defibrillator, other implanted stimulator",
        (("screening.cardiac_device", "defibrillator"),
         ("screening.other_active_implant", "nerve stimulator"))),
    Row("C pregnancy, or may be pregnant: trunk, pelvis and tibial points",
        (("screening.pregnancy", "possibly pregnant"), ("derived.pregnancy_tibial", "ankle"))),
    Row("C known or suspected cancer in the area", (("screening.cancer_near_site", "suspected"),)),
    Row("C unexplained bleeding or blood in urine",
        (("screening.unexplained_bleeding", "blood in the urine"),)),
    Row("C unexplained pelvic pain", (("screening.undiagnosed_pain", "pelvic pain"),)),
    Row("C deep vein thrombosis, thrombophlebitis in leg or pelvis",
        (("screening.dvt", "vein inflammation in the leg or pelvis"),)),
    Row("C epilepsy", (("screening.epilepsy", "supervise the first session"),)),
    Row("C heart rhythm problem, recent heart attack",
        (("screening.heart_condition", "recent heart attack"), ("never_place", "chest"))),
    Row("C broken, infected, inflamed skin; dermatitis",
        (("screening.skin_problem_site", "eczematous"),)),
    Row("C irradiated skin", (("screening.recent_radiotherapy", "irradiated skin"),)),
    Row("C known adhesive allergy", (("screening.adhesive_allergy", "another pad material"),)),
    Row("C poor or absent feeling at the site",
        (("screening.reduced_sensation", "sharp, blunt"), ("never_place", "numb skin"))),
    Row("C cannot understand or give feedback; cannot use the unit alone",
        (("screening.cannot_use_alone", "train a carer"), ("derived.alone_no_carer", "carer"))),
    Row("C active urinary infection", (("screening.urinary_infection", "test again"),)),
    Row("C retention", (("screening.urinary_retention", "bladder scan"),)),
    Row("C bleeding disorder or recent haemorrhage",
        (("screening.bleeding_tendency", "bleeding disorder"),)),
    Row("C recent surgery", (("screening.recent_surgery", "operation"),)),
    Row("C metal in the area", (("screening.metal_implant", "plate or screws"),)),
    Row("C copper or hormonal coil", (("screening.coil", "copper or hormone coil"),)),
    Row("C child", (("derived.child_supervision", "child’s own agreement"),
                    ("derived.child_guardian", "guardian"))),
    Row("C peripheral arterial disease, severe leg swelling (tibial)",
        (("screening.arterial_disease_leg", "severe swelling"),)),
    # E: section 3, one row each.
    Row("E demand pacemaker or defibrillator", (("screening.cardiac_device", "pacemaker"),),
        ("cardiac_device",)),
    Row("E other active implant: stimulator, pump, loop recorder",
        (("screening.other_active_implant", "pump or recorder"),)),
    Row("E metal implant, coil, hip, plate",
        (("screening.metal_implant", "hot or sore spots"), ("screening.coil", "coil")),
        ("metal_implant",)),
    Row("E pregnancy", (("screening.pregnancy", "Date of last period"),), ("pregnancy",)),
    Row("E cancer at or near the site", (("screening.cancer_near_site", "near a pad"),),
        ("cancer_near_site",)),
    Row("E recent radiotherapy at the site",
        (("screening.recent_radiotherapy", "radiotherapy to the pelvis"),)),
    Row("E clot or phlebitis", (("screening.dvt", "clot"), ("red_flags", "calf swells"))),
    Row("E varicose veins at the medial ankle",
        (("screening.varicose_veins_site", "both ankles"),
         ("derived.both_ankles_looked_at", "veins"), ("never_place", "swollen veins"))),
    Row("E bleeding tendency after injury", (("screening.bleeding_tendency", "recent injury"),)),
    Row("E recent surgery: sling, prolapse, section",
        (("screening.recent_surgery", "sling, prolapse repair or C-section"),)),
    Row("E menstruating uterus",
        (("screening.menstruation_heavy", "periods heavy"),
         ("derived.period_pain_decision", "menstruating womb")), ("menstruation_heavy",)),
    Row("E epilepsy", (("screening.epilepsy", "last seizure"),), ("epilepsy",)),
    Row("E heart disease, arrhythmia", (("screening.heart_condition", "never place pads on the"),)),
    Row("E head, eyes, mouth, neck, chest with upper back",
        (("never_place", "head, face or eyes"), ("never_place", "neck"),
         ("never_place", "chest or upper back"))),
    Row("E impaired sensation, saddle",
        (("screening.reduced_sensation", "between the legs"), ("derived.numb_alone", "burn"),
         ("red_flags", "numb between your legs"))),
    Row("E broken, inflamed, infected skin, swelling, eczema",
        (("screening.skin_problem_site", "broken, inflamed, infected, swollen"),
         ("never_place", "broken, sore, swollen"))),
    Row("E allergy to gel or adhesive",
        (("screening.adhesive_allergy", "acrylate, latex or nickel"),
         ("stop_and_call", "rash that itches")), ("adhesive_allergy",)),
    Row("E cannot understand or switch off",
        (("screening.cannot_use_alone", "understand, feel, see or reach"),), ("cannot_use_alone",)),
    Row("E children", (("do_not_use", "children cannot reach"),
                       ("derived.child_supervision", "an adult"))),
    Row("E undiagnosed symptoms: weight loss, new nerve signs",
        (("screening.undiagnosed_pain", "weight loss or a new nerve sign"),
         ("red_flags", "blood in your urine")), ("undiagnosed_pain",)),
    Row("E urinary retention, high residual",
        (("screening.urinary_retention", "150–200 ml"), ("red_flags", "cannot pass urine")),
        ("urinary_retention",)),
    Row("E probe only: infection, prolapse, birth within six weeks",
        (("screening.recent_childbirth", "no probe before six weeks"),
         ("never_place", "inside your body"))),
    Row("E driving, machinery, bath, asleep",
        (("do_not_use", "drive or run a machine"), ("do_not_use", "bath or shower"),
         ("do_not_use", "while you sleep"))),
    Row("E near diathermy or short-wave",
        (("screening.near_diathermy", "1 metre away"), ("do_not_use", "two big steps"))),
    Row("E MRI, CT, X-ray, heart trace", (("do_not_use", "scan, an X-ray or a heart test"),)),
    Row("E trials of children: 4 or 5 years and older (1.2)",
        (("derived.under_five", "4 or 5 and older"),)),
    # E: adverse effects to print, and the last paragraph's disagreements.
    Row("E redness and burn, the two that the FDA names",
        (("common_risks", "turn red"), ("serious_risks", "burn"))),
    Row("E ache or twitch; brief flare; faintness",
        (("common_risks", "ache or a twitch"), ("common_risks", "worse for a short while"),
         ("serious_risks", "faint"))),
    Row("E trials rarely counted harms carefully", (("uncertainty", "did not always count"),)),
    Row("E disagreements: pacemaker, pregnancy, menstruation, epilepsy, metal", (),
        ("cardiac_device", "pregnancy", "menstruation_heavy", "epilepsy", "metal_implant")),
]  # fmt: skip


def texts_of(name: str) -> list[str]:
    """Return what is asked or printed under *name*, with nothing left out by any scope."""
    kind, _, code = name.partition(".")
    known = knowledge()
    if kind == "screening":
        rule = next(item for item in known.screening if item.code == code)
        parts = (rule.question, rule.why, rule.checklist, rule.handout, rule.consent)
        return [part.msgid for part in parts if part is not None]
    if kind == "derived":
        assert code in _CONDITIONS, "nobody finds out whether it holds"
        return [known.derived[code].message.msgid]
    group = next(
        getattr(part, name)
        for part in (known.safety, known.follow_up, known.consent)
        if hasattr(part, name)
    )
    return [statement.message.msgid for statement in group]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.item)
def test_each_row_is_carried(row):
    assert row.carried_by or row.differ
    for name, word in row.carried_by:
        assert any(word in text for text in texts_of(name)), (name, word)


@pytest.mark.parametrize("row", [row for row in ROWS if row.differ], ids=lambda row: row.item)
def test_each_disagreement_is_kept_and_shown(row):
    """On the line of the screening that the checklist prints, with two sides or more."""
    for code in row.differ:
        rx = prescription("urgency", "sacral", **{code: "yes"})
        line = next(item for item in screened(rx).lines if item.code == code)
        assert line.disagreement is not None
        assert sum(line.disagreement.msgid.count(mark) for mark in ".;") >= 2, code


def test_no_rule_stands_outside_the_tables():
    """The other way round: each question and each combination carries a row, or is told here."""
    carried = {name for row in ROWS for name, _ in row.carried_by}
    ours = {f"screening.{rule.code}" for rule in knowledge().screening}
    ours |= {f"derived.{code}" for code in knowledge().derived}
    own = {  # follow from the protocols and the placement, not from a list of cautions
        "derived.young_person", "derived.child_implant", "derived.adult_values_for_child",
        "derived.child_values_for_adult", "derived.age_unknown", "derived.low_tone_confirmed",
        "derived.high_tone_pain", "derived.both_legs",
    }  # fmt: skip
    assert ours - carried == own
