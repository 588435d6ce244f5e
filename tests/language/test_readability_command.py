"""The papers of the demo patients keep to the reading grade that we aim at."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from docbuilder.cli.readability import document_texts, readability
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
