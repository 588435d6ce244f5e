"""Papers to fill in on a screen: fields read back by other programs, the print unchanged."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from io import BytesIO
from itertools import pairwise

import pikepdf
import pypdfium2
import pytest
from checkers import open_findings
from click.testing import CliRunner
from every_block import WORDS, document, furniture, pairs, runs
from pypdf import PdfReader, PdfWriter

from docbuilder.cli.main import main
from docbuilder.document.blocks import Column, Table
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.layout.compose import compose
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk

CASES = {
    "en": lambda: document("en", furniture=furniture("en", initials_label="Initials")),
    "ar": lambda: document("ar", paper="Letter"),
    "hi": lambda: document("hi", text_pt=18.0),
    "en-ar": lambda: document("en", (pairs("en", "ar"),), text_pt=12.0),
}


def made(name: str, fillable: bool = True) -> bytes:
    return compose(replace(CASES[name](), fillable=fillable)).pdf


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    return {name: made(name) for name in CASES}


def pictures(pdf: bytes) -> list[bytes]:
    """Return every page as pdfium shows it, fields and all."""
    opened = pypdfium2.PdfDocument(pdf)
    opened.init_forms()
    return [page.render(scale=1.5).to_numpy().tobytes() for page in opened]


def widgets(pdf: pikepdf.Pdf) -> list[tuple[int, pikepdf.Dictionary]]:
    return [
        (number, note)
        for number, page in enumerate(pdf.pages)
        for note in page.obj.get("/Annots", [])
        if note.Subtype == "/Widget"
    ]


@pytest.mark.parametrize("name", CASES)
def test_no_checker_finds_a_fault(files, name):
    assert open_findings(files[name]) == []


@pytest.mark.parametrize("name", CASES)
def test_the_page_looks_the_same(files, name):
    assert pictures(files[name]) == pictures(made(name, fillable=False))


def test_without_the_option_there_is_no_form():
    with pikepdf.open(BytesIO(made("en", fillable=False))) as pdf:
        assert "/AcroForm" not in pdf.Root
        assert widgets(pdf) == []


@pytest.mark.parametrize("name", CASES)
def test_every_field_has_a_name_a_voice_an_appearance_and_a_place_in_the_order(files, name):
    with pikepdf.open(BytesIO(files[name])) as pdf:
        found = widgets(pdf)
        assert len(found) >= 8
        read: list[tuple[int, int]] = []

        def walk(element: pikepdf.Dictionary) -> None:
            kids = element.get("/K", pikepdf.Array())
            for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
                if isinstance(kid, int):
                    continue
                if kid.get("/Type") == "/OBJR" and kid.Obj.Subtype == "/Widget":
                    assert element.S == "/Form"
                    read.append(kid.Obj.objgen)
                elif "/S" in kid:
                    walk(kid)

        walk(pdf.Root.StructTreeRoot.K)
        assert sorted(read) == sorted(note.objgen for _, note in found)
        for _, note in found:
            assert str(note.TU).strip()
            assert "/N" in note.AP
            assert int(note.F) == 4
        names = [str(field.T) for field in pdf.Root.AcroForm.Fields]
        assert len(names) == len(set(names))
        assert "/NeedAppearances" not in pdf.Root.AcroForm
        sides = {int(one.get("/Q", 0)) for one in pdf.Root.AcroForm.Fields if one.FT == "/Tx"}
        assert sides == {2 if name == "ar" else 0} or name == "en-ar"
        (font,) = pdf.Root.AcroForm.DR.Font.values()
        assert len(font.FontDescriptor.FontFile2.read_bytes()) > 10_000
        assert all(page.obj.Tabs == "/S" for page in pdf.pages)
        if name == "en-ar":
            return  # this example asks in both columns
        # Within a page the order goes down the paper, row by row.
        page_of = {note.objgen: number for number, note in found}
        place = {note.objgen: [float(edge) for edge in note.Rect] for _, note in found}
        body = [at for at in read if place[at][1] > 72]
        for one, other in pairwise(body):
            if page_of[one] == page_of[other]:
                assert place[other][1] < place[one][3]
            else:
                assert page_of[one] < page_of[other]


def test_what_is_typed_and_ticked_is_read_back(files):
    reader = PdfReader(BytesIO(files["en"]))
    fields = reader.get_fields()
    kinds = {name.rsplit("-", 1)[0]: field["/FT"] for name, field in fields.items()}
    assert kinds == {
        "text": "/Tx", "initials": "/Tx", "tick": "/Btn", "choice": "/Btn",
        "signature": "/Sig",
    }  # fmt: skip
    words = WORDS["en"]
    assert fields["tick-1"]["/TU"] == words["body"]
    assert fields["choice-1"]["/TU"].startswith("Two pads, 50")
    assert fields["signature-1"]["/TU"] == f"{words['title']}: {words['sign']}"
    assert fields["text-1"]["/TU"] == words["step"]
    assert fields["initials-1"]["/TU"].startswith("Initials: Page 1 of")
    typed = {"text-1": "José, 2 × 30 min", "tick-1": "/Yes", "choice-1": "/Choice2"}
    writer = PdfWriter(clone_from=reader)
    for page in writer.pages:
        writer.update_page_form_field_values(page, typed, auto_regenerate=False)
    # Other scripts are kept as they are; a viewer shows them in a font of its own.
    text = next(f for f in writer.get_fields().values() if f["/T"] == "text-2")
    assert text["/FT"] == "/Tx"
    stored = BytesIO()
    writer.write(stored)
    back = PdfReader(stored).get_fields()
    assert {name: back[name]["/V"] for name in typed} == typed


@pytest.mark.parametrize("word", ["José", "Ольга", "شكرًا", "谢谢", "धन्यवाद"])
def test_any_script_is_kept_as_typed(files, word):
    with pikepdf.open(BytesIO(files["ar"])) as pdf:
        field = next(one for one in pdf.Root.AcroForm.Fields if one.FT == "/Tx")
        field.V = pikepdf.String(word)
        name = str(field.T)
        stored = BytesIO()
        pdf.save(stored)
    assert PdfReader(stored).get_fields()[name]["/V"] == word


def test_one_of_yes_and_no():
    with pikepdf.open(BytesIO(made("en"))) as pdf:
        (choice,) = [one for one in pdf.Root.AcroForm.Fields if str(one.T) == "choice-1"]
        assert int(choice.Ff) & (1 << 15)
        states = [set(kid.AP.N.keys()) - {"/Off"} for kid in choice.Kids]
        assert states == [{"/Choice1"}, {"/Choice2"}]
        spoken = [str(kid.TU) for kid in choice.Kids]
        assert [say.split()[-1] for say in spoken] == ["Yes", "No"]


def test_cells_to_write_in_are_told_by_row_and_column():
    columns = (Column(runs("Day"), 1), Column(runs("Time"), 1), Column(runs("Leak?"), 1))
    rows = ((runs("Monday"), (), ()), (runs("Tuesday"), (), runs("printed")))
    dated = Table(columns, rows, row_headers=True, min_row_mm=9.5)
    blank = Table(columns, (((), (), ()),) * 2, min_row_mm=9.5, fill_page=True)
    pdf = compose(replace(document("en", (dated, blank)), fillable=True)).pdf
    said = [str(field["/TU"]) for field in PdfReader(BytesIO(pdf)).get_fields().values()]
    assert said[:3] == ["Monday: Time", "Monday: Leak?", "Tuesday: Time"]
    assert said[3:6] == ["1: Day", "1: Time", "1: Leak?"]
    # Rows that fill the page are counted on.
    numbers = [int(say.split(":")[0]) for say in said[3::3]]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) > 10


FOLDER = demo_clinic_folder() / "prescriptions"


@pytest.mark.parametrize("name", ["urgency-lower-abdomen-ar", "mixed-tibial-fr"])
def test_a_whole_pack_can_be_filled_in(name):
    """By the option of the command, and by the clinic's own choice."""
    desk, options = Desk(), BuildOptions(fillable=True)
    asked = desk.make(desk.prepare(FOLDER / f"{name}.yaml", options), options)
    papers = {file.kind: file.data for file in asked.files if file.name.endswith(".pdf")}
    assert set(papers) == {"handout", "consent", "diary", "checklist"}
    for pdf in papers.values():
        assert open_findings(pdf) == []
    kinds = Counter(
        field["/FT"] for field in PdfReader(BytesIO(papers["consent"])).get_fields().values()
    )
    # Patient, interpreter, clinician and, at the end, who takes the consent back.
    assert kinds["/Sig"] == 4
    assert kinds["/Btn"] >= 6 + 4
    assert kinds["/Tx"] > 20
    prepared = desk.prepare(FOLDER / f"{name}.yaml", BuildOptions())
    clinic = replace(prepared.plan.clinic, fillable_forms=True)
    chosen = desk.make(
        replace(prepared, plan=replace(prepared.plan, clinic=clinic)), BuildOptions()
    )
    consent = next(file.data for file in chosen.files if file.kind == "consent")
    with pikepdf.open(BytesIO(consent)) as pdf:
        assert len(pdf.Root.AcroForm.Fields) > 30


def test_the_command_makes_papers_to_fill_in(tmp_path):
    source = FOLDER / "urgency-tibial-en.yaml"
    call = ["build", str(source), "--documents", "diary", "--name-by-file", "--replace"]
    forms = {}
    for option in ("--fillable", None):
        out = [*call, "--out", str(tmp_path), *([option] if option else [])]
        assert CliRunner().invoke(main, out).exit_code == 0
        (path,) = tmp_path.glob("*/diary*.pdf")
        forms[option] = PdfReader(path).get_fields() or {}
    assert len(forms["--fillable"]) > 200
    assert forms[None] == {}
    said = {str(field["/TU"]) for field in forms["--fillable"].values()}
    assert "Mon, Dec 7: Strength" in said
