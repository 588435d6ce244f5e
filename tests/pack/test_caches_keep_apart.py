"""Nothing of one patient, clinic or paper gets into another's by way of what is kept.

One process makes a long shuffled list of packs, each unlike the common one in exactly one
thing. Each is made once more by a fresh process that has made nothing before. Every file must
be the same, byte for byte. (`test_caching` has a process without any caches.)

Then files of a clinic are edited between two packs in such a way that neither their date nor
their size tells.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import sys
from collections.abc import Iterable, Iterator
from functools import cache
from hashlib import sha256
from pathlib import Path

import pytest
import yaml
from built_packs import DEMOS

from docbuilder import caching
from docbuilder.document import blocks as b
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.language.catalogue import load_catalogue
from docbuilder.layout.compose import compose
from docbuilder.model.prescription import DocumentKind
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.paths import data_folder, shipped

(COMMON,) = (path for path in DEMOS if path.stem == "urgency-tibial-en")
# One paper each, on which the change shows: all four of every pack would take a minute.
# What is written in the common prescription or in the clinic's file, and what stands instead.
PRESCRIPTIONS: dict[str, tuple[DocumentKind, str, str]] = {
    "side": ("handout", "side: left", "side: right"),
    "channel": ("checklist", "channel: 1", "channel: 2"),
    "width": ("handout", "pulse_width_us: 200", "pulse_width_us: 190"),
    "rate": ("checklist", "pulse_rate_hz: 20", "pulse_rate_hz: 10"),
    "minutes": ("diary", "session_minutes: 30", "session_minutes: 20"),
    "name": ("consent", "Ada Example", "Ava Example"),
    "record": ("diary", "DEMO-1001", "DEMO-1010"),
    "date": ("consent", "prescribed_on: 2026-12-01", "prescribed_on: 2026-12-02"),
    "start": ("diary", "start: 2026-12-07", "start: 2026-12-14"),
    "weeks": ("checklist", "weeks: 12", "weeks: 11"),
    "height": ("handout", "height_cm: 164", "height_cm: 146"),
    "print": ("diary", "language: en", "language: en\n  large_print: true"),
    "arabic": ("diary", "language: en", "language: ar"),
    "answer": ("checklist", "metal_implant: yes", "metal_implant: no"),
    "pads": ("handout", "shape: rectangle", "shape: round"),
}
CLINICS: dict[str, tuple[DocumentKind, str, str]] = {
    "paper": ("diary", "territory: US", "territory: US\npaper: A4"),
    "territory": ("consent", "territory: US", "territory: CA"),
    "accent": ("handout", "#005A70", "#5A0070"),
    "phone": ("consent", "555-0142", "555-0124"),
    "hours": ("handout", '"17:00"', '"16:00"'),
    "identifier": ("diary", "initials_and_record", "name_and_record"),
    "fields": ("diary", "witness_line: false", "witness_line: false\nfillable_forms: true"),
    "digits": ("diary", "ar: native", "ar: latin"),
    "logo": ("checklist", "logo: logo.png\n", ""),
}


SENTENCE = "{% trans %}How strong?{% endtrans %}\n"
WORDS = 'msgid "How strong?"\nmsgstr "Which dose?"\n'


def replaced(path: Path, old: str, new: str) -> None:
    """Put *new* for *old*, which stands there once at least."""
    text = path.read_text("utf-8")
    assert old in text, (path.name, old)
    path.write_text(text.replace(old, new), encoding="utf-8")


def unseen(path: Path, text: str) -> None:
    """Write a file anew; neither its date nor its size tells."""
    before = path.stat()
    path.write_text(text, encoding="utf-8")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    after = path.stat()
    assert (after.st_mtime_ns, after.st_size) == (before.st_mtime_ns, before.st_size)


def clinic(folder: Path) -> Path:
    return Path(shutil.copytree(demo_clinic_folder(), folder))


def own_rule(word: str) -> str:
    """Return a clinic's screening file: our rule on metal, in other words."""
    text = (data_folder("knowledge") / "screening.yaml").read_text("utf-8")
    ours = yaml.load(text, yaml.BaseLoader)
    rule = ours["rules"]["metal_implant"]
    rule["checklist"] = f"Metal near a pad: our own policy, {word}."
    own = {"who_to_ask": ours["who_to_ask"], "rules": {"metal_implant": rule}}
    return yaml.safe_dump({"reviewed_on": "2026-10-01", **own})


def lay(folder: Path, name: str, text: str) -> Path:
    """Lay a file into a clinic's folder."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def variants(at: Path) -> Iterator[tuple[str, Path, Path, DocumentKind]]:
    """Yield name, clinic, prescription and paper: the common ones, then one thing else."""
    plain = clinic(at / "plain")
    kinds: tuple[DocumentKind, ...] = ("handout", "consent", "diary", "checklist")
    for kind in kinds:
        yield f"common {kind}", plain, COMMON, kind
    for name, (kind, old, new) in PRESCRIPTIONS.items():
        source = Path(shutil.copy(COMMON, at / f"{name}.yaml"))
        replaced(source, old, new)
        yield name, plain, source, kind
    for name, (kind, old, new) in CLINICS.items():
        own = clinic(at / f"clinic-{name}")
        replaced(own / "clinic.yaml", old, new)
        yield f"clinic {name}", own, at / "arabic.yaml" if name == "digits" else COMMON, kind
    own = clinic(at / "clinic-unit")
    replaced(own / "units" / "demo-duo.yaml", "power_on: 150", "power_on: 160")
    yield "unit", own, COMMON, "handout"
    own = clinic(at / "clinic-knowledge")
    lay(own, "knowledge/screening.yaml", own_rule("one"))
    yield "knowledge", own, COMMON, "checklist"
    own = clinic(at / "clinic-template")
    lay(own, "templates/handout/care.md.j2", SENTENCE)
    yield "template", own, COMMON, "handout"
    own = clinic(at / "clinic-words")
    lay(own, "locales/en/LC_MESSAGES/docbuilder.po", WORDS)
    yield "words", own, COMMON, "handout"


def digests(desk: Desk, source: Path, papers: tuple[DocumentKind, ...]) -> list[str]:
    """Return name and digest of every file of a pack."""
    options = BuildOptions(documents=papers)
    pack = desk.make(desk.prepare(source, options), options)
    return [f"{file.name} {sha256(file.data).hexdigest()}" for file in pack.files]


Order = tuple[str, str, DocumentKind]
"""Clinic, prescription and paper."""


def made(orders: Iterable[Order]) -> list[list[str]]:
    """Return the digests of packs, each made by this process after those before it."""
    desk = cache(lambda folder: Desk(Path(folder)))
    return [digests(desk(folder), Path(source), (kind,)) for folder, source, kind in orders]


def made_alone(order: Order) -> list[str]:
    """Return the digests of a pack that a process forked for it has made."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        try:
            with os.fdopen(writing, "w") as told:
                json.dump(made([order])[0], told)
        finally:
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as told:
        found: list[str] = json.loads(told.read() or "[]")
    os.waitpid(child, 0)
    return found


PROGRAM = """
import json, sys
sys.path.insert(0, sys.argv[1])
from test_caches_keep_apart import made_alone
json.dump([made_alone(order) for order in json.load(sys.stdin)], sys.stdout)
"""


def test_packs_that_differ_in_one_thing_keep_apart(tmp_path: Path) -> None:
    found = list(variants(tmp_path))
    names = [name for name, *_ in found]
    orders = [(str(folder), str(source), kind) for _, folder, source, kind in found]
    program = [sys.executable, "-c", PROGRAM, str(Path(__file__).parent)]
    pipe = subprocess.PIPE
    with subprocess.Popen(program, stdin=pipe, stdout=pipe, text=True) as other:
        assert other.stdin is not None
        json.dump(orders, other.stdin)
        other.stdin.close()
        # Each at two places of the list: what stands on a shelf was another's, or its own.
        drawn, count = random.Random(7), len(orders)
        order = [*drawn.sample(range(count), count), *drawn.sample(range(count), count)]
        warm = list(zip(order, made(orders[number] for number in order), strict=True))
        assert other.stdout is not None
        alone = json.load(other.stdout)
    assert other.returncode == 0
    assert all(alone)
    assert len(alone) == len(orders)
    assert [names[n] for n, lines in warm if lines != alone[n]] == []


EDITS = {
    "units/demo-duo.yaml": ("power_on: 150", "power_on: 160"),
    "clinic.yaml": ("555-0142", "555-0124"),
    "templates/handout/care.md.j2": ("How strong?", "Your goal: "),
    "locales/en/LC_MESSAGES/docbuilder.po": ("Which dose?", "What power?"),
    "knowledge/screening.yaml": ("policy, one", "policy, two"),
}


@pytest.mark.parametrize("name", EDITS)
def test_an_edit_that_neither_date_nor_size_tells_is_seen(tmp_path: Path, name: str) -> None:
    own = clinic(tmp_path / "clinic")
    papers: tuple[DocumentKind, ...] = ("handout", "checklist")
    lay(own, "templates/handout/care.md.j2", SENTENCE)
    lay(own, "locales/en/LC_MESSAGES/docbuilder.po", WORDS)
    lay(own, "knowledge/screening.yaml", own_rule("one"))
    path, (old, new) = own / name, EDITS[name]
    text = path.read_text("utf-8")
    before = digests(Desk(own), COMMON, papers)
    unseen(path, text.replace(old, new))
    edited = digests(Desk(own), COMMON, papers)
    caching.forget()
    assert digests(Desk(own), COMMON, papers) == edited
    assert not set(before) & set(edited)
    unseen(path, text)
    assert digests(Desk(own), COMMON, papers) == before


def test_a_template_laid_beside_ours_is_seen_and_so_is_its_loss(tmp_path: Path) -> None:
    own = clinic(tmp_path / "clinic")
    papers: tuple[DocumentKind, ...] = ("handout",)
    before = digests(Desk(own), COMMON, papers)
    path = lay(own, "templates/handout/care.md.j2", SENTENCE)
    os.utime(path, ns=(0, (shipped("templates") / "handout" / "care.md.j2").stat().st_mtime_ns))
    with_own = digests(Desk(own), COMMON, papers)
    caching.forget()
    assert digests(Desk(own), COMMON, papers) == with_own != before
    shutil.rmtree(own / "templates")
    assert digests(Desk(own), COMMON, papers) == before


def test_a_catalogue_is_seen_whatever_its_files_date(tmp_path: Path) -> None:
    po = lay(tmp_path, "locales/es/LC_MESSAGES/docbuilder.po", 'msgid "A"\nmsgstr "B"\n')
    assert load_catalogue("es", tmp_path)["", "A"].texts == ("B",)
    unseen(po, 'msgid "A"\nmsgstr "C"\n')
    assert load_catalogue("es", tmp_path)["", "A"].texts == ("C",)


def test_a_form_field_inside_a_lent_panel_is_there_for_every_patient() -> None:
    def words(text: str) -> b.Runs:
        return (b.Run(text),)

    asked = b.CheckItem(words("Are you well?"), "yes_no", ("Yes", "No"))
    page = b.Furniture("Form", "D-1", "1", "A. E.", "Clinic", "1", "{page} of {pages}")
    form = b.Document(
        "handout", "Form", "en", False, "A4", 12.0, page,
        (b.Heading(1, words("Form")), b.Panel("info", words("Today"), (asked,))), fillable=True,
    )  # fmt: skip
    first = compose(form).pdf
    assert [compose(form).pdf for _ in range(2)] == [first, first]
