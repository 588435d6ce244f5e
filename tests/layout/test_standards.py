"""The files keep PDF/UA-1 and PDF/A-2u by a checker that we did not write."""

from __future__ import annotations

import subprocess
import sys
from hashlib import sha256
from io import BytesIO

import page as checker
import pikepdf
import pymupdf
import pytest
from every_block import WORDS, document, furniture, pairs
from PIL import Image

from docbuilder.layout.compose import Composed, compose

STANDARDS = (checker.ValidationProfile.PDF_UA_1, checker.ValidationProfile.PDF_A_2U)


def logo() -> bytes:
    stored = BytesIO()
    Image.new("RGBA", (90, 40), (0, 80, 100, 128)).save(stored, "PNG")
    return stored.getvalue()


def documents() -> dict[str, Composed]:
    more = {"review_line": WORDS["en"]["body"], "initials_label": "Initials", "draft_mark": "DRAFT"}
    marked = furniture("en", **more)
    return {
        "en": compose(document("en", text_pt=12.0)),
        "ar": compose(document("ar", paper="Letter")),
        "hi": compose(document("hi", text_pt=18.0)),
        "furnished": compose(document("en", furniture=marked, binding_mm=6.0, logo=logo())),
        "en-ar": compose(document("en", (pairs("en", "ar"),), text_pt=12.0)),
        "ar-hi": compose(document("ar", (pairs("ar", "hi"),), text_pt=12.0)),
    }


@pytest.fixture(scope="module")
def composed() -> dict[str, Composed]:
    return documents()


@pytest.mark.parametrize("name", ["en", "ar", "hi", "furnished", "en-ar", "ar-hi"])
@pytest.mark.parametrize("standard", STANDARDS, ids=str)
def test_keeps_the_standard(composed, name, standard):
    report = checker.validate_pdf_bytes(composed[name].pdf, profile=standard)
    assert [(fault.rule_id, fault.message) for fault in report.failures] == []
    assert report.is_compliant


def test_the_checker_sees_a_missing_alternate_text_and_a_missing_profile(composed):
    with pikepdf.open(BytesIO(composed["en"].pdf)) as pdf:
        for element in pdf.objects:
            if isinstance(element, pikepdf.Dictionary) and element.get("/S") == "/Figure":
                del element["/Alt"]
        del pdf.Root.OutputIntents
        spoilt = BytesIO()
        pdf.save(spoilt)
    for standard in STANDARDS:
        report = checker.validate_pdf_bytes(spoilt.getvalue(), profile=standard)
        assert not report.is_compliant


@pytest.mark.parametrize("name", ["en", "ar", "hi", "furnished", "en-ar", "ar-hi"])
def test_words_stand_on_the_paper_and_fonts_are_embedded(composed, name):
    with pymupdf.open(stream=composed[name].pdf) as pdf:
        assert len(pdf) == composed[name].pages > 1
        for page in pdf:
            words = page.get_text("words")
            assert words
            assert all(page.rect.contains(pymupdf.Rect(word[:4])) for word in words)
            assert all(pdf.extract_font(font[0])[3] for font in page.get_fonts())
            assert "\ufffd" not in page.get_text()


def test_the_file_says_what_it_is_and_nothing_of_the_patient(composed):
    pdf_bytes = composed["ar"].pdf
    with pikepdf.open(BytesIO(pdf_bytes)) as pdf:
        assert str(pdf.docinfo.Title) == WORDS["ar"]["title"]
        assert str(pdf.docinfo.Producer).startswith("docbuilder ")
        assert pdf.Root.Lang == "ar"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        assert pdf.Root.ViewerPreferences.Direction == "/R2L"
        packet = pdf.Root.Metadata.read_bytes()
        assert b"004711" not in packet + bytes(str(dict(pdf.docinfo)), "utf-8")
        assert "/CreationDate" not in pdf.docinfo


def test_the_outline_repeats_the_headings(composed):
    with pymupdf.open(stream=composed["en"].pdf) as pdf:
        outline = [(level, title) for level, title, _page in pdf.get_toc()]
    words = WORDS["en"]
    # The stop and the caution panel are sections too.
    panels = [(2, words["title"])] * 2
    assert outline == [(1, words["title"]), (2, words["word"]), (3, words["sign"]), *panels]
    with pymupdf.open(stream=composed["en-ar"].pdf) as pdf:
        titles = [title for _level, title, _page in pdf.get_toc()]
    assert titles == [words["title"], words["word"]]


def test_bytes_hang_on_the_input_alone():
    program = (
        "import sys; sys.path.insert(0, sys.argv[1]);"
        "from every_block import document; from docbuilder.layout.compose import compose;"
        "import hashlib; print(hashlib.sha256(compose(document('ar')).pdf).hexdigest())"
    )
    here = __file__.rsplit("/", 1)[0]
    elsewhere = subprocess.run(
        [sys.executable, "-c", program, here],
        env={"PYTHONHASHSEED": "77", "TZ": "Asia/Tokyo"},
        check=True,
        capture_output=True,
        text=True,
    ).stdout.strip()
    compose(document("hi"))
    assert sha256(compose(document("ar")).pdf).hexdigest() == elsewhere
