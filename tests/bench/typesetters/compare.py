"""docbuilder beside two general typesetters, Typst and WeasyPrint, on the same pages.

    pip install -e ".[bench]"
    python tests/bench/typesetters/compare.py [--quick] [--packs N] [--growth 10,100,1000]

One run measures everything and prints Markdown tables, so that ratios are of one machine
at one time; on a machine with other work the rows of the processor tell more than the wall.
All get the same words (from the blocks that docbuilder draws), the same font files, paper,
size of type and figures; the words of all PDFs are read back and compared first, and without
a match nothing is printed. Not part of the suite: about ten minutes on
two idle processors, and an hour more with --growth 10,100,1000,10000. WeasyPrint wants Debian's
libpango-1.0-0 and libpangoft2-1.0-0, and libharfbuzz-subset0, without which it takes thrice
the time.

What is not equal, and for whom it counts: Typst and WeasyPrint get finished markup, while
docbuilder starts from the prescription (reading, planning, translating, templates); "pages
alone" leaves that out. Typst is timed untagged, as a lower bound, and tagged as PDF/UA-1;
docbuilder always writes PDF/UA-1 and PDF/A-2u. No two packs are of one patient.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from unittest import mock

import pypdfium2

sys.path.insert(0, str(Path(__file__).parents[1]))
import growth
import many
from engines import SUFFIX, compiler, font_files, laid_out_text
from html_pages import html_source
from parts import Lowered, parts_of
from same_text import Different, check_same, has_rtl, pages_and_text
from typst_pages import typst_source
from variants import CASES, write_variants

import docbuilder
from docbuilder.document.blocks import CalendarMonth, Document
from docbuilder.layout.compose import Composed
from docbuilder.pack import build
from docbuilder.pack.build import BuildOptions, Pack
from docbuilder.pack.desk import Desk

OURS, TYPST, TAGGED, WEASY = "docbuilder", "typst", "typst-tagged", "weasyprint"
HEADS = {OURS: "docbuilder, tagged", TYPST: "typst, untagged", TAGGED: "typst, PDF/UA-1",
         WEASY: "weasyprint, untagged"}  # fmt: skip
WARM_UPS = 3


@dataclass
class Drawn:
    """What docbuilder drew for one pack."""

    documents: list[tuple[Document, Composed]] = field(default_factory=list)
    seconds: float = 0.0


@dataclass
class Figures:
    """The figures of one case: name of the row, then engine, then value."""

    rows: dict[str, dict[str, float]] = field(default_factory=lambda: defaultdict(dict))

    def table(self) -> str:
        """Return Markdown: each value, and its ratio to untagged Typst."""
        lines = ["| | " + " | ".join(HEADS.values()) + " |", "|---|" + "---|" * len(HEADS)]
        for name, values in self.rows.items():
            cells = []
            for engine in HEADS:
                value = values.get(engine)
                if value is None:
                    cells.append("")
                    continue
                ratio = f" ({value / values[TYPST]:.2f})" if TYPST in values else ""
                cells.append(f"{value:,.0f}{ratio}" if value >= 100 else f"{value:.3g}{ratio}")
            lines.append(f"| {name} | " + " | ".join(cells) + " |")
        return "\n".join(lines)


def main() -> int:
    options = _options()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tables = {}
        for label, case in CASES.items():
            try:
                tables[label] = _case(case, folder / case, options)
            except Different as fault:
                sys.stderr.write(f"{case}: not the same text, so no ratios: {fault}\n")
                return 1
        _print_head()
        for label, figures in tables.items():
            sys.stdout.write(f"\n**{label}**; in brackets the ratio to typst untagged\n\n")
            sys.stdout.write(figures.table() + "\n")
        if options.growth:
            sys.stdout.write("\n**Growth**, docbuilder alone, two processes\n\n")
            sys.stdout.write(growth.table(options.growth))
    return 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--quick", action="store_true", help="few rounds, to try it out")
    parser.add_argument("--rounds", type=int, default=20, help="packs timed warm")
    parser.add_argument("--packs", type=int, default=100, help="packs for the rate on two cores")
    parser.add_argument("--growth", type=_counts, default=(10, 100, 1000), help="0: leave out")
    options = parser.parse_args()
    options.slow, options.cold = 4, 5
    if options.quick:
        options.rounds, options.packs, options.slow, options.cold = 4, 10, 1, 2
        options.growth = (10, 30)
    return options


def _counts(text: str) -> tuple[int, ...]:
    return tuple(int(part) for part in text.split(",") if int(part))


def _print_head() -> None:
    import typst
    import weasyprint

    sys.stdout.write(
        f"docbuilder {docbuilder.__version__}, typst {typst.__version__}, weasyprint "
        f"{weasyprint.__version__}; Python {platform.python_version()}, {os.cpu_count()} "
        f"processors, load {os.getloadavg()[0]:.1f}\n"
    )


# One case


def _case(case: str, folder: Path, options: argparse.Namespace) -> Figures:
    folder.mkdir()
    figures = Figures()
    files = write_variants(case, WARM_UPS + options.rounds, folder)
    packs = _warm(files, figures, options)
    _cold(files[-1], packs[-1], folder, figures, options)
    _rate(case, packs, folder, figures, options)
    return figures


def _warm(
    files: list[Path], figures: Figures, options: argparse.Namespace
) -> list[dict[str, list[str]]]:
    """Time one pack after the other; each engine makes the same pack in turn.

    Returns the sources of every pack by engine.
    """
    desk = Desk()
    times: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    sources = []
    for number, path in enumerate(files):
        timed = number >= WARM_UPS
        with _watched() as drawn, _clock() as whole:
            pack = _ours(desk, path)
        lowered = [_lowered(*one) for one in drawn.documents]
        made = _sources(lowered)
        sources.append(made)
        pdfs = {OURS: [composed.pdf for _, composed in drawn.documents]}
        if timed:
            _note(times, OURS, whole)
            times["pages alone, ms"][OURS].append(drawn.seconds * 1e3)
        for engine in SUFFIX:
            if engine == WEASY and not WARM_UPS - 1 <= number < WARM_UPS + options.slow:
                continue
            with _clock() as took:
                pdfs[engine] = [compiler(engine)(source) for source in made[engine]]
            if timed:
                _note(times, engine, took)
        if number == WARM_UPS:
            _check(lowered, made, pdfs, figures)
            _sizes(pack, pdfs, figures)
    for name, values in times.items():
        figures.rows[name] = {engine: median(found) for engine, found in values.items()}
    # In the order of the table, what each pack costs comes first.
    for name in ("pages", "kB of PDF", "kB of the whole pack"):
        figures.rows[name] = figures.rows.pop(name)
    return sources


def _note(times: dict[str, dict[str, list[float]]], engine: str, took: list[float]) -> None:
    times["pack warm, ms"][engine].append(took[0] * 1e3)
    times["pack warm, ms of processor"][engine].append(took[1] * 1e3)


def _ours(desk: Desk, path: Path) -> Pack:
    options = BuildOptions()
    return desk.make(desk.prepare(path, options), options)


@contextmanager
def _clock() -> Iterator[list[float]]:
    """Give seconds by the wall and of the processor."""
    took: list[float] = []
    wall, used = time.perf_counter(), time.process_time()
    yield took
    took += [time.perf_counter() - wall, time.process_time() - used]


@contextmanager
def _watched() -> Iterator[Drawn]:
    """Keep every document that is drawn, and the time that drawing took."""
    drawn, real = Drawn(), build.compose

    def compose(document: Document, *more: object, **named: object) -> Composed:
        began = time.perf_counter()
        composed = real(document, *more, **named)
        drawn.seconds += time.perf_counter() - began
        drawn.documents.append((document, composed))
        return composed

    with mock.patch.object(build, "compose", compose):
        yield drawn


def _lowered(document: Document, composed: Composed) -> Lowered:
    return parts_of(document, _weekdays(composed.pdf))


def _weekdays(pdf: bytes) -> Callable[[CalendarMonth], tuple[str, ...]]:
    """Return what says which of its names for weekdays our page shows."""
    shown = set(pages_and_text(pdf)[1].split())

    def names(month: CalendarMonth) -> tuple[str, ...]:
        forms = (month.weekdays, *month.short_weekdays)
        return next((form for form in forms if shown.issuperset(form)), month.weekdays)

    return names


def _sources(documents: list[Lowered]) -> dict[str, list[str]]:
    faces = font_files()
    markup = [typst_source(one, tuple(faces)) for one in documents]
    pages = [html_source(one, faces) for one in documents]
    return {TYPST: markup, TAGGED: markup, WEASY: pages}


def _check(
    documents: list[Lowered], made: dict[str, list[str]], pdfs: dict[str, list[bytes]],
    figures: Figures,
) -> None:  # fmt: skip
    for engine, files in pdfs.items():
        pages = 0
        for at, (lowered, pdf) in enumerate(zip(documents, files, strict=True)):
            odd = engine == WEASY and has_rtl(lowered.words())
            laid_out = laid_out_text(made[WEASY][at]) if odd else ""
            pages += check_same(lowered, pdf, f"{engine}, {lowered.document.kind}", laid_out)
        figures.rows["pages"][engine] = pages


def _sizes(pack: Pack, pdfs: dict[str, list[bytes]], figures: Figures) -> None:
    for engine, files in pdfs.items():
        figures.rows["kB of PDF"][engine] = sum(map(len, files)) / 1e3
    whole = sum(len(file.data) for file in pack.files) / 1e3
    figures.rows["kB of the whole pack"][OURS] = whole


# Cold and many


def _cold(
    path: Path, sources: dict[str, list[str]], folder: Path, figures: Figures,
    options: argparse.Namespace,
) -> None:  # fmt: skip
    for engine in HEADS:
        command = [sys.executable, "-m", "docbuilder", "build", str(path), "--out"]
        if engine != OURS:
            given = many.write_sources(sources[engine], engine, folder / f"cold-{engine}")
            script = str(Path(__file__).with_name("engines.py"))
            command = [sys.executable, script, engine, str(given)]
        rounds = options.cold if engine != WEASY else min(options.cold, 3)
        runs = []
        for number in range(rounds + 1):
            runs.append(many.run_once([*command, str(folder / f"cold-{engine}-{number}")]))
        # The first one warms the disk.
        seconds, used, peaks = zip(*runs[1:], strict=True)
        figures.rows["command cold, s"][engine] = median(seconds)
        figures.rows["command cold, s of processor"][engine] = median(used)
        figures.rows["peak of the command, MB"][engine] = max(peaks)


def _rate(
    case: str, sources: list[dict[str, list[str]]], folder: Path, figures: Figures,
    options: argparse.Namespace,
) -> None:  # fmt: skip
    files = write_variants(case, options.packs + many.WARM_UPS, folder)
    row, memory = "packs a second, two processes", "peak of both processes, MB"
    rate, peak = many.ours(files, folder / "rate-ours")
    figures.rows[row][OURS], figures.rows[memory][OURS] = rate, peak
    for engine in SUFFIX:
        count = options.packs if engine != WEASY else 2 * options.slow
        # The sources of the timed packs come round again: Typst keeps nothing across folders.
        given = [
            many.write_sources(
                sources[number % len(sources)][engine], engine, folder / f"{engine}-{number}"
            )
            for number in range(count + many.WARM_UPS)
        ]
        rate, peak = many.theirs(engine, given, folder / f"rate-{engine}")
        figures.rows[row][engine], figures.rows[memory][engine] = rate, peak


if __name__ == "__main__":
    pypdfium2.PdfDocument.new().close()
    sys.exit(main())
