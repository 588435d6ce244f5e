"""Lists for a batch: what a spreadsheet writes is read as it was meant, or refused."""

from __future__ import annotations

import csv
import doctest
import io
import re
from pathlib import Path

import pytest
import yaml

from docbuilder.errors import InputFault
from docbuilder.inputs import spreadsheet
from docbuilder.inputs.batch_columns import COLUMNS, csv_columns
from docbuilder.inputs.batch_list import BatchRow, read_batch_list
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.inputs.prescription import prescription_from, read_prescription
from docbuilder.inputs.spreadsheet import DateOrder
from docbuilder.inputs.yaml_file import YamlFile
from docbuilder.paths import data_folder

SCREENING = ("cardiac_device", "metal_implant")
ROW = {
    "appointment": "09:30",
    "prescribed_on": "2026-12-01",
    "patient.name": "Ada Example",
    "patient.record_number": "0042",
    "patient.language": "en",
    "indication": "urgency",
    "placement": "tibial",
    "side": "left",
    "device": "demo-duo",
    "schedule.start": "2026-12-07",
    "schedule.weekdays": "mon wed fri",
    "screening.cardiac_device": "no",
    "clinician.name": "Jordan Placeholder",
    "clinician.role": "Physiotherapist",
}


def written(rows: list[dict[str, str]], delimiter: str = ",", end: str = "\r\n") -> str:
    stream = io.StringIO()
    writer = csv.DictWriter(stream, list(rows[0]), delimiter=delimiter, lineterminator=end)
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue()


def read(
    tmp_path: Path, content: str | bytes, dates: DateOrder | None = None, name: str = "list.csv"
) -> list[BatchRow]:
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return list(read_batch_list(path, screening=SCREENING, dates=dates))


def prescription(row: BatchRow):  # type: ignore[no-untyped-def]
    assert isinstance(row.source, YamlFile), row.issues
    return prescription_from(row.source)


def test_row_reads_as_the_prescription_that_it_spells_out(tmp_path: Path) -> None:
    """The same values in CSV and in YAML, written by two other libraries, are one plan."""
    full = ROW | {
        "settings.pulse_rate_hz": "12.5",
        "schedule.skip": "2026-12-25 2027-01-01",
        "schedule.taper_sessions_per_week": "2 1",
        "patient.large_print": "true",
        "goal": "Sleep, and not get up; more than once",
        "reasons.1.about": "settings.pulse_rate_hz",
        "reasons.1.text": "Kept from the last course",
        "reasons.1.name": "Jordan Placeholder",
        "documents": "handout diary",
    }
    tree = {
        "prescribed_on": "2026-12-01",
        "patient": {"name": "Ada Example", "record_number": "0042", "language": "en",
                    "large_print": True},
        "indication": "urgency", "placement": "tibial", "side": "left", "device": "demo-duo",
        "settings": {"pulse_rate_hz": 12.5},
        "schedule": {"start": "2026-12-07", "weekdays": ["mon", "wed", "fri"],
                     "skip": ["2026-12-25", "2027-01-01"], "taper_sessions_per_week": [2, 1]},
        "screening": {"cardiac_device": "no"},
        "goal": "Sleep, and not get up; more than once",
        "documents": ["handout", "diary"],
        "reasons": [{"about": "settings.pulse_rate_hz", "text": "Kept from the last course",
                     "name": "Jordan Placeholder"}],
        "clinician": {"name": "Jordan Placeholder", "role": "Physiotherapist"},
    }  # fmt: skip
    other = tmp_path / "rx.yaml"
    other.write_text(yaml.safe_dump(tree, allow_unicode=True), encoding="utf-8")
    (row,) = read(tmp_path, written([full]))
    one, two = prescription(row), read_prescription(other)
    for name in (
        "patient", "indication", "placement", "side", "device", "settings", "schedule",
        "screening", "goal", "documents", "reasons", "clinician", "prescribed_on",
    ):  # fmt: skip
        assert getattr(one, name) == getattr(two, name), name
    assert row.appointment == "09:30"


def test_zeros_at_the_front_stay(tmp_path: Path) -> None:
    (row,) = read(tmp_path, written([ROW | {"patient.record_number": "000123"}]))
    assert prescription(row).patient.record_number == "000123"


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_spreadsheet_forms_of_csv_are_one(
    delimiter: str, mark: bytes, end: str, tmp_path: Path
) -> None:
    rows = [ROW, ROW | {"patient.name": "Äda, Ex; ample", "appointment": ""}]
    read_rows = read(tmp_path, mark + written(rows, delimiter, end).encode())
    assert [prescription(row).patient.name for row in read_rows] == [
        "Ada Example", "Äda, Ex; ample",
    ]  # fmt: skip


def test_separator_named_in_the_first_line_is_taken(tmp_path: Path) -> None:
    rows = read(tmp_path, "sep=;\r\n" + written([ROW], ";"))
    assert prescription(rows[0]).patient.name == "Ada Example"
    assert rows[0].label.endswith("list.csv:3")


@pytest.mark.parametrize("cell", ["01/12/2026", "1.12.2026", "13-12-2026", "31/12/2026"])
def test_date_that_could_be_read_two_ways_is_refused(cell: str, tmp_path: Path) -> None:
    """Also one that only fits one way: the column's next row may not."""
    (row,) = read(tmp_path, written([ROW | {"prescribed_on": cell, "appointment": "10:30"}]))
    assert row.source is None
    assert row.appointment == "10:30", "the cover list orders what was not built by time too"
    (issue,) = row.issues
    assert issue.field == "prescribed_on"
    assert "--dates day-first or month-first" in issue.hint


@pytest.mark.parametrize(
    ("order", "cell", "day"),
    [
        ("day-first", "01/12/2026", "2026-12-01"),
        ("month-first", "12/01/2026", "2026-12-01"),
        ("day-first", "1.12.2026", "2026-12-01"),
        ("month-first", "12-1-2026", "2026-12-01"),
        (None, "2026/12/01", "2026-12-01"),
        (None, "2026.12.1", "2026-12-01"),
        ("day-first", "2026-12-01", "2026-12-01"),
        ("day-first", "01.12.2026 00:00", "2026-12-01"),
        (None, "2026-12-01 00:00:00", "2026-12-01"),
    ],
)
def test_declared_and_plain_dates_are_read(
    order: DateOrder | None, cell: str, day: str, tmp_path: Path
) -> None:
    (row,) = read(tmp_path, written([ROW | {"prescribed_on": cell}]), order)
    assert prescription(row).prescribed_on.isoformat() == day


def test_date_against_the_declared_order_is_refused(tmp_path: Path) -> None:
    (row,) = read(tmp_path, written([ROW | {"schedule.start": "12/25/2026"}]), "day-first")
    assert row.source is None
    assert "not day-first" in row.issues[0].hint


@pytest.mark.parametrize("cell", ["46357", "Dec 1, 2026", "2026-13-01", "2026-02-30"])
def test_other_dates_are_refused_by_the_field_itself(cell: str, tmp_path: Path) -> None:
    (row,) = read(tmp_path, written([ROW | {"prescribed_on": cell}]), "day-first")
    with pytest.raises(InputFault, match="prescribed_on") as told:
        prescription(row)
    assert told.value.issues[0].place.line == 2


def test_lists_of_dates_are_read_one_by_one(tmp_path: Path) -> None:
    for cell in ("25/12/2026 1/1/2027", "25.12.2026, 01.01.2027", "25/12/2026;1/1/2027 "):
        (row,) = read(tmp_path, written([ROW | {"schedule.skip": cell}]), "day-first")
        days = [day.isoformat() for day in prescription(row).schedule.skip]
        assert days == ["2026-12-25", "2027-01-01"]


def test_weekdays_are_read_as_people_write_them(tmp_path: Path) -> None:
    (row,) = read(tmp_path, written([ROW | {"schedule.weekdays": "Mon, Wed, Fri"}]))
    assert [one.weekdays for one in (prescription(row).schedule,)] == [
        prescription(read(tmp_path, written([ROW]))[0]).schedule.weekdays
    ]


@pytest.mark.parametrize("order", [None, "day-first", "month-first"])
def test_year_of_two_figures_is_refused(order: DateOrder | None, tmp_path: Path) -> None:
    """Spreadsheets of some countries would have meant 2026-12-01 by 26-12-01."""
    (row,) = read(tmp_path, written([ROW | {"prescribed_on": "01.12.26"}]), order)
    assert row.source is None
    assert ("four figures" if order else "--dates") in row.issues[0].hint


def test_dates_of_a_whole_column_that_need_declaring_are_told_once(tmp_path: Path) -> None:
    rows = [
        ROW | {"schedule.start": f"{day}.12.2026", "patient.born": f"{day}.01.1950"}
        for day in range(7, 12)
    ]
    with pytest.raises(InputFault) as told:
        read(tmp_path, written(rows))
    assert [issue.field for issue in told.value.issues] == ["patient.born", "schedule.start"]
    assert all("--dates day-first or month-first" in one.hint for one in told.value.issues)
    assert "1950" not in str(told.value.issues[0])
    assert "7.12.2026" in str(told.value.issues[1])
    # One in another form, and each row is told for itself: the others stand.
    mixed = read(tmp_path, written([*rows, ROW | {"patient.born": "1950-01-12"}]))
    assert [row.source is None for row in mixed] == [True] * 5 + [False]


@pytest.mark.parametrize(
    "cell", ["#NAME?", "#N/A", "#NV", "#REF!", "#BEZUG!", "#VALEUR!", "#####", "1,23E+11", "4E+15"]
)
def test_cell_that_the_spreadsheet_has_spoilt_is_refused(cell: str, tmp_path: Path) -> None:
    for column in ("patient.record_number", "patient.name", "goal"):
        (row,) = read(tmp_path, written([ROW | {column: cell}]))
        assert row.source is None
        assert row.issues[0].field == column
        assert "spreadsheet" in row.issues[0].found
    (row,) = read(tmp_path, written([ROW | {"patient.record_number": "#12 E+4"}]))
    assert prescription(row).patient.record_number == "#12 E+4"


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(spreadsheet).attempted == 4
    assert doctest.testmod(spreadsheet).failed == 0


@pytest.mark.parametrize("encoding", ["cp1252", "utf-16"])
def test_other_encodings_are_refused_with_what_to_do_in_the_spreadsheet(
    encoding: str, tmp_path: Path
) -> None:
    content = written([ROW | {"patient.name": "Jörg Example"}], ";")
    with pytest.raises(InputFault) as told:
        read(tmp_path, content.encode(encoding))
    assert "CSV UTF-8" in told.value.issues[0].hint


@pytest.mark.parametrize(
    ("written_time", "told"),
    [
        ("9:30", "09:30"),
        ("09:30:00", "09:30"),
        ("25:00", None),
        ("9.30", "09:30"),
        ("9h30", "09:30"),
        ("9:30 Uhr", "09:30"),
        ("9:30 AM", "09:30"),
        ("2:05:00 PM", "14:05"),
        ("12:10 a.m.", "00:10"),
        ("13:10 PM", None),
        ("9.3", None),
        ("9", None),
    ],
)
def test_times_of_spreadsheets(written_time: str, told: str | None, tmp_path: Path) -> None:
    (row,) = read(tmp_path, written([ROW | {"appointment": written_time}]))
    if told is None:
        assert row.issues[0].field == "appointment"
    else:
        assert row.appointment == told


def test_spreadsheet_words_for_yes_and_true(tmp_path: Path) -> None:
    cells = {"screening.cardiac_device": "No", "patient.large_print": "TRUE"}
    (row,) = read(tmp_path, written([ROW | cells]))
    assert prescription(row).screening == {"cardiac_device": "no"}
    assert prescription(row).patient.large_print is True


def test_appointment_and_place_in_the_list_leave_the_pack_as_it_is(tmp_path: Path) -> None:
    rows = read(tmp_path, written([ROW, ROW | {"appointment": "14:00"}]))
    digests = {row.source.digest for row in rows}  # type: ignore[union-attr]
    assert len(digests) == 1
    (other,) = read(tmp_path, written([ROW | {"side": "right"}]))
    assert other.source.digest not in digests  # type: ignore[union-attr]


def test_bad_row_never_stops_the_others(tmp_path: Path) -> None:
    rows = read(
        tmp_path,
        written([ROW, ROW | {"prescribed_on": "1/2/2026"}, ROW | {"patient.name": "Ben Sample"}]),
    )
    assert [row.source is None for row in rows] == [False, True, False]
    assert rows[1].issues[0].place.line == 3


def test_faults_of_a_field_name_line_and_column(tmp_path: Path) -> None:
    rows = read(tmp_path, written([ROW, ROW | {"schedule.weekdays": "mon wednesday"}]))
    with pytest.raises(InputFault) as told:
        prescription(rows[1])
    assert told.value.issues[0].place.line == 3
    assert told.value.issues[0].field.startswith("schedule.weekdays")


def test_rows_over_several_lines_keep_their_line(tmp_path: Path) -> None:
    text = written([ROW | {"goal": "one\ntwo"}, ROW | {"side": "centre"}])
    rows = read(tmp_path, text)
    assert [row.label.rpartition(":")[2] for row in rows] == ["2", "4"]
    with pytest.raises(InputFault, match="line break"):
        prescription(rows[0])


def test_empty_rows_and_cells_at_the_end_are_passed_over(tmp_path: Path) -> None:
    text = written([ROW]) + ",,,\r\n\r\n" + written([ROW]).splitlines()[1] + ",,,,,\r\n"
    assert len(read(tmp_path, text)) == 2
    too_many = written([ROW]).rstrip() + ",stray\r\n"
    (row,) = read(tmp_path, too_many)
    assert row.issues[0].found == f"{len(ROW) + 1} cells"


@pytest.mark.parametrize("word", ["null", "~"])
def test_name_that_looks_like_nothing_is_a_name(word: str, tmp_path: Path) -> None:
    (row,) = read(tmp_path, written([ROW | {"patient.guardian_name": "Null"}]))
    assert prescription(row).patient.guardian_name == "Null"
    (row,) = read(tmp_path, written([ROW | {"goal": word}]))
    assert prescription(row).goal == word


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "an empty file"),
        (b"patient.name\r\n", "column names alone"),
        (b"patient.nam,side\r\nA,left\r\n", "did you mean patient.name?"),
        (b"side,side\r\nleft,left\r\n", "the column a second time"),
        (b"name;born\r\nA;1\r\n", "no column that is known"),
        (b"screening.heart,side\r\nno,left\r\n", "a known column"),
        (b'patient.name,side\r\n"A,left\r\n', "a CSV fault"),
        (b"\xff\xfep\x00a\x00", "UTF-16 text"),
        (b"patient.name,side\r\nJos\xe9,left\r\n", "not UTF-8"),
        (b"patient.name,side\r\nA\x07,left\r\n", "the control character"),
    ],
)
def test_list_that_cannot_be_read_is_refused_whole(
    content: bytes, told: str, tmp_path: Path
) -> None:
    with pytest.raises(InputFault) as fault:
        read(tmp_path, content)
    assert told in str(fault.value)
    assert "list.csv" in str(fault.value)


def test_columns_cover_every_key_of_the_starter() -> None:
    """A new field of the prescription has to come into the columns too."""
    starter = data_folder("starter.yaml").read_text(encoding="utf-8")
    switched_on = re.sub(r"(?m)^( *)# ?( *(?:- )?[a-z_]+:)", r"\1\2", starter)
    tree = yaml.safe_load(switched_on)
    wanted = set()
    for key, value in tree.items():
        if isinstance(value, dict):
            wanted |= {f"{key}.{inner}" for inner in value}
        elif key == "reasons":
            wanted |= {f"reasons.1.{inner}" for inner in value[0]}
        else:
            wanted.add(key)
    codes = list(tree["screening"])
    assert len(wanted) > 60
    assert wanted <= set(csv_columns(codes)), wanted - set(csv_columns(codes))
    assert (
        set(COLUMNS)
        - {f"reasons.{n}.{k}" for n in "234" for k in ("about", "text", "name")}
        - {"appointment"}
        <= wanted
    )


def test_folder_gives_its_files_in_order(tmp_path: Path) -> None:
    for name in ("b.yaml", "a.yml", "c.json", "notes.txt", ".hidden.yaml"):
        (tmp_path / name).write_text("x: 1")
    rows = list(read_batch_list(tmp_path, screening=SCREENING))
    assert [Path(row.label).name for row in rows] == ["a.yml", "b.yaml", "c.json"]
    empty = tmp_path / "empty"
    empty.mkdir()
    with pytest.raises(InputFault, match="no prescriptions"):
        read_batch_list(empty, screening=SCREENING)


@pytest.mark.parametrize("suffix", ["yaml", "json"])
def test_list_of_files_with_appointments(suffix: str, tmp_path: Path) -> None:
    listing = {
        "prescriptions": [{"file": "one.yaml", "appointment": "08:15"}, {"file": "b/two.yaml"}]
    }
    path = tmp_path / f"list.{suffix}"
    import json

    path.write_text(json.dumps(listing) if suffix == "json" else yaml.safe_dump(listing))
    rows = list(read_batch_list(path, screening=SCREENING))
    assert [row.source for row in rows] == [tmp_path / "one.yaml", tmp_path / "b" / "two.yaml"]
    assert [row.appointment for row in rows] == ["08:15", ""]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("prescriptions: []", "prescriptions"),
        ("prescription:\n  - file: a.yaml", "did you mean prescriptions?"),
        ("prescriptions:\n  - fil: a.yaml", "did you mean file?"),
        ("prescriptions:\n  - file: a.yaml\n    appointment: 9.30", "a time from 00:00"),
        ("- a.yaml", "keys with values"),
    ],
)
def test_faulty_list_is_refused_with_its_lines(text: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "list.yaml"
    path.write_text(text)
    with pytest.raises(InputFault) as fault:
        read_batch_list(path, screening=SCREENING)
    assert told in str(fault.value)


def test_missing_and_other_files_are_told(tmp_path: Path) -> None:
    for name in ("none.csv", "none.yaml", "none"):
        with pytest.raises(InputFault, match="no such file"):
            read_batch_list(tmp_path / name, screening=SCREENING)
    (tmp_path / "list.xlsx").write_bytes(b"PK")
    with pytest.raises(InputFault, match="save a spreadsheet as CSV"):
        read_batch_list(tmp_path / "list.xlsx", screening=SCREENING)


def test_demo_clinic_can_be_a_list() -> None:
    rows = list(read_batch_list(demo_clinic_folder() / "prescriptions", screening=SCREENING))
    assert len(rows) == 6
