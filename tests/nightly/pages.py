"""The page lint over the full cross of our own papers: python tests/nightly/pages.py

Every language x indication x placement, side and variant x paper x size of type, each of
the four papers (consent beside English). It takes some ten minutes on two cores, so it is
no part of the suite; `tests/layout/test_document_pages.py` samples it there.

    python tests/nightly/pages.py --jobs 2                    # all of it
    python tests/nightly/pages.py --sample 60 --language ar   # some of it
    python tests/nightly/pages.py --part 1/4                  # a quarter, for four nights

Papers that come out equal are laid out once: a diary does not know where the pads are.
Exit code 1 if a page has a fault.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "content"))

from every_case import CASES, plan
from example_plans import ISSUE

from docbuilder.content.assemble import assemble
from docbuilder.content.bilingual import pair_documents
from docbuilder.document.blocks import Document
from docbuilder.errors import Refused
from docbuilder.language.catalogue import catalogue_paths
from docbuilder.language.registry import known_languages
from docbuilder.language.words import load_words
from docbuilder.layout.compose import compose_unchecked
from docbuilder.layout.lint import lint

KINDS = ("handout", "consent", "diary", "checklist")
PAPERS = ("A4", "Letter")
TAGS = ("en", *sorted(lang.tag for lang in known_languages() if catalogue_paths(lang.tag)))
TERRITORY = "US"


@dataclass(frozen=True, slots=True)
class Look:
    """What one process does at a time: one case in one language and one size of type."""

    case: tuple[str, str, str, str]
    tag: str
    large: bool
    kinds: tuple[str, ...]


@dataclass
class Seen:
    """What was looked at, and what was found."""

    papers: int = 0
    pages: int = 0
    faults: Counter[str] = None  # type: ignore[assignment]
    lines: list[str] = None  # type: ignore[assignment]

    def __post_init__(self) -> None:
        self.faults, self.lines = self.faults or Counter(), self.lines or []

    def add(self, other: Seen) -> None:
        self.papers += other.papers
        self.pages += other.pages
        self.faults += other.faults
        self.lines += other.lines


def paper_of(kind: str, look: Look) -> Document:
    """Return one paper as content makes it, without a size of sheet."""
    computed = plan(*look.case)
    patient = replace(computed.prescription.patient, large_print=look.large)
    computed = replace(computed, prescription=replace(computed.prescription, patient=patient))
    issue = replace(ISSUE, awaiting_review=look.tag != "en")
    words = load_words(look.tag, TERRITORY)
    made = assemble(kind, computed, words, issue=issue)  # type: ignore[arg-type]
    words.refuse_missing(f"{kind} ({look.tag})")
    if kind != "consent" or look.tag == "en":
        return made
    other = assemble(kind, computed, load_words("en", TERRITORY), issue=issue)
    return pair_documents(made, other, (look.tag, "en"))


_KNOWN: set[bytes] = set()


def look_at(look: Look) -> Seen:
    """Lay out the papers of one case and lint their pages."""
    seen = Seen()
    for kind in look.kinds:
        if kind == "checklist" and look.large:
            continue  # the clinician's paper has one size
        name = f"{kind} {look.tag} {'-'.join(look.case)} {'large' if look.large else 'normal'}"
        try:
            document = paper_of(kind, look)
        except Refused as refused:
            seen.faults["refused"] += 1
            seen.lines.append(f"{name}: refused: {refused}"[:300])
            continue
        digest = hashlib.sha256(repr(document).encode()).digest()
        if digest in _KNOWN:
            continue
        _KNOWN.add(digest)
        for paper in PAPERS:
            composed = compose_unchecked(replace(document, paper=paper))  # type: ignore[arg-type]
            seen.papers += 1
            seen.pages += composed.pages
            for fault in lint(composed):
                seen.faults[fault.name] += 1
                seen.lines.append(f"{name} {paper}: {fault}")
    return seen


def looks(tags: Sequence[str], kinds: Sequence[str]) -> list[Look]:
    return [
        Look(case, tag, large, tuple(kinds))
        for tag in tags
        for large in (False, True)
        for case in CASES
    ]


def chosen(options: argparse.Namespace) -> list[Look]:
    every = looks(options.language or TAGS, options.kind or KINDS)
    if options.part:
        number, parts = (int(value) for value in options.part.split("/"))
        every = every[number - 1 :: parts]
    if options.sample:
        every = random.Random(options.seed).sample(every, min(options.sample, len(every)))
    return every


def run(work: Sequence[Look], jobs: int) -> Iterator[Seen]:
    if jobs == 1:
        yield from map(look_at, work)
        return
    with ProcessPoolExecutor(jobs) as pool:
        yield from pool.map(look_at, work, chunksize=6)


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="page lint over the full cross of our papers")
    parser.add_argument("--language", action="append", choices=TAGS, help="only this language")
    parser.add_argument("--kind", action="append", choices=KINDS, help="only this paper")
    parser.add_argument("--part", help="1/4: the first of four parts")
    parser.add_argument("--sample", type=int, help="as many looks, by chance")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args(arguments)
    total = Seen()
    for seen in run(chosen(options), options.jobs):
        total.add(seen)
        for line in seen.lines:
            sys.stdout.write(f"{line}\n")
        sys.stdout.flush()
    faults = ", ".join(f"{count} {name}" for name, count in sorted(total.faults.items()))
    sys.stdout.write(f"{total.papers} papers, {total.pages} pages: {faults or 'no fault'}\n")
    return 1 if total.faults else 0


if __name__ == "__main__":
    sys.exit(main())
