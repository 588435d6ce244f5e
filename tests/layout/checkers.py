"""Three checkers of accessible PDF that we did not write, and what we let pass, with reasons.

`page-validation` and `pdfua` hold files to PDF/UA-1 (and PDF/A-2u); `outloud` judges, beyond
the standard, what a screen reader would make of the tags. Each waiver names a rule of
`outloud`, says why the finding is no fault, and proves that from the file: where the proof
fails, the finding stands.
"""

from __future__ import annotations

import re
import tempfile
import unicodedata
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from io import BytesIO
from pathlib import Path
from typing import Any

import outloud
import page as page_validation
import pdfua
import pdfua.rules.structure as pdfua_structure
import pikepdf
from structure_reader import Node, painting_order, read_structure, reading_order

UA_1 = page_validation.ValidationProfile.PDF_UA_1
A_2U = page_validation.ValidationProfile.PDF_A_2U


@dataclass(frozen=True)
class Finding:
    """One fault that a checker tells; *page* from 1, 0 for the whole file."""

    checker: str
    rule: str
    page: int
    message: str
    evidence: str = ""


def by_page_validation(pdf: bytes, archive: bool = True) -> list[Finding]:
    """Return what `page-validation` finds against PDF/UA-1 and, if *archive*, PDF/A-2u."""
    reports = [
        page_validation.validate_pdf_bytes(pdf, profile=profile)
        for profile in ((UA_1, A_2U) if archive else (UA_1,))
    ]
    assert all(report.is_compliant or report.failures for report in reports)
    return [
        Finding("page-validation", fault.rule_id, 0, fault.message)
        for report in reports
        for fault in report.failures
    ]


def _whole_number(value: object) -> int | None:
    """Guard a reader of `pdfua` 0.1.3, which stumbles over arrays as pikepdf 10 gives them."""
    return None if isinstance(value, pikepdf.Array) else _AS_INTEGER(value)


_AS_INTEGER = pdfua_structure.as_integer
pdfua_structure.as_integer = _whole_number


def by_pdfua(pdf: bytes) -> list[Finding]:
    """Return what `pdfua` finds; a rule that it could not run is a finding too."""
    report = _on_disk(pdf, pdfua.validate)
    skipped = [
        Finding("pdfua", outcome.rule_id, 0, f"not run: {outcome.skipped_reason}")
        for outcome in report.outcomes
        if outcome.skipped_reason
    ]
    return skipped + [
        Finding("pdfua", found.rule_id, found.location.page or 0, found.message)
        for found in report.findings
    ]


def by_outloud(pdf: bytes) -> list[Finding]:
    """Return every error, warning and note of `outloud`."""
    result = _on_disk(pdf, outloud.check)
    assert result.error is None, result.error
    assert all(run.status != "crashed" for run in result.runs)
    return [
        Finding("outloud", found.rule, found.page or 0, found.message, found.evidence or "")
        for found in result.sorted_findings()
    ]


def _on_disk(pdf: bytes, check: Callable[[str], Any]) -> Any:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "checked.pdf"
        path.write_bytes(pdf)
        return check(str(path))


class Evidence:
    """What our own reader knows of a file, to prove a waiver by."""

    def __init__(self, pdf: bytes) -> None:
        self.pdf = pdf

    @cached_property
    def root(self) -> Node:
        """The structure tree; it is read only where there is a finding to judge."""
        return read_structure(self.pdf)

    @cached_property
    def tables(self) -> list[Node]:
        """The tables in reading order."""
        return self.root.of("Table")

    def tables_on(self, page: int) -> list[Node]:
        """Return the tables that stand on *page*, from 1."""
        return [table for table in self.tables if page - 1 in table.pages]


@dataclass(frozen=True)
class Waiver:
    """A finding of `outloud` that we let pass: why, where it occurs, and the proof."""

    rule: str
    where: str
    reason: str
    holds: Callable[[Finding, Evidence], bool]


def _one_head_each(found: Finding, known: Evidence) -> bool:
    """One row of column heads, at most one row head a row, each with words of its own."""

    def plain(table: Node) -> bool:
        first, *others = table.of("TR")
        heads = [[cell for cell in row.kids if cell.tag == "TH"] for row in others]
        return all(cell.tag == "TH" and cell.text.strip() for cell in first.kids) and all(
            len(cells) <= 1 and all(cell is row.kids[0] and cell.text.strip() for cell in cells)
            for row, cells in zip(others, heads, strict=True)
        )

    tables = known.tables_on(found.page)
    only = re.fullmatch(r"header cells look shredded: \d+ header cells against \d+ data cells",
                        found.message)  # fmt: skip
    return bool(only and tables) and all(map(plain, tables))


def _empty_to_write_in(found: Finding, known: Evidence) -> bool:
    """Every head says something and has a scope; only data cells are empty."""
    heads = [cell for table in known.tables_on(found.page) for cell in table.of("TH")]
    return bool(heads) and all(cell.scope and (cell.text.strip() or cell.alt) for cell in heads)


def _every_rule_is_a_row(found: Finding, known: Evidence) -> bool:
    """The tables of the page have as many rows as rules are drawn across."""
    across = int(re.match(r"a ruled grid \((\d+) horizontal", found.message)[1])  # type: ignore[index]
    return across <= sum(len(table.of("TR")) for table in known.tables_on(found.page))


def _is_a_table_head(found: Finding, known: Evidence) -> bool:
    """The repeated lines are column heads, of a table of its own on each page, or the
    heading of a day with the line for its date.
    """
    heads = {_letters(table.of("TR")[0].text) for table in known.tables}
    days = {_letters(heading.text) for heading in known.root.of("H3")} - {""}
    # Right to left, the evidence tells the cells in the other order.
    lines = [
        [_letters(word) for word in line.rstrip("…").split()] for line in found.evidence.split("; ")
    ]
    return "page numbers" not in found.message and all(
        any(all(word in head for word in line) for head in heads)
        or any(day in line for day in days)
        or any("".join(line).startswith(day) for day in days)
        for line in lines
    )


def _letters(text: str) -> str:
    return "".join(char for char in text.lower() if char.isalpha())


def _forms_of_arabic(found: Finding, known: Evidence) -> bool:
    """Only collisions, and of a letter of the Arabic script, which has up to four forms."""
    told = re.findall(r"U\+([0-9A-F]{4,6})", found.message)
    only = re.fullmatch(r"font \S+: \d+ different codes all map to (U\+[0-9A-F]+ ?)+'.*'",
                        found.message)  # fmt: skip
    return bool(only and told) and all(
        unicodedata.name(chr(int(code, 16))).startswith("ARABIC") for code in told
    )


def _reads_as_painted(found: Finding, known: Evidence) -> bool:
    """On every page the tags list the marked content exactly as it is painted."""
    return reading_order(known.pdf) == painting_order(known.pdf)


def _told_with_vowel_signs(found: Finding, known: Evidence) -> bool:
    """As many figures as are told of have few letters and become words with their vowel signs."""

    def few(alt: str) -> bool:
        return sum(map(str.isalpha, alt)) < len(alt) / 2

    def reads(alt: str) -> bool:
        spoken = [char for char in alt if unicodedata.category(char)[0] in "LM"]
        names = {unicodedata.name(char).split()[0] for char in spoken}
        indic = bool(names & {"DEVANAGARI", "BENGALI", "GURMUKHI"})
        return indic and len(spoken) > len(alt) / 2 and len(alt.split()) > 1

    doubted = [figure.alt for figure in known.root.of("Figure") if few(figure.alt)]
    return len(doubted) == int(found.message.split()[0]) and all(map(reads, doubted))


_GOES_ON = re.compile(r"\s*[(（][^()（）]{2,20}[)）]?$")


def _said_before(found: Finding, known: Evidence) -> bool:
    """Each line that is skipped is a head that a listener has heard with its tag."""
    heard = [
        _letters(node.text) for tag in ("H1", "H2", "P", "TH") for node in known.root.of(tag)
    ]  # fmt: skip
    # "(continued)" behind the head of a panel that goes on is for the eye.
    lines = [_letters(_GOES_ON.sub("", line.rstrip("…"))) for line in found.evidence.split("; ")]
    told = int(found.message.split()[0])
    return told == len(lines) and all(_built_of(line, heard) for line in lines)


def _built_of(line: str, heard: list[str]) -> bool:
    """A line is a line of one head, or two side by side: a sign's word and a title, or the
    document's title and its review line; evidence may stop short of the end.
    """
    return any(
        line in head
        or (
            line.startswith(head)
            and len(line) > len(head)
            and any(other.startswith(line[len(head) :]) for other in heard)
        )
        for head in heard
        if head
    )


WAIVERS = (
    Waiver(
        "TBL-010", "checklist, call after one week; a diary's week of one session",
        "The rule wants fewer heads than data cells. These tables are narrow: two columns of "
        "question and answer, or seven columns over one row. Each head is a whole phrase and "
        "is read with the one cell that it names.",
        _one_head_each,
    ),
    Waiver(
        "TBL-012", "diary, plan changes of the consent form, reviews of the checklist",
        "The cells are empty because they are to be written in. A listener needs the table: "
        "it says which figures to note down, and for which day.",
        _empty_to_write_in,
    ),
    Waiver(
        "TBL-014", "pages with several ruled tables, or tables to write in",
        "The rule takes all rules of a page as one grid and wants one table whose words fill "
        "half of it. Several tables stand on the page, or most cells are empty.",
        _every_rule_is_a_row,
    ),
    Waiver(
        "PAG-001", "diary, from the third week on",
        "The head of each week's table stands high on the page and is alike but for the "
        "week's number. It is the table's own head; the running header is an artifact.",
        _is_a_table_head,
    ),
    Waiver(
        "TXT-004", "Arabic and Urdu papers",
        "A letter has a form for each place in a word, and more with marks. Each form is a "
        "glyph of its own, and all of them are the same letter to read.",
        _forms_of_arabic,
    ),
    Waiver(
        "ORD-001", "paragraphs with several links, such as whom to call",
        "The rule counts an element's own words before its links, wherever the links stand. "
        "Followed entry by entry, the tags read exactly as the page is painted.",
        _reads_as_painted,
    ),
    Waiver(
        "FIG-012", "handouts in Hindi, Bengali and Punjabi",
        "The rule counts letters and takes vowel signs for none, so that in these scripts "
        "whole sentences look like codes to it.",
        _told_with_vowel_signs,
    ),
    Waiver(
        "TAG-002", "a long panel or table that goes on over the page",
        "The head is repeated on the next page for the eye. A listener goes on without a "
        "break and has heard the head where the panel begins.",
        _said_before,
    ),
)  # fmt: skip


def waived(found: Finding, known: Evidence) -> bool:
    """Tell whether a waiver covers a finding and its proof holds in this file."""
    return found.checker == "outloud" and any(
        waiver.rule == found.rule and waiver.holds(found, known) for waiver in WAIVERS
    )


def open_findings(pdf: bytes, archive: bool = True) -> list[Finding]:
    """Return what any of the checkers finds and no waiver covers."""
    known = Evidence(pdf)
    found = [*by_page_validation(pdf, archive), *by_pdfua(pdf), *by_outloud(pdf)]
    return [one for one in found if not waived(one, known)]


def rules_by_checker(pdf: bytes) -> dict[str, set[str]]:
    """Return which rules each checker finds broken, waived ones left out."""
    rules: dict[str, set[str]] = {"page-validation": set(), "pdfua": set(), "outloud": set()}
    for found in open_findings(pdf, archive=False):
        rules[found.checker].add(found.rule)
    return rules


def waived_rules(pdf: bytes) -> Counter[str]:
    """Return how often each rule is waived in a file."""
    known = Evidence(pdf)
    return Counter(found.rule for found in by_outloud(pdf) if waived(found, known))


def saved(opened: pikepdf.Pdf) -> bytes:
    """Return a file's bytes after a change to it."""
    stored = BytesIO()
    opened.save(stored, static_id=True)
    return stored.getvalue()
