"""One PDF of many papers: same pages, blank backs, tags and standards kept; and its cover."""

from __future__ import annotations

import hashlib
from io import BytesIO
from pathlib import Path

import page as checker
import pikepdf
import pymupdf
import pytest
from built_packs import complete_tags, desk, made, makeable

from docbuilder.errors import ExitCode
from docbuilder.layout.metadata import Description
from docbuilder.pack.batch import PaperCount, Result
from docbuilder.pack.cover_list import cover_list
from docbuilder.pack.print_run import merge_for_print

DESCRIBED = Description("Pack", "", "en", "docbuilder test")


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Papers in every complete language, of odd and even length."""
    folder = tmp_path_factory.mktemp("papers")
    paths = []
    for source in makeable()[-2:]:
        for file in made(source, *complete_tags()[-1:]).files:
            if file.name.endswith(".pdf"):
                path = folder / f"{source.stem}-{file.name}"
                path.write_bytes(file.data)
                paths.append(path)
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


# The cover list


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
    lines = lines_of(cover_list(results, desk().clinic))
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
    alone = lines_of(cover_list(results, desk().clinic, print_run=False))
    assert not any("From" in line for line in alone)
    assert next(line for line in alone if "REC-2" in line).split()[-1] == "–"


def test_forty_patients_fit_one_page_and_more_run_on_with_their_heads() -> None:
    appointments = [result(n, f"{8 + n // 6:02}:{n % 6}0") for n in range(1, 61)]
    data = cover_list(appointments[:40], desk().clinic)
    with pymupdf.open("pdf", data) as document:
        assert document.page_count == 1
    report = checker.validate_pdf_bytes(data, profile=checker.ValidationProfile.PDF_UA_1)
    assert report.is_compliant, [fault.message for fault in report.failures]
    with pymupdf.open("pdf", cover_list(appointments, desk().clinic)) as document:
        assert document.page_count == 2
        assert all("Languages" in page.get_text() for page in document)
