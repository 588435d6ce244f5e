"""Files of a clinic edited while packs are made: no pack tells of others than it was made from."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from batch_examples import DIARY, jobs_of, order_for
from built_packs import DEMOS

from docbuilder.errors import ExitCode, InputFault
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.pack import desk as desk_module
from docbuilder.pack.batch import build_many, build_one
from docbuilder.pack.build import make_pack
from docbuilder.pack.desk import Desk
from docbuilder.pack.workers import worker_pool
from docbuilder.paths import shipped

(COMMON,) = (path for path in DEMOS if path.stem == "urgency-tibial-en")
_HEAD = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=UTF-8\\n"\n\n'
OWN = {
    "locales/en/LC_MESSAGES/docbuilder.po": _HEAD + 'msgid "Notes"\nmsgstr "Remarks"\n',
    "templates/diary/document.md.j2": (shipped("templates") / "diary/document.md.j2").read_text(
        "utf-8"
    ),
}
EDITS: dict[str, tuple[str, Callable[[bytes], bytes]]] = {
    "a translation": (
        "locales/en/LC_MESSAGES/docbuilder.po",
        lambda data: data.replace(b"Remarks", b"Observed"),
    ),
    "a template": ("templates/diary/document.md.j2", lambda data: data + b"{# later #}\n"),
    "a unit": (
        "units/demo-duo.yaml",
        lambda data: data.replace(b"hours_of_use: ", b"hours_of_use: 1"),
    ),
    "the logo": ("logo.png", lambda data: data + b"\0"),
}


def clinic(folder: Path) -> Path:
    shutil.copytree(demo_clinic_folder(), folder)
    for name, text in OWN.items():
        (folder / name).parent.mkdir(parents=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize("what", EDITS)
def test_edit_while_a_pack_is_made_refuses_it_and_the_next_run_builds_it(
    what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The edit comes after the digests were taken, before the files are read for the pages."""
    own, out = clinic(tmp_path / "clinic"), tmp_path / "out"
    name, edit = EDITS[what]
    before = (own / name).read_bytes()
    assert edit(before) != before

    def edited(*given: Any) -> Any:
        (own / name).write_bytes(edit(before))
        return make_pack(*given)

    order, (job,) = order_for(out, own), jobs_of([COMMON])
    monkeypatch.setattr(desk_module, "make_pack", edited)
    result = build_one(order, job)
    monkeypatch.undo()
    assert (result.status, result.exit_code) == ("refused", ExitCode.BAD_INPUT)
    assert "changed while packs were made" in str(result.issues[0])
    assert "run the same command again" in result.issues[0].hint
    assert not list(out.glob("pack_*"))
    # The same desk goes on refusing; a new run takes the files as they are now.
    assert build_one(order, job).status == "refused"
    again = build_one(order_for(out, own), job)
    assert again.status == "built"
    assert again.pack != result.pack


def test_file_taken_away_or_laid_beside_is_a_change_too(tmp_path: Path) -> None:
    for name in OWN:
        own = clinic(tmp_path / name.partition("/")[0])
        desk = Desk(own)
        prepared = desk.prepare(COMMON, DIARY)
        desk.make(prepared, DIARY)
        shutil.rmtree(own / name.partition("/")[0])
        with pytest.raises(InputFault, match="changed while packs were made"):
            desk.make(prepared, DIARY)
        bare = Desk(own)
        prepared = bare.prepare(COMMON, DIARY)
        (own / name).parent.mkdir(parents=True)
        (own / name).write_text(OWN[name], encoding="utf-8")
        with pytest.raises(InputFault, match="changed while packs were made"):
            bare.make(prepared, DIARY)


def test_work_on_another_language_stops_no_pack(tmp_path: Path) -> None:
    own = clinic(tmp_path / "clinic")
    desk = Desk(own)
    prepared = desk.prepare(COMMON, DIARY)
    assert desk.state  # takes the digests of all languages
    other = own / "locales/es/LC_MESSAGES/docbuilder.po"
    other.parent.mkdir(parents=True)
    other.write_text(_HEAD + 'msgid "Notes"\nmsgstr "Apuntes"\n', encoding="utf-8")
    assert desk.make(prepared, DIARY).id == prepared.id


@pytest.mark.parametrize("name", ["clinic.yaml", "locales/en/LC_MESSAGES/docbuilder.po"])
def test_worker_that_finds_other_files_than_the_batch_began_with_builds_nothing(
    name: str, tmp_path: Path
) -> None:
    own, out = clinic(tmp_path / "clinic"), tmp_path / "out"
    order = order_for(out, own)
    path = own / name
    path.write_bytes(
        path.read_bytes().replace(b"555-0142", b"555-0143").replace(b"Remarks", b"Observed")
    )
    with worker_pool(1) as pool:
        (result,) = build_many(jobs_of([COMMON]), order, pool)
        assert "changed while packs were made" in str(result.issues[0])
        (result,) = build_many(jobs_of([COMMON]), order_for(out, own), pool)
        assert result.status == "built"


def test_other_holidays_give_another_pack(tmp_path: Path) -> None:
    """The clinic's file names the list of holidays; the list alone is edited."""
    own = clinic(tmp_path / "clinic")
    with (own / "clinic.yaml").open("a", encoding="utf-8") as stream:
        stream.write("holidays_file: days.yaml\n")
    ids = {}
    for day in ("2026-12-09", "2026-12-14", "2026-12-09"):
        (own / "days.yaml").write_text(f"holidays: [{day}]\n", encoding="utf-8")
        desk = Desk(own)
        prepared = desk.prepare(COMMON, DIARY)
        assert day not in {str(one.day) for one in prepared.plan.schedule.sessions}
        manifest = json.loads(desk.make(prepared, DIARY).files[-1].data)
        assert manifest["inputs"]["holidays"]
        assert ids.setdefault(day, prepared.id) == prepared.id
    assert len(set(ids.values())) == 2
