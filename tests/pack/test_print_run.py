"""One PDF of many papers: same pages, blank backs, tags and standards kept; and its cover."""

from __future__ import annotations

import hashlib
import pickle
import subprocess
import sys
from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import page as checker
import pikepdf
import pymupdf
import pytest
from built_packs import complete_tags, desk, made, makeable

from docbuilder.errors import ExitCode
from docbuilder.layout.metadata import Description
from docbuilder.pack.batch import PaperCount, Result
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.cover_list import cover_list
from docbuilder.pack.piles import Pile, piles
from docbuilder.pack.print_run import merge_for_print

DESCRIBED = Description("Pack", "", "en", "docbuilder test")


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Papers of two packs or more, until some have an odd number of pages and some an even one."""
    folder = tmp_path_factory.mktemp("papers")
    paths: list[Path] = []
    for number, source in enumerate(reversed(makeable()), start=1):
        for file in made(source, *complete_tags()[-1:]).files:
            if file.name.endswith(".pdf"):
                path = folder / f"{source.stem}-{file.name}"
                path.write_bytes(file.data)
                paths.append(path)
        if number >= 2 and {pages_of(path) % 2 for path in paths} == {0, 1}:
            break
    return paths


@pytest.fixture(scope="module")
def merged(papers: list[Path]) -> bytes:
    target = BytesIO()
    merge_for_print(papers, target, DESCRIBED)
    return target.getvalue()


def pages_of(path: Path) -> int:
    with pymupdf.open(path) as document:
        return int(document.page_count)


def test_every_page_stands_as_it_was_and_each_paper_begins_on_a_front(
    papers: list[Path], merged: bytes
) -> None:
    lengths = {pages_of(path) % 2 for path in papers}
    assert lengths == {0, 1}
    whole = pymupdf.open("pdf", merged)
    at = 0
    for path in papers:
        assert at % 2 == 0
        with pymupdf.open(path) as single:
            for page in single:
                assert whole[at].get_text() == page.get_text()
                assert whole[at].rect == page.rect
                picture = [
                    hashlib.sha256(one.get_pixmap(dpi=40).samples).digest()
                    for one in (page, whole[at])
                ]
                assert picture[0] == picture[1], (path.name, page.number)
                at += 1
        if at % 2:
            assert whole[at].get_text() == ""
            assert not whole[at].get_drawings()
            at += 1
    assert at == whole.page_count


def test_independent_reader_finds_no_fault(merged: bytes) -> None:
    with pikepdf.open(BytesIO(merged)) as pdf:
        assert pdf.check_pdf_syntax() == []
        preferences = pdf.Root.ViewerPreferences
        assert preferences.Duplex == "/DuplexFlipLongEdge"
        assert preferences.PrintScaling == "/None"


@pytest.mark.parametrize(
    "standard", [checker.ValidationProfile.PDF_UA_1, checker.ValidationProfile.PDF_A_2U], ids=str
)
def test_whole_keeps_the_standards_of_its_parts(
    standard: checker.ValidationProfile, merged: bytes
) -> None:
    report = checker.validate_pdf_bytes(merged, profile=standard)
    assert [(fault.rule_id, fault.message) for fault in report.failures] == []
    assert report.is_compliant


def elements(node: pikepdf.Object) -> list[str]:
    """Return the tags below *node* in reading order."""
    tags = [str(node.S)] if "/S" in node else []
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and kid.get("/Type") == "/StructElem":
            tags += elements(kid)
    return tags


def test_tags_of_all_papers_stand_in_one_tree(papers: list[Path], merged: bytes) -> None:
    expected: list[str] = []
    languages = []
    for path in papers:
        with pikepdf.open(path) as pdf:
            expected += elements(pdf.Root.StructTreeRoot)
            languages.append(str(pdf.Root.Lang))
    with pikepdf.open(BytesIO(merged)) as pdf:
        tree = pdf.Root.StructTreeRoot
        assert elements(tree) == expected
        assert [str(one.Lang) for one in tree.K] == languages


def test_every_mark_of_every_page_leads_to_its_element(merged: bytes) -> None:
    """The parent tree, looked up by a reader's own number tree."""
    with pikepdf.open(BytesIO(merged)) as pdf:
        tree = pikepdf.NumberTree(pdf.Root.StructTreeRoot.ParentTree)
        assert len(tree) == len(set(tree))
        seen = 0
        for page in pdf.pages:
            if "/StructParents" not in page:
                continue
            for element in tree[int(page.StructParents)]:
                assert element.Type == "/StructElem"
                seen += 1
            for note in page.get("/Annots", []):
                assert tree[int(note.StructParent)].Type == "/StructElem"
        assert seen > 100
        assert pdf.Root.StructTreeRoot.ParentTreeNextKey > max(tree)


def test_bookmarks_of_all_papers_stand_in_one_list(papers: list[Path], merged: bytes) -> None:
    expected = []
    shift = 0
    for path in papers:
        with pymupdf.open(path) as single:
            expected += [(level, title, page + shift) for level, title, page in single.get_toc()]
            shift += single.page_count + single.page_count % 2
    with pymupdf.open("pdf", merged) as whole:
        assert [tuple(one) for one in whole.get_toc()] == expected
    assert expected


def test_same_papers_give_the_same_bytes(papers: list[Path], merged: bytes) -> None:
    target = BytesIO()
    assert merge_for_print(papers, target, DESCRIBED) % 2 == 0
    assert target.getvalue() == merged
    other = BytesIO()
    merge_for_print(papers[:1], other, DESCRIBED)
    with pikepdf.open(BytesIO(merged)) as one, pikepdf.open(BytesIO(other.getvalue())) as two:
        assert one.trailer.ID != two.trailer.ID


def test_other_files_are_refused(tmp_path: Path, papers: list[Path]) -> None:
    foreign = pymupdf.open()
    foreign.new_page()
    for name, data in {
        "foreign.pdf": foreign.tobytes(),
        "cut.pdf": papers[0].read_bytes()[:-4000],
        "text.pdf": b"no PDF at all",
    }.items():
        path = tmp_path / name
        path.write_bytes(data)
        with pytest.raises(ValueError):
            merge_for_print([path], BytesIO(), DESCRIBED)
    with pytest.raises(ValueError, match="nothing to merge"):
        merge_for_print([], BytesIO(), DESCRIBED)


# Not `getrusage`: its figure outlives the start of another program, and would be our own.
OWN_PEAK = """
status = Path("/proc/self/status").read_text()
print(int(status.partition("VmHWM:")[2].split()[0]) * 1024)
"""
PEAK = (
    """
import sys
from pathlib import Path
from docbuilder.layout.metadata import Description
from docbuilder.pack.print_run import merge_for_print
papers = sorted(Path(sys.argv[1]).glob("*.pdf")) * int(sys.argv[2])
with open(sys.argv[3], "wb") as target:
    merge_for_print(papers, target, Description("Pack", "", "en", "docbuilder test"))
"""
    + OWN_PEAK
)


def test_memory_hardly_grows_with_the_papers(papers: list[Path], tmp_path: Path) -> None:
    """Six times the papers: of what is read more, next to nothing stays (Linux)."""
    peaks, target = [], tmp_path / "run.pdf"
    for times in (4, 24):
        done = subprocess.run(
            [sys.executable, "-c", PEAK, str(papers[0].parent), str(times), str(target)],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        peaks.append(int(done.stdout))
    read_more = 20 * sum(path.stat().st_size for path in papers)
    ratio = (peaks[1] - peaks[0]) / read_more
    assert ratio < 0.3, ratio
    with pikepdf.open(target) as pdf:  # the table is written in several parts
        assert pdf.check_pdf_syntax() == []
        assert len(pdf.objects) > 1 << 16


PEAK_OF_PILES = (
    """
import pickle, sys
from pathlib import Path
from docbuilder.pack.desk import Desk
from docbuilder.pack.piles import piles
from docbuilder.pack.summary import write_piles
out, faults = Path(sys.argv[1]), []
results = pickle.loads((out / sys.argv[2]).read_bytes())
made = piles(results, 100)
write_piles(made, out, Desk().clinic, faults)
assert not faults, faults
print(len(made))
"""
    + OWN_PEAK
)


def test_memory_of_many_piles_is_that_of_one(papers: list[Path], tmp_path: Path) -> None:
    """Cover lists and print runs of six piles against those of one (Linux)."""
    shortest = min(papers, key=pages_of)
    counts = (PaperCount(shortest.name, "diary", ("en",), pages_of(shortest)),)
    folder = tmp_path / "pack_X"
    folder.mkdir()
    (folder / shortest.name).write_bytes(shortest.read_bytes())
    row = replace(result(1, "09:00"), pack="X", papers=counts)
    a_pile = 100 // ((counts[0].pages + 1) // 2)
    peaks = []
    for times in (1, 6):
        many = [replace(row, number=number) for number in range(1, times * a_pile + 1)]
        (tmp_path / "results").write_bytes(pickle.dumps(many))
        done = subprocess.run(
            [sys.executable, "-c", PEAK_OF_PILES, str(tmp_path), "results"],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        made, peak = map(int, done.stdout.split())
        assert made == times
        peaks.append(peak)
    assert len(list(tmp_path.glob("print_run_*.pdf"))) == 6
    assert peaks[1] / peaks[0] < 1.08


def test_streams_that_papers_share_are_written_once(papers: list[Path], merged: bytes) -> None:
    """Fonts, pictures and the colour profile, compared by what another reader unpacks."""
    target = BytesIO()
    merge_for_print([*papers, *papers], target, DESCRIBED)
    fonts = []
    for data in (merged, target.getvalue()):
        with pikepdf.open(BytesIO(data)) as pdf:
            streams = [one for one in pdf.objects if isinstance(one, pikepdf.Stream)]
            fonts.append(sorted(one.read_bytes() for one in streams if "/Length1" in one))
    assert fonts[0] == fonts[1]
    assert len(set(fonts[0])) == len(fonts[0]) > 2


FILLABLE = BuildOptions(fillable=True)


def test_fields_are_left_out_on_paper_and_nothing_else(tmp_path: Path) -> None:
    """Papers with fields and without, of the same plan: the same print, tags and links."""
    source = makeable()[0]
    merged = {}
    for name, options in {"plain": BuildOptions(), "fields": FILLABLE}.items():
        pack = desk().make(desk().prepare(source, options), options)
        paths = []
        for file in pack.files:
            if file.name.endswith(".pdf"):
                paths.append(tmp_path / f"{name}-{file.kind}.pdf")
                paths[-1].write_bytes(file.data)
        target = BytesIO()
        merge_for_print(paths, target, DESCRIBED)
        merged[name] = target.getvalue()
        with pymupdf.open(paths[1]) as single:
            assert bool(single.is_form_pdf) == (name == "fields")
    for profile in (checker.ValidationProfile.PDF_UA_1, checker.ValidationProfile.PDF_A_2U):
        report = checker.validate_pdf_bytes(merged["fields"], profile=profile)
        assert report.is_compliant, [fault.message for fault in report.failures]
    with pikepdf.open(BytesIO(merged["fields"])) as ours:
        assert ours.check_pdf_syntax() == []
        notes = [note.Subtype for page in ours.pages for note in page.get("/Annots", [])]
        assert "/Link" in notes
        assert "/Widget" not in notes
        assert not any(
            isinstance(one, pikepdf.Dictionary) and one.get("/FT") for one in ours.objects
        )
        with pikepdf.open(BytesIO(merged["plain"])) as theirs:
            tags, expected = (elements(pdf.Root.StructTreeRoot) for pdf in (ours, theirs))
            # A box to tick is the label of its words; under a field it was the field.
            label = ("/Lbl", "/Span")
            assert [tag for tag in tags if tag not in label] == [
                tag for tag in expected if tag not in label
            ]
            assert len(ours.objects) <= len(theirs.objects)  # no leftovers
    with (
        pymupdf.open("pdf", merged["fields"]) as ours,
        pymupdf.open("pdf", merged["plain"]) as all_,
    ):
        assert ours.page_count == all_.page_count
        for one, other in zip(ours, all_, strict=True):
            assert len(one.get_text()) == len(other.get_text())
            assert len(one.get_drawings()) == len(other.get_drawings())


# Piles, and the cover list on each


def test_piles_keep_the_order_tear_no_pack_and_hold_no_more_than_asked() -> None:
    """Sheets counted by hand: 11 + n pages of handout, 7 of consent, 3 of diary, duplex."""
    results = [result(n, "", "refused" if n == 3 else "built") for n in range(1, 31)]
    sheets = {n: 0 if n == 3 else (10 + n + 1) // 2 + 4 + 2 for n in range(1, 31)}
    for most in (1, 19, 60, 100):
        made = piles(reversed(results), most)
        assert [one.number for pile in made for one in pile.results] == list(range(1, 31))
        for pile in made:
            counted = sum(sheets[one.number] for one in pile.results)
            assert pile.sheets == counted
            assert counted <= most or sum(one.stands for one in pile.results) == 1
            assert pile.packs == sum(one.stands for one in pile.results)
        for pile, after in pairwise(made):  # the next pack would have been too much
            assert pile.sheets + sheets[after.results[0].number] > most
        wide = len(str(len(made)))
        names = [f"print_run_{n:0{wide}}.pdf" for n in range(1, len(made) + 1)]
        assert [pile.run_name for pile in made] == names
        assert sorted(names) == names
    (whole,) = piles(results, sum(sheets.values()))
    assert (whole.run_name, whole.cover_name) == ("print_run.pdf", "cover_list.pdf")
    many = piles(result(n, "", "refused") for n in range(1, 1201))
    assert [len(pile.results) for pile in many] == [500, 500, 200]


def test_cover_of_one_of_several_piles_says_which_and_counts_from_its_own_file() -> None:
    first, second = piles([result(1, "08:30"), result(2, "08:00")], 12)
    lines = lines_of(cover_list(second, desk().clinic))
    assert "Packs to print 2/2" in lines
    assert not any("REC-1" in line for line in lines)
    assert next(line for line in lines if "REC-2" in line).split()[-1] == "1"
    assert "Packs to print 1/2" in lines_of(cover_list(first, desk().clinic))


def result(number: int, appointment: str, status: str = "built") -> Result:
    return Result(
        number,
        f"folder/row{number}.yaml",
        appointment,
        status,
        ExitCode.REFUSED if status == "refused" else ExitCode.BUILT,
        f"PACK{number:06}" if status != "refused" else "",
        (
            PaperCount("h", "handout", ("es",), 10 + number),
            PaperCount("c", "consent", ("es", "en"), 7),
            PaperCount("d", "diary", ("es",), 3),
        )
        if status != "refused"
        else (),
        patient=("Ada Example", f"REC-{number}"),
    )


def lines_of(data: bytes) -> list[str]:
    with pymupdf.open("pdf", data) as document:
        lines: dict[tuple[int, int], list[tuple[float, str]]] = {}
        for page in document:
            for x, y, _, _, word, *_ in page.get_text("words"):
                lines.setdefault((page.number, round(y / 2)), []).append((x, word))
    return [" ".join(word for _, word in sorted(line)) for _, line in sorted(lines.items())]


def test_cover_list_is_in_the_order_of_appointments() -> None:
    results = [result(1, "14:00"), result(2, "08:30"), result(3, ""), result(4, "09:00", "refused")]
    (pile,) = piles(results)
    lines = lines_of(cover_list(pile, desk().clinic))
    rows = [line for line in lines if "REC-" in line or "row4" in line]
    assert [next(mark for mark in ("REC-1", "REC-2", "REC-3", "row4.yaml") if mark in row)
            for row in rows] == ["REC-2", "row4.yaml", "REC-1", "REC-3"]  # fmt: skip
    first = rows[0].split()
    assert first[0] == "08:30"
    assert "PACK000002" in first
    assert first[-5:] == ["12", "7", "3", "–", "25"]  # twelve, eight and four pages stand before
    assert rows[1].split()[-7:-5] == ["Not", "built"]
    assert rows[3].split()[-1] == "49"
    assert "Pages 36 21 9 –" in lines
    assert "Español, English" in rows[0]
    assert "Ada Example" not in " ".join(lines)
    assert "A. E." in rows[0]
    assert "REC-4" not in " ".join(lines)
    alone = lines_of(cover_list(pile, desk().clinic, print_run=False))
    assert not any("From" in line for line in alone)
    assert next(line for line in alone if "REC-2" in line).split()[-1] == "–"


def test_forty_patients_fit_one_page_and_more_run_on_with_their_heads() -> None:
    appointments = [result(n, f"{8 + n // 6:02}:{n % 6}0") for n in range(1, 61)]
    data = cover_list(Pile(1, 1, tuple(appointments[:40])), desk().clinic)
    with pymupdf.open("pdf", data) as document:
        assert document.page_count == 1
    report = checker.validate_pdf_bytes(data, profile=checker.ValidationProfile.PDF_UA_1)
    assert report.is_compliant, [fault.message for fault in report.failures]
    with pymupdf.open(
        "pdf", cover_list(Pile(1, 1, tuple(appointments)), desk().clinic)
    ) as document:
        assert document.page_count == 2
        assert all("Languages" in page.get_text() for page in document)
