"""Every language on paper, timed and read back: python tests/bench/languages.py

All languages x four documents x three placements on two processes; MuPDF must find every
sentence of the catalogue on the pages in logical order, and the page lint nothing. Target:
180 s in all, and at most twice the processor time of English for Chinese and Korean.

    python tests/bench/languages.py            # the timed run
    python tests/bench/languages.py --pairs    # consent in all 240 ordered pairs of languages
    python tests/bench/languages.py --longer   # +40 % pseudo-languages, both directions
    python tests/bench/languages.py --figures  # every drawing, side and size, labels in place
    python tests/bench/languages.py --names    # names of all scripts in pages of all languages
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from itertools import permutations
from pathlib import Path

import pymupdf

sys.path.insert(0, str(Path(__file__).parents[1] / "content"))
from every_case import CASES
from every_language import (
    CLINIC_AT,
    KINDS,
    PLACEMENTS,
    PLURALS,
    TAGS,
    longer_words,
    longer_words_rtl,
    made,
    named,
    paired,
)
from printed_text import missing_sentences, name_places, squeezed, structure_text

from docbuilder.language.isolates import has_rtl
from docbuilder.language.words import load_words
from docbuilder.layout.compose import compose
from docbuilder.layout.lint import lint

TOTAL_S, DEAR = 180.0, 2.0
JOBS = 2
DRAWINGS = tuple({case[1:]: case for case in CASES}.values())
"""One case for each site, side and variant."""
THREE = (PLACEMENTS[0], PLACEMENTS[2], PLACEMENTS[4])
Row = tuple[str, float, int, list[str]]
"""A label, seconds of the processor for making, pages, and what is wrong."""


def one_language(job: tuple[str, str, int]) -> Row:
    tag, kind, place = job
    words = load_words(tag, "GB")
    began = time.process_time()
    composed = compose(made(kind, THREE[place], words))
    spent = time.process_time() - began
    wrong = [str(fault) for fault in lint(composed)]
    wrong += [f"not found: {text}" for _, text in missing_sentences(composed, words, PLURALS)]
    return tag, spent, composed.pages, wrong


def one_pair(job: tuple[str, str, int]) -> Row:
    first, second, turn = job
    began = time.process_time()
    case, large = PLACEMENTS[turn % len(PLACEMENTS)], turn // 6 % 2 == 1
    document, both = paired(first, second, case, large, ("A4", "Letter")[turn // 12 % 2])
    composed = compose(document)
    spent = time.process_time() - began
    wrong = [str(fault) for fault in lint(composed)]
    lost = [missing_sentences(composed, words, PLURALS) for words in both]
    wrong += [f"not found: {text}" for _, text in lost[0]]
    # Head and foot of the pages are in the first language.
    wrong += [f"not found: {text}" for context, text in lost[1] if context]
    return f"{first} + {second}", spent, composed.pages, wrong


def one_figure(job: tuple[str, str, int]) -> Row:
    tag, _, turn = job
    case, large = DRAWINGS[turn // 2], turn % 2 == 1
    began = time.process_time()
    composed = compose(made("handout", case, load_words(tag, "GB"), large))
    spent = time.process_time() - began
    return "-".join((tag, *case[1:])), spent, composed.pages, [str(one) for one in lint(composed)]


def one_longer(job: tuple[str, str, int]) -> Row:
    direction, kind, turn = job
    words = longer_words() if direction == "ltr" else longer_words_rtl()
    large, paper = turn // len(PLACEMENTS) % 2 == 1, ("A4", "Letter")[turn // len(PLACEMENTS) // 2]
    began = time.process_time()
    composed = compose(made(kind, PLACEMENTS[turn % len(PLACEMENTS)], words, large, paper))
    spent = time.process_time() - began
    wrong = [str(one) for one in lint(composed) if one.severity == "stop"]
    return f"{direction} {kind}", spent, composed.pages, wrong


def one_named(job: tuple[str, str, int]) -> Row:
    tag, _, turn = job
    began = time.process_time()
    document, names = named(tag, turn)
    composed = compose(document)
    spent = time.process_time() - began
    wrong = [str(fault) for fault in lint(composed)]
    tags = structure_text(composed.pdf)
    with pymupdf.open("pdf", composed.pdf) as pages:
        for name in names:
            if squeezed(name) not in tags and name != names[CLINIC_AT]:
                wrong.append(f"not in the tags: {name}")
            for word in name.split():
                places = name_places(pages, word)
                if not places or any(xs != sorted(xs, reverse=has_rtl(word)) for xs in places):
                    wrong.append(f"not in order on the page: {word}")
    return tag, spent, composed.pages, wrong


def jobs(chosen: str) -> Iterator[tuple[str, str, int]]:
    if chosen == "pairs":
        yield from ((*pair, turn) for turn, pair in enumerate(permutations(TAGS, 2)))
    elif chosen == "longer":
        for turn in range(4 * len(PLACEMENTS)):
            yield from ((way, kind, turn) for way in ("ltr", "rtl") for kind in KINDS)
    elif chosen == "figures":
        yield from ((tag, "", turn) for tag in TAGS for turn in range(2 * len(DRAWINGS)))
    elif chosen == "names":
        yield from ((tag, "", turn) for tag in TAGS for turn in range(4))
    else:
        yield from ((tag, kind, place) for tag in TAGS for kind in KINDS for place in range(3))


WORK = {
    "pairs": one_pair, "longer": one_longer, "figures": one_figure, "names": one_named,
    "all": one_language,
}  # fmt: skip


def main() -> int:
    parser = argparse.ArgumentParser()
    for name in ("pairs", "longer", "figures", "names"):
        parser.add_argument(f"--{name}", dest="chosen", action="store_const", const=name)
    chosen = parser.parse_args().chosen or "all"
    began = time.perf_counter()
    spent: dict[str, float] = defaultdict(float)
    pages: dict[str, int] = defaultdict(int)
    faults = count = 0
    with ProcessPoolExecutor(JOBS) as pool:
        for label, seconds, number, wrong in pool.map(WORK[chosen], jobs(chosen), chunksize=6):
            spent[label] += seconds
            pages[label] += number
            faults, count = faults + len(wrong), count + 1
            for line in wrong:
                sys.stdout.write(f"{label}: {line}\n")
    took = time.perf_counter() - began
    if chosen == "all":
        for tag in TAGS:
            sys.stdout.write(
                f"{tag:8}{pages[tag]:5} pages {spent[tag]:7.2f} s {spent[tag] / spent['en']:6.2f}\n"
            )
    sys.stdout.write(f"{count} documents, {sum(pages.values())} pages, {faults} faults, ")
    sys.stdout.write(f"{took:.0f} s on {JOBS} processes (target {TOTAL_S:.0f} s)\n")
    dear = chosen == "all" and max(spent["zh-Hans"], spent["ko"]) > DEAR * spent["en"]
    return int(faults > 0 or dear or (chosen == "all" and took > TOTAL_S))


if __name__ == "__main__":
    sys.exit(main())
