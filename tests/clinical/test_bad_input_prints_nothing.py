"""Each bad input that would make wrong figures: file and line are told, no file is written.

Through the command itself, so that nothing between reading and printing lets it through.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from docbuilder.cli.main import main
from docbuilder.paths import data_folder

DEMO = data_folder("demo")
RX = "rx.yaml"
UNIT = "clinic/units/demo-duo.yaml"
PROTOCOLS = "clinic/knowledge/protocols.yaml"

# What is wrong, the file it is in, the good text (once in it), the bad one, exit code.
BAD = {
    "a step of zero": (UNIT, "to: 300, step: 10", "to: 300, step: 0", 2),
    "an empty list": (UNIT, "[10, 15, 20, 25, 30, 40, 50, 60]", "[]", 2),
    "a unit's range the wrong way round": (UNIT, "from: 5, to: 150", "from: 150, to: 5", 2),
    "more presses than 200": (
        UNIT, "{from: 5, to: 150, step: 5, wraps: true}", "{from: 5, to: 150, step: 0.1}", 2,
    ),
    "pulses that overlap on the unit": (
        UNIT, "from: 50, to: 250, step: 10}\n    pulse_rate_hz: {from: 5, to: 150,",
        "from: 50, to: 2000, step: 10}\n    pulse_rate_hz: {from: 5, to: 250,", 2,
    ),
    "a protocol's range the wrong way round": (
        PROTOCOLS, "pulse_rate_hz: {low: 10, start: 20,", "pulse_rate_hz: {low: 25, start: 20,", 2,
    ),
    "a protocol's value without a source": (
        PROTOCOLS, "high: 200, source: electric2021,", "high: 200,", 2,
    ),
    "an answer that is not one of three": (RX, "epilepsy: no", "epilepsy: maybe", 2),
    "an answer left empty": (RX, "epilepsy: no", "epilepsy:", 2),
    "milliseconds for microseconds": (RX, "pulse_width_us: 200", "pulse_width_us: 200000", None),
    "width and rate that overlap": (RX, "pulse_rate_hz: 20", "pulse_rate_hz: 6000", None),
    "stronger than the unit": (RX, "expected_strength_ma: 20", "expected_strength_ma: 200", 1),
}  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """A clinic's folder with files of its own, and a prescription that builds."""
    clinic = tmp_path / "clinic"
    clinic.mkdir()
    shutil.copytree(DEMO / "units", clinic / "units")
    for name in ("clinic.yaml", "logo.png"):
        shutil.copy(DEMO / name, clinic / name)
    (clinic / "knowledge").mkdir()
    shutil.copy(data_folder("knowledge") / "protocols.yaml", clinic / "knowledge")
    shutil.copy(DEMO / "prescriptions" / "urgency-tibial-en.yaml", tmp_path / RX)
    return tmp_path


def built(desk: Path, command: str = "build"):
    call = [command, str(desk / RX), "--clinic", str(desk / "clinic")]
    return CliRunner().invoke(
        main, call + (["--out", str(desk / "out")] if command == "build" else [])
    )


def test_the_good_one_passes_every_check(desk):
    assert built(desk, "check").exit_code == 0


@pytest.mark.parametrize("what", BAD)
def test_it_is_told_with_file_and_line_and_nothing_is_written(desk, what):
    name, good, bad, code = BAD[what]
    path = desk / name
    text = path.read_text("utf-8")
    assert text.count(good) >= 1
    path.write_text(text.replace(good, bad, 1), "utf-8")
    result = built(desk)
    assert result.exit_code in ((1, 2) if code is None else (code,)), result.output
    line = text[: text.index(good)].count("\n") + 1
    lines = [f"{path.name}:{number}" for number in range(line, line + good.count("\n") + 1)]
    assert any(place in result.output for place in lines), result.output
    assert not (desk / "out").exists() or not any((desk / "out").rglob("*"))
