"""A font file that is cut, changed, or cannot be read is refused by name before it draws."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.text.font_files import FONT_FILES, MissingFont

RX = demo_clinic_folder() / "prescriptions" / "urgency-tibial-en.yaml"


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1000])


def change(path: Path) -> None:
    """Change one bit of an outline; the size stays."""
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


def fill_with_zeros(path: Path) -> None:
    path.write_bytes(bytes(path.stat().st_size))


def turn_into_a_folder(path: Path) -> None:
    """What nobody can read as a file, not even root."""
    path.unlink()
    path.mkdir()


def link_to_itself(path: Path) -> None:
    path.unlink()
    path.symlink_to(path)


CHILD = """
import json, sys
from pathlib import Path
from docbuilder.text import font_files
folder = Path(sys.argv[1])
real = font_files.files
font_files.files = lambda module: folder if (folder / module).exists() else real(module)
from docbuilder.cli.main import main
try:
    main(sys.argv[2:], prog_name="docbuilder")
except SystemExit as end:
    sys.exit(end.code)
"""


@pytest.mark.parametrize(
    "spoil", [cut, change, fill_with_zeros, turn_into_a_folder, link_to_itself]
)
def test_damaged_file_is_refused(
    spoil: Callable[[Path], None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = FONT_FILES["latin"]
    copy = tmp_path / file.path
    copy.write_bytes(file.locate().read_bytes())
    monkeypatch.setattr("docbuilder.text.font_files.files", lambda _: tmp_path)
    assert file.checked() == copy
    spoil(copy)
    with pytest.raises(MissingFont, match="manimgx-fonts; run: pip install --force-reinstall"):
        file.checked()


def test_command_tells_a_damaged_font_and_writes_nothing(tmp_path: Path) -> None:
    file = FONT_FILES["latin"]
    (tmp_path / file.module).mkdir()
    for name in {one.path for one in FONT_FILES.values() if one.module == file.module}:
        (tmp_path / name).symlink_to(file.locate().with_name(name))
    copy = tmp_path / file.path
    data = file.locate().read_bytes()
    copy.unlink()
    copy.write_bytes(data)
    change(copy)
    out = tmp_path / "out"
    done = subprocess.run(
        [sys.executable, "-c", CHILD, str(tmp_path), "build", str(RX), "--out", str(out), "--json",
         "--documents", "diary"],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 1, done.stderr
    assert "Traceback" not in done.stderr
    (pack,) = json.loads(done.stdout)["packs"]
    assert pack["status"] == "refused"
    assert "pip install --force-reinstall --no-deps manimgx-fonts" in json.dumps(pack["issues"])
    assert not out.exists()
