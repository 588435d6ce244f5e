"""Every sample paper passes three checkers, and the checkers see what is broken."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from checkers import WAIVERS, open_findings, rules_by_checker, saved, waived_rules
from every_block import WORDS, document, named_scene, paragraph, runs

from docbuilder.document.blocks import Block, FigureBlock, Heading, Panel, Paragraph, Run
from docbuilder.layout.compose import compose

SAMPLES = sorted((Path(__file__).parents[2] / "sample_output").glob("*/*.pdf"))
FAULTS: dict[str, Callable[[pikepdf.Pdf], None]] = {}


def fault(break_it: Callable[[pikepdf.Pdf], None]) -> Callable[[pikepdf.Pdf], None]:
    FAULTS[break_it.__name__] = break_it
    return break_it


def elements(pdf: pikepdf.Pdf, tag: str) -> list[pikepdf.Dictionary]:
    return [
        found
        for found in pdf.objects
        if isinstance(found, pikepdf.Dictionary)
        and found.get("/Type") == "/StructElem"
        and tag == found.S
    ]


@fault
def no_alternate_text(pdf):
    for figure in elements(pdf, "/Figure"):
        del figure["/Alt"]


@fault
def no_scope_of_heads(pdf):
    for head in elements(pdf, "/TH"):
        del head["/A"]


@fault
def no_language(pdf):
    del pdf.Root["/Lang"]


@fault
def untagged_header(pdf):
    # The running header of the later pages loses its mark as an artifact.
    page = pdf.pages[1]
    page.contents_coalesce()
    content = page.Contents.read_bytes()
    header = re.search(rb"/Artifact <</Type/Pagination/Subtype/Header>> BDC(.*?)EMC", content, re.S)
    page.Contents = pdf.make_stream(content.replace(header[0], header[1], 1))


@fault
def skipped_heading(pdf):
    for heading in elements(pdf, "/H2"):
        heading.S = pikepdf.Name.H3


@fault
def no_unicode_map(pdf):
    for found in pdf.objects:
        if isinstance(found, pikepdf.Dictionary) and "/ToUnicode" in found:
            del found["/ToUnicode"]


@fault
def no_parent_tree(pdf):
    del pdf.Root.StructTreeRoot["/ParentTree"]


@fault
def no_tab_order(pdf):
    for page in pdf.pages:
        del page.obj["/Tabs"]


@fault
def no_tags(pdf):
    del pdf.Root["/StructTreeRoot"]
    del pdf.Root["/MarkInfo"]


@fault
def no_title(pdf):
    del pdf.Root["/ViewerPreferences"]


CAUGHT_BY = {
    "no_alternate_text": {"page-validation", "outloud", "pdfua"},
    "no_scope_of_heads": {"page-validation", "outloud", "pdfua"},
    "no_language": {"page-validation", "outloud", "pdfua"},
    "untagged_header": {"page-validation", "outloud", "pdfua"},
    "skipped_heading": {"page-validation", "outloud"},
    "no_unicode_map": {"page-validation", "outloud"},
    "no_parent_tree": {"page-validation"},
    "no_tab_order": {"page-validation", "outloud"},
    "no_tags": {"page-validation", "outloud", "pdfua"},
    "no_title": {"page-validation", "outloud", "pdfua"},
}


@pytest.fixture(scope="module")
def sound() -> bytes:
    return compose(document("en", text_pt=12.0)).pdf


def test_there_are_samples():
    assert len(SAMPLES) == 20


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_no_checker_finds_a_fault_in_a_sample(path):
    pdf = path.read_bytes()
    assert open_findings(pdf) == []


def test_every_waiver_is_needed_and_says_why():
    used: Counter[str] = Counter()
    for name in (
        "child-sacral-en/checklist", "urgency-tibial-en/diary",
        "urgency-lower-abdomen-ar/handout",
    ):  # fmt: skip
        (path,) = [path for path in SAMPLES if f"{path.parent.name}/{path.stem}".startswith(name)]
        used += waived_rules(path.read_bytes())
    used += waived_rules(compose(document("en", full_of_links())).pdf)
    used += waived_rules(compose(document("hi", spoken("hi"))).pdf)
    used += waived_rules(compose(document("en", spoken("en"))).pdf)
    assert set(used) == {waiver.rule for waiver in WAIVERS}
    assert all(len(waiver.reason) > 60 and waiver.where for waiver in WAIVERS)


def spoken(language: str) -> tuple[Block, ...]:
    """A drawing told in whole sentences, and a panel over two pages with a sentence for a head."""
    words = WORDS[language]
    return (
        Heading(1, runs(words["title"])),
        FigureBlock(named_scene(words), words["body"]),
        Panel("plain", runs(words["body"]), (paragraph(words["body"] * 16),)),
        paragraph(words["body"] * 60),
    )


def full_of_links() -> tuple[Block, ...]:
    """Whom to call: words and links by turns."""
    word = WORDS["en"]["word"]
    links = [Run(f" {word} {i}", link=f"https://clinic.example/{i}") for i in range(4)]
    words = [Run(f" {WORDS['en']['item']}") for _ in links]
    both = [run for pair in zip(words, links, strict=True) for run in pair]
    return (Heading(1, runs(WORDS["en"]["title"])), Paragraph(tuple(both)))


def test_a_sound_file_has_no_fault(sound):
    assert rules_by_checker(sound) == {"page-validation": set(), "pdfua": set(), "outloud": set()}


@pytest.mark.parametrize("name", FAULTS)
def test_which_checker_sees_a_broken_file(sound, name):
    with pikepdf.open(BytesIO(sound)) as pdf:
        FAULTS[name](pdf)
        broken = saved(pdf)
    rules = rules_by_checker(broken)
    assert {checker for checker, broken_rules in rules.items() if broken_rules} == CAUGHT_BY[name]


def test_a_waiver_falls_with_its_proof():
    """A diary's empty grids pass; with a head wiped out they do not."""
    diary = next(path for path in SAMPLES if path.stem.startswith("diary_en"))
    with pikepdf.open(diary) as pdf:
        for head in elements(pdf, "/TH"):
            head.K = pikepdf.Array()
        wiped = saved(pdf)
    assert {"TBL-012", "TBL-010"} & rules_by_checker(wiped)["outloud"]
