"""The project's own documents from the demo prescriptions, before they are laid out."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from docbuilder.content.assemble import assemble
from docbuilder.content.bilingual import pair_documents
from docbuilder.content.job import IssueInfo
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.language.catalogue import catalogue_paths
from docbuilder.language.registry import known_languages
from docbuilder.language.words import load_words
from docbuilder.pack.desk import Desk

FOLDER = demo_clinic_folder() / "prescriptions"
PLANS = ("child-sacral-en", "mixed-tibial-fr", "urgency-lower-abdomen-ar", "urgency-tibial-en")
KINDS = ("handout", "consent", "diary", "checklist")
TAGS = ["en", *sorted(lang.tag for lang in known_languages() if catalogue_paths(lang.tag))]


@cache
def plan(name, large):
    made = Desk(demo_clinic_folder()).plan(FOLDER / f"{name}.yaml")
    patient = replace(made.prescription.patient, large_print=large)
    return replace(made, prescription=replace(made.prescription, patient=patient))


def document(kind, name, tag, large):
    issue = IssueInfo(
        "H-7Q2MXX-8KXXX-ZH-HANS", plan(name, large).prescription.prescribed_on, tag != "en",
        handout_id="H-7Q2MXX-8KXXX-ZH-HANS",
    )  # fmt: skip
    made = assemble(kind, plan(name, large), load_words(tag, "US"), issue=issue)
    if kind != "consent" or tag == "en":
        return made
    other = assemble(kind, plan(name, large), load_words("en", "US"), issue=issue)
    return pair_documents(made, other, (tag, "en"))
