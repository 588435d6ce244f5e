"""Files of every kind that is read, spoiled at random: a value or an `InputFault`, and soon.

Seeded and bounded in time. A longer run: DOCBUILDER_FUZZ_S=60 (seconds a reader) and
DOCBUILDER_FUZZ_SEED=7. Tests name the seed of the case that failed.
"""

from __future__ import annotations

import csv
import io
import json
import os
import random
import time
import zlib
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
import yaml
from PIL import Image

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.batch_list import read_batch_list
from docbuilder.inputs.clinic import demo_clinic_folder, read_clinic
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.logo import BadLogo, look_at_logo
from docbuilder.inputs.prescription import read_prescription
from docbuilder.inputs.unit import read_unit
from docbuilder.language.catalogue import read_catalogue
from docbuilder.language.xliff import read_xliff, units_of, xliff_bytes
from docbuilder.paths import data_folder, shipped

SECONDS = float(os.environ.get("DOCBUILDER_FUZZ_S", "0.5"))
SEED = int(os.environ.get("DOCBUILDER_FUZZ_SEED", "1"))
SLOWEST_S = 5.0
DEMO = demo_clinic_folder()
PIECES = (
    b"", b"\x00", b"\xff", b"\xef\xbb\xbf", b"\n", b"\r", b"\t", b" ", b'"', b"'", b",", b";", b":",
    b"<", b">", b"&", b"{", b"}", b"[", b"]", b"%", b"(", b")s", b"\\", b"-", b"0", b"9" * 40,
    b"1e999", b"null", b"~", b"\xe2\x80\xae", b"\xe2\x81\xa6", b"\xed\xa0\x80", b"\xf0\x9f\x98\x80",
    b"<!DOCTYPE x [<!ENTITY a 'b'>]>", b"&a;", b"&#0;", b"<x xmlns='y'/>", b"#, fuzzy\n",
    b'msgstr[3] "x"\n', b"plural=n.__class__;", b"nplurals=99999999;", b"2026-02-30", b"=1+1",
)  # fmt: skip


def spoiled(data: bytes, chance: random.Random) -> bytes:
    """Change, drop, double or move some bytes or lines of *data*."""
    for _ in range(chance.choice((1, 1, 2, 4, 16))):
        start = chance.randrange(len(data) + 1)
        stop = min(len(data), start + chance.choice((0, 1, 1, 4, 30, 400)))
        kind = chance.randrange(6)
        if kind == 0:
            data = data[:start] + chance.choice(PIECES) + data[stop:]
        elif kind == 1:
            data = data[:start] + data[stop:]
        elif kind == 2:
            data = data[:stop] + data[start:]
        elif kind == 3:
            data = data[:start] + chance.randbytes(stop - start) + data[stop:]
        elif kind == 4:
            data = data[: chance.randrange(len(data) + 1)]
        else:
            lines = data.splitlines(keepends=True)
            chance.shuffle(lines)
            data = b"".join(lines)
    return data


def fuzz(
    seeds: Iterable[bytes], read: Callable[[bytes], object], *, least: int = 20, share: float = 1
) -> None:
    """Feed spoiled files to *read* until the time is up."""
    originals = list(seeds)
    chance = random.Random(SEED)
    end = time.monotonic() + SECONDS * share
    refused = tried = 0
    while tried < least or time.monotonic() < end:
        state = chance.getrandbits(64)
        data = spoiled(chance.choice(originals), random.Random(state))
        began = time.process_time()
        try:
            read(data)
        except InputFault as fault:
            refused += 1
            told_well(fault, state)
        except Exception as error:
            raise AssertionError(f"state {state}: {type(error).__name__}: {error}") from error
        assert time.process_time() - began < SLOWEST_S, state
        tried += 1
    assert refused > tried // 10  # the spoiling does spoil


def told_well(fault: InputFault, state: int) -> None:
    assert fault.issues, state
    for issue in fault.issues:
        told = (issue.field, issue.found, issue.allowed, issue.hint)
        assert all(part.isprintable() for part in told), (state, told)


@pytest.fixture
def clinic(tmp_path: Path) -> Path:
    folder = tmp_path / "clinic"
    folder.mkdir()
    for name in ("clinic.yaml", "logo.png"):
        (folder / name).write_bytes((DEMO / name).read_bytes())
    return folder


def csv_list() -> bytes:
    rows = [
        {"appointment": "09:30", "prescribed_on": "2026-12-01", "patient.name": "Ada, Example",
         "patient.record_number": "0042", "patient.language": "en", "indication": "urgency",
         "placement": "tibial", "side": "left", "device": "demo-duo", "goal": 'Say "no"',
         "schedule.start": "07/12/2026", "schedule.weekdays": "mon wed fri",
         "screening.pregnancy": "no"}
    ] * 3  # fmt: skip
    stream = io.StringIO()
    writer = csv.DictWriter(stream, list(rows[0]), delimiter=";")
    writer.writeheader()
    writer.writerows(rows)
    return b"\xef\xbb\xbf" + stream.getvalue().encode()


def test_lists_as_csv(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"

    def read(data: bytes) -> None:
        path.write_bytes(data)
        for row in read_batch_list(path, screening=("pregnancy",), dates="day-first"):
            assert (row.source is None) == bool(row.issues)

    fuzz([csv_list(), csv_list().replace(b";", b","), csv_list().replace(b";", b"\t")], read)


@pytest.mark.parametrize("suffix", ["yaml", "json"])
def test_lists_of_files(suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"list.{suffix}"
    listing = {"prescriptions": [{"file": "a.yaml", "appointment": "09:30"}, {"file": "b.yaml"}]}
    seed = json.dumps(listing, indent=1) if suffix == "json" else yaml.safe_dump(listing)

    def read(data: bytes) -> None:
        path.write_bytes(data)
        list(read_batch_list(path, screening=()))

    fuzz([seed.encode()], read)


@pytest.mark.parametrize("suffix", ["yaml", "json"])
def test_prescriptions(suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"rx.{suffix}"
    seeds = [one.read_bytes() for one in (DEMO / "prescriptions").glob("*.yaml")]
    if suffix == "json":
        trees = [yaml.load(one, Loader=yaml.BaseLoader) for one in seeds]
        seeds = [json.dumps(tree, ensure_ascii=False, indent=1).encode() for tree in trees]

    def read(data: bytes) -> None:
        path.write_bytes(data)
        read_prescription(path)

    fuzz(seeds, read)


def test_unit_profiles(tmp_path: Path) -> None:
    path = tmp_path / "demo-duo.yaml"

    def read(data: bytes) -> None:
        path.write_bytes(data)
        read_unit(path)

    fuzz([one.read_bytes() for one in (DEMO / "units").glob("*.yaml")], read)


def test_clinic_file(clinic: Path) -> None:
    def read(data: bytes) -> None:
        (clinic / "clinic.yaml").write_bytes(data)
        read_clinic(clinic)

    fuzz([(DEMO / "clinic.yaml").read_bytes()], read)


def test_knowledge_of_a_clinic(clinic: Path) -> None:
    folder = clinic / "knowledge"
    folder.mkdir()
    known = read_clinic(clinic)
    for shipped_file in sorted(data_folder("knowledge").glob("*.yaml")):
        path = folder / shipped_file.name

        def read(data: bytes, path: Path = path) -> None:
            path.write_bytes(data)
            read_knowledge(known)

        fuzz([shipped_file.read_bytes()], read, least=3, share=0.15)
        path.unlink()


def catalogue() -> bytes:
    text = (shipped("locales") / "es" / "LC_MESSAGES" / "docbuilder.po").read_text("utf-8")
    return "\n\n".join(text.split("\n\n")[:40]).encode()


def test_catalogues(tmp_path: Path) -> None:
    path = tmp_path / "docbuilder.po"

    def read(data: bytes) -> None:
        path.write_bytes(data)
        read_catalogue(path, "es")

    fuzz([catalogue()], read)


def test_translators_files(tmp_path: Path) -> None:
    path = tmp_path / "es.xlf"
    source = tmp_path / "docbuilder.po"
    source.write_bytes(catalogue())
    seed = xliff_bytes(list(units_of(read_catalogue(source, "es")))[:20], "en", "es")

    def read(data: bytes) -> None:
        path.write_bytes(data)
        read_xliff(path)

    fuzz([seed], read)


def pictures() -> list[bytes]:
    found = []
    for mode, form in (("RGB", "PNG"), ("RGBA", "PNG"), ("P", "PNG"), ("L", "PNG"),
                       ("RGB", "JPEG"), ("L", "JPEG")):  # fmt: skip
        picture = Image.effect_noise((24, 16), 60).convert(mode)
        stream = io.BytesIO()
        picture.save(stream, form)
        found.append(stream.getvalue())
    return found


def with_checksums(data: bytes) -> bytes:
    """Make every chunk's checksum right, so that a spoiled PNG passes for a whole one."""
    if not data.startswith(b"\x89PNG\r\n\x1a\n"):
        return data
    made, at = bytearray(data), 8
    while at + 12 <= len(made):
        end = at + 8 + int.from_bytes(made[at : at + 4], "big")
        if end + 4 > len(made):
            break
        made[end : end + 4] = zlib.crc32(bytes(made[at + 4 : end])).to_bytes(4, "big")
        at = end + 4
    return bytes(made)


def test_logos_that_pass_can_be_drawn() -> None:
    """A picture that is taken is one that the drawing library can decode."""

    def read(data: bytes) -> None:
        passed = 0
        for form in (data, with_checksums(data)):
            try:
                look_at_logo(form)
            except BadLogo as bad:
                told = str(bad)
                continue
            with Image.open(io.BytesIO(form)) as picture:
                picture.convert("RGBA").load()
            passed += 1
        if not passed:
            raise InputFault([Issue(Place("logo.png"), "logo", told, "a picture")])

    fuzz(pictures(), read)
