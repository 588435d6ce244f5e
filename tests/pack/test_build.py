"""The pack on disk is what the prescription says, read back by readers that are not ours."""

from __future__ import annotations

import hashlib
import json
import os
import re
import socket
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pikepdf
import pymupdf
import pytest
from babel.dates import format_date, format_skeleton
from built_packs import DEMOS, complete_tags, desk, made, makeable
from click.testing import CliRunner

from docbuilder.cli.main import main
from docbuilder.errors import ExitCode, InputFault, Refused
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.model.message import Quantity
from docbuilder.pack.build import BuildOptions, Pack
from docbuilder.pack.manifest import BuiltFile

CASES = [
    pytest.param(source, tag, id=f"{source.stem}-{tag}")
    for source in makeable()
    for tag in complete_tags()
]
TIBIAL = next(path for path in DEMOS if path.stem == "urgency-tibial-en")
REFUSED = next(path for path in DEMOS if path.stem == "pelvic-pain-refused")
ARABIC_INDIC = str.maketrans("0123456789", "٠١٢٣٤٥٦٧٨٩")
INVISIBLE = re.compile("[\u200e\u200f\u061c\u202a-\u202e\u2066-\u2069]")
LOCALES = {"en": "en_US", "es": "es_US", "ar": "ar"}


def papers(pack: Pack) -> list[BuiltFile]:
    return [file for file in pack.files if file.name.endswith(".pdf")]


def paper(pack: Pack, kind: str) -> BuiltFile:
    return next(file for file in papers(pack) if file.kind == kind)


def words_of(data: bytes) -> str:
    """Return all text of a PDF as pymupdf reads it, spaces made one."""
    with pymupdf.open("pdf", data) as document:
        text = "\n".join(page.get_text() for page in document)
    return " ".join(INVISIBLE.sub("", text).replace("\u00a0", " ").split())


def squeezed(text: str) -> str:
    return "".join(INVISIBLE.sub("", text).split())


def stands(told: str, text: str) -> bool:
    """Find *told* although the reader turns some right-to-left lines or digits round.

    It orders characters by their place on the page, and guesses at mixed lines.
    """
    turned = re.sub("[٠-٩]+", lambda digits: digits[0][::-1], text)
    return any(told in one for one in (text, turned, text[::-1], turned[::-1]))


def manifest_of(pack: Pack) -> dict[str, object]:
    return json.loads(next(file.data for file in pack.files if file.name == "pack.json"))


def test_five_demo_prescriptions_can_be_made_and_one_is_refused() -> None:
    assert len(makeable()) == 5
    assert REFUSED not in makeable()


@pytest.mark.parametrize(("source", "tag"), CASES)
def test_manifest_tells_each_file_as_it_is(source: Path, tag: str) -> None:
    pack = made(source, tag)
    listed = {entry["name"]: entry for entry in manifest_of(pack)["files"]}
    assert set(listed) == {file.name for file in pack.files} - {"pack.json"}
    for file in pack.files:
        if file.name == "pack.json":
            continue
        entry = listed[file.name]
        assert entry["sha256"] == hashlib.sha256(file.data).hexdigest()
        assert entry["bytes"] == len(file.data)
        if file.name.endswith(".pdf"):
            with pymupdf.open("pdf", file.data) as document:
                assert entry["pages"] == document.page_count == file.pages


@pytest.mark.parametrize(("source", "tag"), CASES)
def test_checklist_lists_the_papers_with_their_pages(source: Path, tag: str) -> None:
    pack = made(source, tag)
    with pymupdf.open("pdf", paper(pack, "checklist").data) as document:
        rows = [line.split() for page in document for line in _lines(page)]
    names = {"handout": "Handout", "consent": "Consent", "diary": "Diary"}
    for file in papers(pack):
        if file.kind == "checklist":
            continue
        told = [row for row in rows if row[0] == names[file.kind] and str(file.pages) in row]
        assert told, (file.kind, file.pages)


def _lines(page: pymupdf.Page) -> list[str]:
    """Return the words of a page line by line, as they stand on the paper."""
    lines: dict[int, list[tuple[float, str]]] = {}
    for x, y, _, _, word, *_ in page.get_text("words"):
        lines.setdefault(round(y / 3), []).append((x, word))
    return [" ".join(word for _, word in sorted(line)) for line in lines.values()]


@pytest.mark.parametrize(("source", "tag"), CASES)
def test_settings_dates_and_phone_are_read_back(source: Path, tag: str) -> None:
    """What the prescription says stands in the handout as a reader of PDFs finds it."""
    pack = made(source, tag)
    plan, clinic = pack.plan, desk().clinic
    text = squeezed(words_of(paper(pack, "handout").data))
    for setting in plan.settings:
        if isinstance(setting.settable, Quantity) and setting.settable.unit in ("Hz", "us"):
            unit = "Hz" if setting.settable.unit == "Hz" else "\u00b5s"
            value = format(setting.settable.value.normalize(), "f")
            assert f"{value}{unit}" in text, setting.name
    assert squeezed(clinic.phone) in text
    for day in (plan.schedule.starts_on, *plan.schedule.reviews):
        told = [
            format_date(day, style, locale=LOCALES[tag]) for style in ("full", "long", "medium")
        ]
        if tag == "ar" and clinic.digits.get("ar") == "native":
            told = [one.translate(ARABIC_INDIC) for one in told]
        if tag == "ar":  # the reader parts the year from its line: day with month, and year
            told = [told[1].rpartition(" ")[0]]
            year = str(day.year).translate(ARABIC_INDIC)
            assert stands(year, text) or stands(str(day.year), text)
        assert any(stands(squeezed(one), text) for one in told), (day, told)


@pytest.mark.parametrize(("source", "tag"), CASES)
def test_every_session_stands_in_the_diary(source: Path, tag: str) -> None:
    pack = made(source, tag)
    text = squeezed(words_of(paper(pack, "diary").data))
    native = tag == "ar" and desk().clinic.digits.get("ar") == "native"
    for session in pack.plan.schedule.sessions:
        told = format_skeleton("MMMEd", session.day, locale=LOCALES[tag])
        told = told.translate(ARABIC_INDIC) if native else told
        assert stands(squeezed(told), text), told


@pytest.mark.parametrize(("source", "tag"), CASES)
def test_nothing_outside_the_pages_tells_who_the_patient_is(source: Path, tag: str) -> None:
    """File names, manifest, calendar and PDF metadata are safe to list and to share."""
    pack = made(source, tag)
    patient = pack.plan.prescription.patient
    secrets = [patient.name, *patient.name.split(), patient.record_number]
    if patient.born:
        secrets += [patient.born.isoformat(), f"{patient.born:%Y%m%d}", f"{patient.born:%d/%m/%Y}"]
    secrets += [name for name in (patient.guardian_name, patient.interpreter_name) if name]
    places = {
        "folder": pack.id,
        "names": " ".join(file.name for file in pack.files),
        "manifest": next(file.data for file in pack.files if file.name == "pack.json").decode(),
        "calendar": next(file.data for file in pack.files if file.name.endswith(".ics")).decode(),
    }
    for file in papers(pack):
        with pikepdf.open(_stream(file.data)) as pdf:
            places[f"{file.name} info"] = repr(dict(pdf.docinfo))
            xmp = pdf.Root.get("/Metadata")
            places[f"{file.name} xmp"] = xmp.read_bytes().decode() if xmp else ""
            places[f"{file.name} outline"] = " ".join(_titles(pdf))
            assert not pdf.attachments
    for place, text in places.items():
        for secret in secrets:
            found = re.search(rf"(?<!\w){re.escape(secret)}(?!\w)", text, re.IGNORECASE)
            assert not found, f"{secret} in {place}"


def _stream(data: bytes) -> object:
    from io import BytesIO

    return BytesIO(data)


def _titles(pdf: pikepdf.Pdf) -> list[str]:
    with pdf.open_outline() as outline:
        waiting, titles = list(outline.root), []
        while waiting:
            item = waiting.pop()
            titles.append(str(item.title))
            waiting += item.children
    return titles


def test_secrets_would_be_found_in_the_pages() -> None:
    """The search above can fail: the same patient is on the pages, as they must be."""
    pack = made(TIBIAL, "en")
    text = words_of(paper(pack, "consent").data)
    assert pack.plan.prescription.patient.record_number in text
    assert pack.plan.prescription.patient.name in text


@pytest.mark.parametrize("tag", complete_tags())
def test_rebuild_elsewhere_gives_the_same_bytes(tag: str, tmp_path: Path) -> None:
    """A fresh process, another hash seed, another working directory, another locale."""
    pack = made(TIBIAL, tag)
    away = tmp_path / "away"
    away.mkdir()
    environment = {
        **os.environ,
        "PYTHONHASHSEED": "4711",
        "TZ": "Pacific/Auckland",
        "LC_ALL": "C",
        "LANG": "C",
    }
    subprocess.run(
        [sys.executable, "-m", "docbuilder", "build", str(TIBIAL), "--out", "out",
         "--language", tag],
        cwd=away, env=environment, check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    folder = away / "out" / f"pack_{pack.id}"
    assert sorted(path.name for path in folder.iterdir()) == sorted(f.name for f in pack.files)
    for file in pack.files:
        assert (folder / file.name).read_bytes() == file.data, file.name


def test_any_change_of_the_prescription_changes_the_id(tmp_path: Path) -> None:
    first = desk().prepare(TIBIAL, BuildOptions()).id
    text = TIBIAL.read_text(encoding="utf-8")
    other = tmp_path / "other.yaml"
    other.write_text(text, encoding="utf-8")
    assert desk().prepare(other, BuildOptions()).id == first  # the name does not count
    other.write_text(text + "# a remark\n", encoding="utf-8")
    assert desk().prepare(other, BuildOptions()).id != first
    assert desk().prepare(TIBIAL, BuildOptions(documents=("diary",))).id != first
    assert desk().prepare(TIBIAL, BuildOptions(languages=("es",))).id != first
    assert desk().prepare(TIBIAL, BuildOptions(fillable=True)).id != first


def test_only_the_catalogues_that_print_count(tmp_path: Path) -> None:
    """Work on one language leaves the packs of the others as they are."""
    from shutil import copytree

    from docbuilder.pack.desk import Desk

    clinic = tmp_path / "clinic"
    copytree(demo_clinic_folder(), clinic)
    before = Desk(clinic).prepare(TIBIAL, BuildOptions()).id
    for tag, same in (("pl", True), ("en", False)):
        catalogue = clinic / "locales" / tag / "LC_MESSAGES" / "docbuilder.po"
        catalogue.parent.mkdir(parents=True)
        catalogue.write_text('msgid "Stop"\nmsgstr "Halt"\n', encoding="utf-8")
        assert (Desk(clinic).prepare(TIBIAL, BuildOptions()).id == before) is same, tag


def test_build_never_calls_the_network(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a socket was asked for")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    with pytest.raises(AssertionError, match="a socket"):
        socket.create_connection(("192.0.2.1", 80))
    result = CliRunner().invoke(main, ["build", str(TIBIAL), "--out", str(tmp_path / "out")])
    assert result.exit_code == ExitCode.BUILT, result.output


def test_no_network_in_a_fresh_process(tmp_path: Path) -> None:
    """Imports too: the audit hook sees every socket from the first line on."""
    child = (
        "import sys\n"
        "def watch(event, arguments):\n"
        "    if event.startswith('socket.'): raise AssertionError(event)\n"
        "sys.addaudithook(watch)\n"
        "from docbuilder.cli.main import main\n"
        f"main(['build', {str(TIBIAL)!r}, '--out', {str(tmp_path / 'out')!r}])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", child], capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == ExitCode.BUILT, done.stderr


def test_override_of_screening_prints_on_checklist_and_manifest(tmp_path: Path) -> None:
    text = REFUSED.read_text(encoding="utf-8")
    stops = [
        issue.field
        for issue in _refusal(REFUSED).issues
        if issue.field.startswith(("screening.", "derived.", "notice."))
    ]
    assert stops
    why = "The cardiology clinic agreed in writing on this day"
    reasons = "\nreasons:\n" + "".join(
        f'  - about: {code}\n    text: "{why}"\n    name: Kim Decider\n' for code in stops
    )
    source = tmp_path / "rx.yaml"
    source.write_text(text + reasons, encoding="utf-8")
    pack = _made_anew(source)
    checklist = squeezed(words_of(paper(pack, "checklist").data))
    assert squeezed(why) in checklist
    assert "KimDecider" in checklist
    told = manifest_of(pack)["reasons"]
    assert {reason["about"] for reason in told} == set(stops)
    assert all(reason["reason"] == why for reason in told)
    flags = {flag["code"]: flag["severity"] for flag in manifest_of(pack)["flags"]}
    assert set(stops) <= set(flags)


def _refusal(source: Path) -> Refused:
    with pytest.raises(Refused) as told:
        desk().plan(source)
    return told.value


def _made_anew(source: Path) -> Pack:
    options = BuildOptions()
    return desk().make(desk().prepare(source, options), options)


def test_a_consent_form_names_a_handout_of_its_own_pack_or_none() -> None:
    """evidence.md 5, item 18: copies given; a handout built by itself has another id."""
    for documents, named in ((("handout", "consent"), True), (("consent",), False)):
        options = BuildOptions(documents=documents)
        pack = desk().make(desk().prepare(TIBIAL, options), options)
        text = words_of(paper(pack, "consent").data)
        ids = set(re.findall(r"H-[0-9A-Z]{5}-[0-9A-Z]{5}-EN", text))
        assert ids == ({paper(pack, "handout").document_id} if named else set())
        assert "I have a copy of this form, and the handout" in text


def test_calendar_and_papers_agree_on_the_last_day() -> None:
    pack = made(TIBIAL, "en")
    calendar = next(file.data for file in pack.files if file.kind == "calendar").decode()
    last = pack.plan.schedule.sessions[-1].day
    assert calendar.count("-session-") == len(pack.plan.schedule.sessions)
    assert f"{last:%Y%m%d}" in calendar


@pytest.mark.parametrize("tag", ["xx", "EN", "english"])
def test_unknown_language_is_a_bad_call(tag: str, tmp_path: Path) -> None:
    with pytest.raises(InputFault, match=tag):
        desk().build(TIBIAL, tmp_path / "out", BuildOptions(languages=(tag,)))
    assert not (tmp_path / "out").exists()


def test_standing_pack_is_refused_before_any_page_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk().build(TIBIAL, tmp_path, BuildOptions(documents=("diary",)))

    def refuse(*_: object) -> None:
        raise AssertionError("pages were made for nothing")

    monkeypatch.setattr("docbuilder.pack.desk.make_pack", refuse)
    with pytest.raises(InputFault, match="already there"):
        desk().build(TIBIAL, tmp_path, BuildOptions(documents=("diary",)))


def test_incomplete_language_is_refused_and_draft_is_marked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A catalogue with gaps cannot print; as a draft it can, but never consent."""
    monkeypatch.setattr("docbuilder.language.words.load_catalogue", lambda *_: {})
    source = next(path for path in makeable() if path.stem == "child-sacral-en")
    with pytest.raises(Refused, match="no Korean translation of"):
        desk().build(source, tmp_path / "out", BuildOptions(languages=("ko",)))
    assert not (tmp_path / "out").exists()
    draft = BuildOptions(languages=("es",), documents=("handout",), draft=True)
    pack = desk().make(desk().prepare(source, draft), draft)
    assert "DRAFT" in words_of(paper(pack, "handout").data)
    consent = BuildOptions(languages=("es",), documents=("consent",), draft=True)
    with pytest.raises(Refused, match="consent"):
        desk().build(source, tmp_path / "out", consent)


def test_quantities_of_the_plan_are_exact() -> None:
    """Guards the reading test above: values are Decimal, so 12.5 never turns into 12.50."""
    plan = made(TIBIAL, "en").plan
    values = [s.settable.value for s in plan.settings if isinstance(s.settable, Quantity)]
    assert values
    assert all(isinstance(value, Decimal) for value in values)


def test_a_page_that_hides_words_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page lint stands between the pages and the pack: nothing hurting is handed out."""
    monkeypatch.setattr("docbuilder.layout.lint.LEAST_TYPE_PT", 12.5)
    with pytest.raises(Refused, match="small type"):
        desk().make(desk().prepare(DEMOS[0], BuildOptions()), BuildOptions())
