"""The papers of the demo patients keep to the reading grade that we aim at."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from docbuilder.cli.readability import _aims, document_texts, readability
from docbuilder.document.blocks import (
    Column,
    Document,
    Furniture,
    Heading,
    ListBlock,
    Panel,
    Paragraph,
    Run,
    Step,
    Steps,
    Table,
)
from docbuilder.language.readability import measure_texts
from docbuilder.paths import data_folder

DEMO = data_folder("demo")


def runs(text):
    return (Run(text),)


def test_sentences_are_read_and_labels_are_not():
    document = Document(
        kind="handout", title="T", language="en", rtl=False, paper="A4", text_pt=12,
        furniture=Furniture("", "", "", "", "", "", ""),
        blocks=(
            Heading(1, runs("What now?")),
            Heading(2, runs("A label")),
            Paragraph((Run("Call "), Run("\u20681 555\u2069", bold=True), Run("."))),
            Paragraph(runs("Author A. A source, 2020."), role="small"),
            ListBlock(((Paragraph(runs("One.")),), (Paragraph(runs("no mark")),))),
            Steps((Step(runs("Sit down.")),)),
            Panel("stop", runs("Stop if it hurts."), (Paragraph(runs("Call us.")),)),
            Table((Column(runs("Head."), 1.0),), ((runs("Cell."),),)),
        ),
    )  # fmt: skip
    assert list(document_texts(document)) == [
        "What now?", "Call 1 555.", "One.", "Sit down.", "Stop if it hurts.", "Call us.",
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["urgency-tibial-en", "child-sacral-en", "urge-leakage-sacral-es"])
def test_patient_papers_are_at_grade_6_or_below_in_english(name):
    source = str(DEMO / "prescriptions" / f"{name}.yaml")
    arguments = [source, "--language", "en", "--clinic", str(DEMO), "--json"]
    result = CliRunner().invoke(readability, arguments, catch_exceptions=False)
    documents = json.loads(result.output)["documents"]
    assert set(documents) == {"handout", "consent", "diary", "checklist"}
    for kind in ("handout", "consent", "diary"):
        scores = {score["name"]: score["value"] for score in documents[kind]["scores"]}
        assert scores["Flesch-Kincaid grade"] <= 6
        assert scores["SMOG grade"] <= 8
        assert documents[kind]["count"]["longest_sentence"] <= 22


def test_without_a_prescription_the_wording_itself_is_measured_against_its_aims():
    result = CliRunner().invoke(readability, [], catch_exceptions=False)
    assert result.exit_code == 0
    aims = [line for line in result.output.splitlines() if line.startswith("  aim: ")]
    demos = [path.stem for path in (DEMO / "prescriptions").glob("*.yaml")]
    shown = [name for name in demos if name in result.output.splitlines()]
    assert sorted(demos) == sorted([*shown, "pelvic-pain-refused"])
    assert len(aims) == 3 * len(shown)
    assert all(line.endswith(": met") for line in aims)


def test_an_aim_that_is_missed_is_said():
    hard = "Notwithstanding considerable individual variability, stimulation parameters necessitate"
    reading = measure_texts([f"{hard} particularly conscientious professional supervision."], "en")
    assert [*_aims("handout", reading)] == ["  aim: grade 6 or lower, 15 words a sentence: missed"]
    assert [*_aims("checklist", reading)] == []
    wordy = " ".join(["go to the bed and sit"] * 3) + "."
    assert [line[-6:] for line in _aims("consent", measure_texts([wordy], "en"))] == ["missed"]


def test_the_wording_in_another_language_has_no_aim_in_grades():
    arguments = ["--language", "es", "--json"]
    result = CliRunner().invoke(readability, arguments, catch_exceptions=False)
    papers = json.loads(result.output)["prescriptions"]["urgency-tibial-en"]
    assert {score["name"] for score in papers["handout"]["scores"]} == {
        "Fernandez Huerta", "INFLESZ",
    }  # fmt: skip
