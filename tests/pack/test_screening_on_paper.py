"""What the screening says is on the papers: every rule, every disagreement, every sheet.

One invented patient of whom every question is answered yes and every stop decided by a
named person: the handout, the consent form and the checklist must carry all of it.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pymupdf
import pytest
from built_packs import desk

from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.pack.build import BuildOptions, Pack

TIBIAL = demo_clinic_folder() / "prescriptions" / "urgency-tibial-en.yaml"
KNOWLEDGE = read_knowledge()
WHY = "The team agreed in writing on the first of the month"


@cache
def pack(folder: Path) -> Pack:
    text = TIBIAL.read_text("utf-8").replace("born: 1961", "born: 1991")
    head, _, rest = text.partition("screening:\n")
    answers, _, tail = rest.partition("clinician:")
    text = f"{head}screening:\n{answers.replace(': no', ': yes')}clinician:{tail}"
    about = [f"screening.{rule.code}" for rule in KNOWLEDGE.screening]
    about += ["derived.numb_alone", "derived.alone_no_carer"]
    text += "reasons:\n" + "".join(
        f'  - about: {code}\n    text: "{WHY}"\n    name: Kim Decider\n' for code in about
    )
    source = folder / "rx.yaml"
    source.write_text(text, "utf-8")
    options = BuildOptions()
    return desk().make(desk().prepare(source, options), options)


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The letters of each paper without spaces, heads and feet of pages left in."""
    found = {}
    for file in pack(tmp_path_factory.mktemp("all-yes")).files:
        if file.kind in ("calendar", "manifest"):
            found[file.kind] = file.data.decode()
            continue
        with pymupdf.open(stream=file.data) as document:
            found[file.kind] = squeezed("".join(page.get_text() for page in document))
    return found


def squeezed(text: str) -> str:
    """Drop spaces and the hyphen of a broken line; quotation marks in one form."""
    return "".join(text.split()).replace("’", "'").replace("\u00ad", "")


def noted(code: str) -> bool:
    """Say whether a yes is a note only at the ankle, so that nothing prints for the patient."""
    rule = next(rule for rule in KNOWLEDGE.screening if rule.code == code)
    return rule.severity("tibial", "yes") == "note"


@pytest.mark.parametrize("code", [rule.code for rule in KNOWLEDGE.screening])
def test_each_rule_prints_on_all_three_papers(code: str, papers: dict[str, str]) -> None:
    rule = next(rule for rule in KNOWLEDGE.screening if rule.code == code)
    shown = [rule.question, rule.why, rule.checklist, rule.who_to_ask, rule.disagreement]
    for message in shown:
        assert message is None or squeezed(message.msgid) in papers["checklist"], message
    if not noted(code):
        assert squeezed(rule.handout.msgid) in papers["handout"]
        assert squeezed(rule.consent.msgid) in papers["consent"]


def test_who_decided_and_why_is_on_the_checklist_and_in_the_manifest(
    papers: dict[str, str],
) -> None:
    stops = [r.code for r in KNOWLEDGE.screening if r.severity("tibial", "yes") == "stop"]
    assert papers["checklist"].count(squeezed(f"Decided by Kim Decider: “{WHY}”")) >= len(stops)
    told = {item["about"]: item["name"] for item in json.loads(papers["manifest"])["reasons"]}
    assert all(told[f"screening.{code}"] == "Kim Decider" for code in stops)


def test_follow_up_is_on_paper(papers: dict[str, str]) -> None:
    """Red flags for the patient; call, reviews, stop and taper rules for the clinician."""
    texts = KNOWLEDGE.follow_up
    for statement in texts.red_flags:
        assert squeezed(statement.message.msgid) in papers["handout"]
    for group in (texts.call_questions, texts.review_measures, texts.stop_rules, texts.taper_rules):
        for statement in group:
            scope = statement.scope
            if (not scope.indications or "urgency" in scope.indications) and (
                not scope.sites or "tibial" in scope.sites
            ):
                printed = squeezed(statement.message.msgid) in papers["checklist"]
                # Every question was answered with yes, so this patient needs another person.
                assert printed != bool(scope.alone), statement
    for head in ("Before", "Jan19,2027", "Mar2,2027", "Callafteroneweek"):
        assert head in papers["checklist"]
