"""Every command, called in process: exit codes, reports, and nothing written on refusal."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from docbuilder.cli.main import main
from docbuilder.errors import ExitCode, InputFault
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.unit import read_unit
from docbuilder.language.registry import known_languages
from docbuilder.pack.bugs import bug_line

DEMO = demo_clinic_folder() / "prescriptions"
GOOD = DEMO / "urgency-tibial-en.yaml"
REFUSED = DEMO / "pelvic-pain-refused.yaml"
BAD = sorted((Path(__file__).parents[1] / "inputs" / "cases" / "bad").glob("*"))
ISSUE_KEYS = {"file", "line", "field", "found", "allowed", "hint"}


def run(*arguments: object) -> Result:
    return CliRunner().invoke(
        main, [str(argument) for argument in arguments], prog_name="docbuilder"
    )


def every_command(
    group: click.Group = main, path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        yield (*path, name), command
        if isinstance(command, click.Group):
            yield from every_command(command, (*path, name))


COMMANDS = [pytest.param(path, command, id=" ".join(path)) for path, command in every_command()]


def test_the_commands_are_those_that_are_documented() -> None:
    names = {path[0] for path, _ in every_command()}
    assert names >= {
        "build", "check", "demo", "drawings", "explain", "languages", "new", "protocols",
        "readability", "translations",
    }  # fmt: skip


@pytest.mark.parametrize(("path", "command"), COMMANDS)
def test_help_says_what_it_does_and_gives_an_example(
    path: tuple[str, ...], command: click.Command
) -> None:
    result = run(*path, "--help")
    assert result.exit_code == 0
    assert result.output.startswith("Usage: ")
    assert command.get_short_help_str(200)
    if not isinstance(command, click.Group):
        text = " ".join(result.output.split())
        assert f"docbuilder {' '.join(path)}" in text.partition("Example")[2]
    for parameter in command.params:
        if isinstance(parameter, click.Option) and not isinstance(parameter.type, click.Choice):
            assert parameter.help, f"{path}: {parameter.name} has no help"


def test_top_help_documents_examples_completion_and_exit_codes() -> None:
    for flag in ("--help", "-h"):
        output = run(flag).output
        assert "docbuilder build rx.yaml --out packs" in output
        assert "bash_source" in output
        assert "zsh_source" in output
        assert "fish_source" in output
        assert "0 built, 1 refused, 2 bad call or input, 3 a bug" in output


def test_top_help_lists_the_commands_in_the_order_of_the_work_and_cuts_no_sentence() -> None:
    output = run("--help").output
    names = ["demo", "new", "check", "build", "batch", "explain"]
    places = [output.index(f"\n  {name} ") for name in names]
    assert places == sorted(places)
    for group in ((), ("translations",)):
        listed = run(*group, "--help").output.partition("Commands:")[2].partition("Examples")[0]
        assert listed.count("\n") > 5
        assert "...\n" not in listed


def test_version_is_that_of_the_package() -> None:
    from docbuilder import __version__

    assert run("--version").output.strip() == f"docbuilder, version {__version__}"


@pytest.mark.parametrize(
    "arguments",
    [
        ["bild", "rx.yaml"],
        ["build"],
        ["build", GOOD],
        ["build", GOOD, "--outt", "x"],
        ["check"],
        ["new"],
        ["explain"],
        ["--no-such-option"],
    ],
    ids=lambda arguments: " ".join(str(item).rpartition("/")[2] for item in arguments),
)
def test_wrong_call_ends_with_2_and_usage(arguments: list[object]) -> None:
    result = run(*arguments)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "Usage: docbuilder" in result.stderr
    assert "Error: " in result.stderr
    assert result.stdout == ""


# build


def test_build_prints_id_and_folder_so_that_the_pack_is_found_again(tmp_path: Path) -> None:
    result = run("build", GOOD, "--out", tmp_path / "out")
    assert result.exit_code == ExitCode.BUILT, result.output
    found = re.search(r"built pack ([0-9A-Z]{10}) -> (\S+)", result.stdout)
    assert found
    folder = Path(found[2])
    assert folder == tmp_path / "out" / f"pack_{found[1]}"
    assert json.loads((folder / "pack.json").read_bytes())["pack"] == found[1]
    for path in folder.iterdir():
        assert path.name in result.stdout


def test_papers_of_the_invented_clinic_never_come_without_a_word(tmp_path: Path) -> None:
    """Its telephone number would be the one that a patient calls."""
    for command in (["build", GOOD, "--out", tmp_path / "out"], ["check", GOOD]):
        without = run(*command, "--documents", "diary")
        assert "CAUTION: no --clinic was given" in without.stderr
        named = run(*command, "--documents", "diary", "--replace" if "--out" in command else
                    "--json", "--clinic", demo_clinic_folder())  # fmt: skip
        assert (named.exit_code, named.stderr) == (ExitCode.BUILT, "")


def test_build_tells_the_same_as_json(tmp_path: Path) -> None:
    result = run("build", GOOD, REFUSED, "--out", tmp_path / "out", "--json")
    assert result.exit_code == ExitCode.REFUSED
    report = json.loads(result.stdout)
    assert result.stderr == ""
    assert set(report) == {"schema", "exit_code", "packs"}
    assert report["exit_code"] == ExitCode.REFUSED
    built, refused = report["packs"]
    assert built["status"] == "built"
    assert built["issues"] == []
    assert Path(built["folder"]).is_dir()
    assert {one["name"] for one in built["files"]} == {
        path.name for path in Path(built["folder"]).iterdir()
    }
    assert all(set(flag) == {"severity", "code", "text"} for flag in built["flags"])
    assert refused["status"] == "refused"
    assert refused["folder"] is None
    assert refused["issues"]
    assert all(set(issue) == ISSUE_KEYS for issue in refused["issues"])


def test_flags_are_sentences_not_data_structures(tmp_path: Path) -> None:
    text = GOOD.read_text(encoding="utf-8").replace("pulse_width_us: 200", "pulse_width_us: 185")
    source = tmp_path / "rx.yaml"
    source.write_text(text, encoding="utf-8")
    output = run("check", source).output
    assert "185" in text
    assert "Prescribed: 185\u00a0\u00b5s" in output
    assert "Quantity(" not in output
    assert "Decimal(" not in output
    assert "%(" not in output


def test_one_bad_file_never_stops_the_others_and_the_worst_counts(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("patient: [", encoding="utf-8")
    result = run("build", bad, GOOD, REFUSED, "--out", tmp_path / "out", "--documents", "diary")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert len(list((tmp_path / "out").iterdir())) == 1
    assert "1 done, 2 refused" in result.stdout
    assert f"{bad}: refused, nothing written" in result.stderr


def test_nothing_is_written_on_refusal(tmp_path: Path) -> None:
    out = tmp_path / "out"
    result = run("build", REFUSED, *BAD, "--out", out, "--json")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert not out.exists()
    refused, *bad = json.loads(result.stdout)["packs"]
    assert refused["exit_code"] == ExitCode.REFUSED
    assert len(bad) == len(BAD) > 50
    for one in bad:
        assert one["exit_code"] == ExitCode.BAD_INPUT, one["source"]
        assert all(issue["found"] and issue["allowed"] for issue in one["issues"])
        assert {issue["file"] for issue in one["issues"]} == {one["source"]}


def test_no_bad_input_brings_a_traceback() -> None:
    result = run("check", *BAD)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert isinstance(result.exception, SystemExit)
    assert "Traceback" not in result.output
    assert "bug:" not in result.output
    assert result.stderr.count("refused, nothing written") == len(BAD)
    assert result.stdout == f"0 done, {len(BAD)} refused\n"


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda path: None, "no such file"),
        (lambda path: path.mkdir(), "a folder"),
        (lambda path: path.write_bytes(bytes(range(256))), "a binary file"),
        (lambda path: path.write_bytes(b""), "an empty file"),
        (lambda path: path.write_bytes(b"a: 1\n" * 400_000), "at most 1000000 bytes"),
        (lambda path: path.write_text("a: &a [x]\nb: *a\n"), "no anchors"),
        (lambda path: path.write_text("a: !!python/object:os.system x\n"), "no tags"),
        (lambda path: path.symlink_to(path), "levels of symbolic links"),
    ],
    ids=["missing", "folder", "binary", "empty", "large", "alias", "tag", "loop"],
)
def test_odd_files_are_told_in_words(make: object, told: str, tmp_path: Path) -> None:
    source = tmp_path / "rx.yaml"
    make(source)  # type: ignore[operator]
    result = run("build", source, "--out", tmp_path / "out")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert told in result.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("tag", ["xx", "English", "es_US", ""])
def test_unknown_language_tag_is_a_bad_call(tag: str, tmp_path: Path) -> None:
    result = run("build", GOOD, "--out", tmp_path / "out", "--language", tag)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert repr(tag) in result.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("kinds", ["leaflet", "handout;diary", "handout,leaflet", ",", "Handout"])
def test_unknown_document_is_a_bad_call(kinds: str, tmp_path: Path) -> None:
    result = run("build", GOOD, "--out", tmp_path / "out", "--documents", kinds)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "--documents" in result.stderr
    assert "handout, consent, diary, checklist" in result.stderr
    assert not (tmp_path / "out").exists()


def test_an_open_answer_holds_back_the_consent_form_alone(tmp_path: Path) -> None:
    source = tmp_path / "rx.yaml"
    source.write_text(GOOD.read_text("utf-8").replace("dvt: no", "dvt: unknown"), "utf-8")
    refused = run("check", source)
    assert refused.exit_code == ExitCode.REFUSED
    assert "screening.dvt: found unknown, with a consent form to print" in refused.stderr
    assert run("check", source, "--documents", "handout,diary,checklist").exit_code == 0


def test_chosen_documents_are_built_and_no_others(tmp_path: Path) -> None:
    result = run("build", GOOD, "--out", tmp_path, "--documents", " diary , handout,diary ")
    assert result.exit_code == ExitCode.BUILT, result.output
    (folder,) = tmp_path.iterdir()
    assert {path.name.split("_")[0] for path in folder.iterdir()} == {
        "handout", "diary", "sessions", "pack.json",
    }  # fmt: skip


def test_existing_pack_is_kept_unless_told(tmp_path: Path) -> None:
    order = ("build", GOOD, "--out", tmp_path, "--documents", "diary")
    assert run(*order).exit_code == ExitCode.BUILT
    (folder,) = tmp_path.iterdir()
    (folder / "note.txt").write_text("by hand")
    result = run(*order)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "a pack that is already there" in result.stderr
    assert "--replace" in result.stderr
    assert (folder / "note.txt").is_file()
    assert run(*order, "--replace").exit_code == ExitCode.BUILT
    assert not (folder / "note.txt").exists()
    assert [path.name for path in tmp_path.iterdir()] == [folder.name]


def test_folder_can_be_named_after_the_file(tmp_path: Path) -> None:
    result = run("build", GOOD, "--out", tmp_path, "--documents", "diary", "--name-by-file")
    assert result.exit_code == ExitCode.BUILT
    assert [path.name for path in tmp_path.iterdir()] == [GOOD.stem]
    assert re.search("pack [0-9A-Z]{10} -> ", result.stdout)


@pytest.mark.parametrize("out", ["/proc/docbuilder", "/dev/null/out", "\x1b[31m/\u202e"])
def test_place_that_cannot_be_written_is_told_for_each_file(out: str, tmp_path: Path) -> None:
    if "\x1b" in out:
        (tmp_path / "file").write_text("")
        out = str(tmp_path / "file" / out)
    result = run("build", GOOD, "--out", out, "--documents", "diary")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "--out: found" in result.stderr
    assert "hint: give another --out" in result.stderr
    assert "\x1b" not in result.stderr.split("refused, nothing written")[1]


@pytest.mark.parametrize("clinic", ["missing", "empty", "file", "bad"])
def test_bad_clinic_folder_is_told_once_for_all_files(clinic: str, tmp_path: Path) -> None:
    folder = tmp_path / "clinic"
    if clinic in ("empty", "bad"):
        folder.mkdir()
    if clinic == "file":
        folder.write_text("")
    if clinic == "bad":
        (folder / "clinic.yaml").write_text("name: A\nterritory: 12\n")
    result = run("build", GOOD, GOOD, "--out", tmp_path / "out", "--clinic", folder)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "clinic" in result.stderr
    assert not (tmp_path / "out").exists()
    as_json = run("build", GOOD, "--out", tmp_path / "out", "--clinic", folder, "--json")
    report = json.loads(as_json.stdout)
    assert report["exit_code"] == ExitCode.BAD_INPUT
    assert all(set(issue) == ISSUE_KEYS for issue in report["issues"])


def test_many_faults_alike_are_counted_and_json_has_them_all(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("docbuilder.language.words.load_catalogue", lambda *_: {})
    result = run("check", GOOD, "--language", "ko")
    assert result.exit_code == ExitCode.REFUSED
    assert re.search(r"\d+ more where .+ is allowed; --json tells all", result.stderr)
    assert result.stderr.count("translation of") == 5
    report = json.loads(run("check", GOOD, "--language", "ko", "--json").stdout)
    assert len(report["packs"][0]["issues"]) > 50


# check


def test_check_writes_nothing_and_tells_flags(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = run("check", GOOD)
    assert not list(tmp_path.iterdir())
    assert result.exit_code == ExitCode.BUILT
    assert "fine" in result.stdout
    assert "CAUTION screening.metal_implant: " in result.stdout


def test_check_finds_what_build_would_refuse(tmp_path: Path) -> None:
    """A letter that no font has is found when the pages are made, not before."""
    text = GOOD.read_text(encoding="utf-8").replace("name: Ada Example", "name: Ada \U00013000")
    assert "\U00013000" in text
    source = tmp_path / "rx.yaml"
    source.write_text(text, encoding="utf-8")
    checked = run("check", source)
    built = run("build", source, "--out", tmp_path / "out")
    assert checked.exit_code == built.exit_code == ExitCode.REFUSED
    assert not (tmp_path / "out").exists()
    assert "U+13000" in checked.stderr


@pytest.mark.parametrize(
    ("old", "new", "told", "again"),
    [
        ("side: left", "side: right", "side: left -> right", "The place of the pads has changed."),
        ("epilepsy: no", "epilepsy: yes", "", "A risk of this patient is new or has changed."),
        ("DEMO-1001", "DEMO-1009", "", "The papers are for another person."),
        ("prescribed_on: 2026-12-01", "prescribed_on: 2027-06-02", "", "The period for which"),
        ("rate_hz: 20", "rate_hz: 10", "settings.pulse_rate_hz.settable: 20 Hz -> 10 Hz", ""),
        ("2027-03-02", "2027-03-03", "schedule.reviews.2: 2027-03-02 -> 2027-03-03", ""),
        ("Sit through", "Sit all through", "nothing changed, and consent still counts", ""),
    ],
)
def test_check_since_tells_whether_consent_still_counts(
    old: str, new: str, told: str, again: str, tmp_path: Path
) -> None:
    """clinical.md: renew when site, current, indication or a material risk changes, or in time."""
    text = GOOD.read_text("utf-8")
    assert old in text
    if new.startswith("prescribed_on"):
        text = text.replace("2026-12-07", "2027-06-07").replace(
            "  skip: [2026-12-25, 2027-01-01]\n", ""
        )
        text = text.replace("[2027-01-19, 2027-03-02]", "[2027-07-20]")
    source = tmp_path / "changed.yaml"
    source.write_text(text.replace(old, new), encoding="utf-8")
    result = run("check", source, "--since", GOOD)
    assert result.exit_code == ExitCode.BUILT, result.output
    assert told in result.stdout
    assert (f"CONSENT AGAIN: {again}" if again else "consent still counts") in result.stdout
    assert ("CONSENT AGAIN" in result.stdout) == bool(again)
    said = json.loads(run("check", source, "--since", GOOD, "--json").stdout)["packs"][0]["since"]
    assert bool(said["consent_again"]) == bool(again)


def test_check_since_takes_one_file() -> None:
    result = run("check", GOOD, GOOD, "--since", GOOD)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "--since: found 2 files" in result.stderr


# the rest


def test_demo_builds_and_leaves_a_report(tmp_path: Path) -> None:
    result = run("demo", "--out", tmp_path / "packs", "--json")
    report = json.loads(result.stdout)
    by_name = {Path(one["source"]).stem: one for one in report["packs"]}
    assert by_name["pelvic-pain-refused"]["status"] == "refused"
    assert by_name["urgency-tibial-en"]["status"] == "built"
    others = [one for name, one in by_name.items() if name != "pelvic-pain-refused"]
    built = all(one["status"] == "built" for one in others)
    assert result.exit_code == (ExitCode.BUILT if built else ExitCode.REFUSED)
    left = json.loads((tmp_path / "packs" / "report.json").read_text(encoding="utf-8"))
    assert str(tmp_path) not in json.dumps(left)
    again = run("demo", "--out", tmp_path / "packs", "--json")
    assert again.exit_code == ExitCode.BAD_INPUT


def test_demo_into_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    result = run("demo", "--out", tmp_path / "file")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "Traceback" not in result.output


def test_new_writes_a_starter_and_never_overwrites(tmp_path: Path) -> None:
    target = tmp_path / "rx.yaml"
    result = run("new", target)
    assert result.exit_code == 0
    assert f"docbuilder check {target}" in result.stdout
    assert "patient:" in target.read_text(encoding="utf-8")
    target.write_text("mine")
    result = run("new", target)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "nothing was overwritten" in result.stderr
    assert target.read_text() == "mine"
    link = tmp_path / "link.yaml"
    link.symlink_to(tmp_path / "elsewhere.yaml")
    assert run("new", link).exit_code == ExitCode.BAD_INPUT
    assert run("new", tmp_path / "no" / "folder.yaml").exit_code == ExitCode.BAD_INPUT


def test_new_unit_is_the_invented_one_until_name_and_source_are_written(tmp_path: Path) -> None:
    target = tmp_path / "model-b.yaml"
    assert run("new", "--unit", target).exit_code == ExitCode.BUILT
    with pytest.raises(InputFault) as caught:
        read_unit(target)
    assert [issue.field for issue in caught.value.issues] == ["name", "source"]
    text = target.read_text("utf-8")
    text = text.replace("\nname:\n", "\nname: Model B\n").replace(
        "\nsource:\n", "\nsource: manual\n"
    )
    target.write_text(text, encoding="utf-8")
    ours = read_unit(demo_clinic_folder() / "units" / "demo-duo.yaml")
    assert read_unit(target) == replace(ours, id="model-b", name="Model B", source="manual")
    assert run("new", "--unit", "--csv", tmp_path / "x").exit_code == ExitCode.BAD_INPUT
    assert run("new", "--unit", target).exit_code == ExitCode.BAD_INPUT


def test_starter_asks_each_question_in_words(tmp_path: Path) -> None:
    """This test ensures that a clinician reads a question, not a code, beside each answer."""
    run("new", tmp_path / "rx.yaml")
    lines = (tmp_path / "rx.yaml").read_text(encoding="utf-8").splitlines()
    for rule in read_knowledge(None).screening:
        (line,) = (line for line in lines if line.startswith(f"  {rule.code}:"))
        assert line.endswith(f"# {rule.question.msgid}")


def test_faults_of_an_untouched_starter_come_in_the_order_of_the_file(tmp_path: Path) -> None:
    run("new", tmp_path / "rx.yaml")
    told = re.findall(r"rx\.yaml:(\d+): ", run("check", tmp_path / "rx.yaml").stderr)
    assert len(told) > 10
    assert told == sorted(told, key=int)


def test_starter_is_refused_until_filled(tmp_path: Path) -> None:
    target = tmp_path / "rx.yaml"
    run("new", target)
    result = run("check", target)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "patient.name" in result.stderr


def test_languages_lists_all_with_direction_and_state() -> None:
    output = run("languages").stdout
    rows = json.loads(run("languages", "--json").stdout)["languages"]
    assert len(rows) == len(output.splitlines()) == len(known_languages())
    arabic = next(row for row in rows if row["tag"] == "ar")
    assert arabic["right_to_left"] is True
    english = next(row for row in rows if row["tag"] == "en")
    assert english["usable"]
    assert english["review"] == "source"
    for row in rows:
        assert row["usable"] == (row["translated"] == row["messages"])


def test_explain_follows_a_figure_and_suggests_names() -> None:
    output = run("explain", GOOD, "settings.pulse_rate_hz").stdout
    assert output.startswith("settings.pulse_rate_hz")
    assert "\nsettings.pulse_width" not in output
    rows = json.loads(run("explain", GOOD, "--json").stdout)["figures"]
    assert all(row["mark"] for row in rows)
    result = run("explain", GOOD, "settings.pulse_rat_hz.prescribed")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "did you mean settings.pulse_rate_hz.prescribed?" in result.stderr
    assert len(result.stderr) < 400, "the beginnings of the names, not all three hundred"


def test_protocols_show_ranges_sources_and_review_dates() -> None:
    rows = json.loads(run("protocols", "--json").stdout)["protocols"]
    text = run("protocols").stdout
    assert {row["placement"] for row in rows} == {"tibial", "sacral", "lower_abdomen"}
    for row in rows:
        assert f"{row['indication']}, {row['placement']}: " in text
        for span in row["ranges"].values():
            assert float(span["low"]) <= float(span["start"]) <= float(span["high"])
            assert span["source"]["mark"]
            assert span["source"]["reviewed_on"]
    one = json.loads(run("protocols", "urge_leakage", "--json").stdout)["protocols"]
    assert {row["indication"] for row in one} == {"urge_leakage"}
    result = run("protocols", "urge_leak")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "did you mean urge_leakage?" in result.stderr


def test_drawings_are_written_in_words_and_never_over_others(tmp_path: Path) -> None:
    result = run("drawings", "--out", tmp_path / "svg")
    assert result.exit_code == 0, result.output
    files = {path.name: path.read_text() for path in (tmp_path / "svg").iterdir()}
    assert len(files) == 8
    assert "Inner ankle bone" in files["tibial_left_above_first_en.svg"]
    assert "Your left leg" in files["tibial_left_above_first_en.svg"]
    assert "Navel" in files["lower_abdomen_en.svg"]
    again = run("drawings", "--out", tmp_path / "svg")
    assert again.exit_code == ExitCode.BAD_INPUT
    assert run("drawings", "--out", tmp_path / "svg", "--replace").exit_code == 0
    one = run("drawings", GOOD, "--out", tmp_path / "one")
    assert one.exit_code == 0
    (path,) = (tmp_path / "one").iterdir()
    assert "Ada" not in path.name + path.read_text()
    assert run("drawings", "--out", tmp_path / "x", "--language", "xx").exit_code == 2
    assert not (tmp_path / "x").exists()


def test_readability_of_a_prescription_and_where_there_is_no_formula() -> None:
    result = run("readability", GOOD)
    assert result.exit_code == 0, result.output
    assert "Flesch-Kincaid grade" in result.stdout


# faults of ours


def test_bug_is_one_line_without_any_value(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def break_down(*_: object, **__: object) -> None:
        raise ValueError("Ada Example, DEMO-1001")

    monkeypatch.setattr("docbuilder.pack.desk.make_pack", break_down)
    result = run("build", GOOD, "--out", tmp_path / "out")
    assert result.exit_code == ExitCode.BROKEN
    assert re.search(r"found ValueError at desk\.py:\d+", result.stderr)
    assert "Ada" not in result.output
    assert "DEMO-1001" not in result.output
    monkeypatch.setattr("docbuilder.cli.knowledge.Desk.plan", break_down)
    result = run("explain", GOOD)
    assert result.exit_code == ExitCode.BROKEN
    assert "Ada" not in result.output
    assert "please report this line" in result.stderr


def test_disk_fault_outside_a_build_is_told_with_its_path(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(5, "Input/output error", "/a/file")

    monkeypatch.setattr("docbuilder.cli.knowledge.language_rows", refuse)
    result = run("languages")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "/a/file: file: found input/output error" in result.stderr


def test_bug_line_names_kind_and_place_only() -> None:
    assert bug_line(KeyError("Ada")) == "KeyError"
