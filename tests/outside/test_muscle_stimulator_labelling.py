"""Each item of the FDA's 1999 labelling list for muscle stimulators has its answer (C53).

1 contraindication, 7 warnings, 9 precautions (one of them four cautions), 2 adverse
reactions. For each: the screening rule that asks, or a fragment of the patient's sentence.
"""

from __future__ import annotations

import pytest

from docbuilder.inputs.knowledge import read_knowledge

KNOWLEDGE = read_knowledge()
RULES = {rule.code for rule in KNOWLEDGE.screening}
SAFETY = " | ".join(
    item.message.msgid
    for group in (
        KNOWLEDGE.safety.never_place, KNOWLEDGE.safety.stop_and_call, KNOWLEDGE.safety.do_not_use,
    )
    for item in group
)  # fmt: skip
CONSENT = " | ".join(
    item.message.msgid
    for group in (
        KNOWLEDGE.consent.uncertainty, KNOWLEDGE.consent.common_risks,
        KNOWLEDGE.consent.serious_risks,
    )
    for item in group
)  # fmt: skip

CONTRAINDICATIONS = {"demand pacemaker": (["cardiac_device"], ["if you have a pacemaker"], [])}
WARNINGS = {
    "long-term effects unknown": ([], [], ["over many years"]),
    "carotid sinus": ([], ["front or sides of your neck"], []),
    "neck or mouth": ([], ["neck", "in your mouth"], []),
    "through the chest": (["heart_condition"], ["on your chest"], []),
    "through the head": ([], ["on your head"], []),
    "swollen, infected, inflamed skin, phlebitis, varicose veins": (
        ["skin_problem_site", "dvt", "varicose_veins_site"],
        ["sore, swollen", "swollen veins", "blood clot"],
        [],
    ),
    "on or near cancer": (["cancer_near_site"], ["near a cancer"], []),
}
PRECAUTIONS = {
    "pregnancy": (["pregnancy"], ["may be pregnant"], []),
    "heart problems": (["heart_condition", "cardiac_device"], ["on your chest"], []),
    "epilepsy": (["epilepsy"], [], []),
    "four cautions: bleeding, surgery, womb, feeling": (
        ["bleeding_tendency", "recent_surgery", "menstruation_heavy", "pregnancy",
         "reduced_sensation"],
        ["numb skin"],
        [],
    ),
    "irritation": (["adhesive_allergy"], ["rash that itches"], ["itch or get a rash"]),
    "placement and settings by the prescriber": ([], ["places and settings in this handout"], []),
    "out of reach of children": ([], ["children cannot reach"], []),
    "recommended leads and electrodes only": ([], ["pads and leads made for your unit"], []),
    "no driving or machinery": ([], ["drive or run a machine"], []),
}  # fmt: skip
ADVERSE = {
    "skin irritation": ([], ["still red"], ["turn red"]),
    "burns": ([], ["burns or blisters"], ["burn your skin"]),
}


def test_the_list_is_whole():
    assert (len(CONTRAINDICATIONS), len(WARNINGS), len(PRECAUTIONS), len(ADVERSE)) == (1, 7, 9, 2)


@pytest.mark.parametrize("item", [*(CONTRAINDICATIONS | WARNINGS | PRECAUTIONS | ADVERSE).items()],
                         ids=lambda item: item[0])  # fmt: skip
def test_each_item_is_asked_or_said(item):
    _, (rules, safety, consent) = item
    assert rules or safety or consent
    assert set(rules) <= RULES
    for fragment in safety:
        assert fragment in SAFETY
    for fragment in consent:
        assert fragment in CONSENT


def test_disagreements_are_shown_where_sources_disagree():
    """The six disagreements that the tool must carry (evidence, end of section 3)."""
    told = {rule.code for rule in KNOWLEDGE.screening if rule.disagreement is not None}
    assert {
        "cardiac_device",
        "pregnancy",
        "menstruation_heavy",
        "epilepsy",
        "metal_implant",
    } <= told
    # The sixth, children: the combination speaks of local law and of adult values.
    assert {"child_guardian", "young_person", "adult_values_for_child"} <= set(KNOWLEDGE.derived)
