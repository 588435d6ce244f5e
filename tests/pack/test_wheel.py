"""The wheel holds all that a pack needs: built away from the checkout, byte for byte equal."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import babel
import pytest
import reportlab

import docbuilder

CHECKOUT = Path(docbuilder.__file__).parents[1]
PARTS = ("docbuilder", "templates", "locales", "pyproject.toml", "README.md", "LICENSE")

pytestmark = pytest.mark.skipif(
    not (CHECKOUT / "pyproject.toml").is_file(), reason="the wheel is built from a checkout"
)


def run(*command: object, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    done = subprocess.run(
        [str(part) for part in command],
        cwd=cwd,
        env={**os.environ, **environment}, capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert "Traceback" not in done.stderr, done.stderr
    return done


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Copy the checkout, so that nothing of the build lands in it."""
    copy = tmp_path_factory.mktemp("checkout")
    for name in PARTS:
        source = CHECKOUT / name
        if source.is_dir():
            skip = shutil.ignore_patterns("__pycache__", "*.pyc")
            shutil.copytree(source, copy / name, ignore=skip)
        else:
            shutil.copy(source, copy / name)
    return copy


@pytest.fixture(scope="module")
def wheel(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel of the copy."""
    folder = tmp_path_factory.mktemp("wheel")
    done = run(
        sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, checkout,
        cwd=folder,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    (path,) = folder.glob("*.whl")
    return path


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install it into a fresh environment that sees our libraries but not the checkout."""
    folder = tmp_path_factory.mktemp("venv")
    venv.create(folder, with_pip=False)
    python = folder / "bin" / "python"
    site = Path(
        run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder)
        .stdout.strip()
    )  # fmt: skip
    done = run(
        sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", "--no-index",
        "--quiet", wheel, cwd=folder,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    # A plain path line: it brings the libraries but runs none of their .pth files, so
    # the editable install of the checkout is not seen.
    libraries = {str(Path(str(library.__file__)).parents[1]) for library in (babel, reportlab)}
    (site / "libraries.pth").write_text("\n".join(sorted(libraries)) + "\n")
    return python


def test_wheel_carries_templates_catalogues_and_data(checkout: Path, wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for root, carried in (("templates", ".j2"), ("locales", ".po")):
        files = [path for path in (checkout / root).rglob("*") if path.name.endswith(carried)]
        assert files
        for path in files:
            assert f"docbuilder/_shipped/{path.relative_to(checkout).as_posix()}" in names
    for path in (checkout / "docbuilder" / "data").rglob("*.yaml"):
        assert path.relative_to(checkout).as_posix() in names
    assert not [name for name in names if name.startswith(("tests/", "sample_output/"))]
    assert not [name for name in names if name.endswith((".pyc", ".orig"))]


def test_installed_command_is_not_the_checkout(installed: Path, tmp_path: Path) -> None:
    done = run(installed, "-c", "import docbuilder; print(docbuilder.__file__)", cwd=tmp_path)
    assert str(CHECKOUT) not in done.stdout
    assert str(installed.parents[1]) in done.stdout
    done = run(installed.parent / "docbuilder", "--version", cwd=tmp_path)
    assert docbuilder.__version__ in done.stdout


def test_demo_packs_equal_those_of_the_checkout(
    checkout: Path, installed: Path, tmp_path: Path
) -> None:
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    at_home = run(
        sys.executable, "-m", "docbuilder", "demo", "--out", ours,
        cwd=tmp_path, PYTHONPATH=str(checkout),
    )  # fmt: skip
    away = run(installed.parent / "docbuilder", "demo", "--out", theirs, cwd=tmp_path)
    assert away.returncode == at_home.returncode
    assert away.returncode in (0, 1), away.stderr  # 1 while a demo language is incomplete
    files = sorted(path.relative_to(ours) for path in ours.rglob("*") if path.is_file())
    assert files == sorted(path.relative_to(theirs) for path in theirs.rglob("*") if path.is_file())
    assert any(path.parts[0] == "urgency-tibial-en" for path in files)
    for path in files:
        assert (theirs / path).read_bytes() == (ours / path).read_bytes(), path
