"""Packed objects, read back by programs that we did not write."""

from __future__ import annotations

import re
import subprocess
from collections import Counter
from hashlib import sha256
from io import BytesIO

import pikepdf
import pymupdf
import pypdfium2
import pytest
from every_block import document, pairs

from docbuilder.layout.compose import compose
from docbuilder.layout.object_file import ObjectFile


@pytest.fixture(scope="module", params=["ar", "en-ar"])
def pdf(request):
    made = document("ar") if request.param == "ar" else document("en", (pairs("en", "ar"),))
    return compose(made).pdf


def test_nothing_but_streams_stands_open(pdf):
    assert b"\nxref" not in pdf
    assert b"/StructElem" not in pdf
    assert b"/Type/ObjStm" in pdf
    assert b"/Type/XRef" in pdf


def test_readers_find_every_object_without_repair(pdf):
    with pikepdf.open(BytesIO(pdf), attempt_recovery=False) as opened:
        assert opened.check_pdf_syntax() == []
        held = [one for one in opened.objects if isinstance(one, pikepdf.Stream)]
        packed = sum(int(one.N) for one in held if one.get("/Type") == "/ObjStm")
        assert packed > 60
    with pymupdf.open(stream=pdf) as opened:
        assert not opened.is_repaired


def test_readers_agree_on_the_words(pdf, tmp_path):
    file = tmp_path / "one.pdf"
    file.write_bytes(pdf)
    told = subprocess.run(["pdftotext", "-raw", str(file), "-"], capture_output=True, check=True)
    assert not told.stderr
    with pypdfium2.PdfDocument(pdf) as opened:
        ours = [page.get_textpage().get_text_bounded() for page in opened]
    # Letters, not words: readers part words in right-to-left lines differently.
    latin, other = (
        Counter(letter for letter in text if letter.isascii() and letter.isalpha())
        for text in (told.stdout.decode(), "".join(ours))
    )
    assert latin == other
    assert latin.total() > 50


def test_many_objects_go_into_several_streams():
    parts: list[bytes] = []
    file = ObjectFile(parts.append)
    numbers = [file.reserve() for _ in range(1000)]
    for number in numbers[2:]:
        file.put(number, b"(%d)" % number)
    file.put(numbers[0], b"<</Type/Catalog/Pages %d 0 R/All[%b]>>" % (
        numbers[1], b" ".join(b"%d 0 R" % one for one in numbers[2:])))  # fmt: skip
    file.put(numbers[1], b"<</Type/Pages/Count 0/Kids[]>>")
    file.finish(numbers[0], numbers[2])
    with pikepdf.open(BytesIO(b"".join(parts)), attempt_recovery=False) as opened:
        assert [int(str(one)) for one in opened.Root.All] == numbers[2:]


def test_no_stream_runs_into_its_end():
    """Whatever byte a stream ends with, a reader that trims one line end finds its length."""
    last_bytes = set()
    for number in range(700):
        parts: list[bytes] = []
        file = ObjectFile(parts.append)
        first = file.reserve()
        file.put(first, b"<</Name/%b>>" % sha256(b"%d" % number).hexdigest().encode())
        file.finish(first, first)
        data = b"".join(parts)
        for found in re.finditer(rb"/Length (\d+)>>\nstream\n", data):
            length = int(found[1])
            held = data[found.end() : data.index(b"endstream", found.end() + length)]
            trimmed = held[:-2] if held.endswith(b"\r\n") else held[:-1]
            assert len(trimmed) == length
            last_bytes.add(trimmed[-1])
    assert {0x0A, 0x0D} <= last_bytes
