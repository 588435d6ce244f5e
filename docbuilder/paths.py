"""Where the templates, catalogues and data files are.

A clinic's own folder is searched first, then the checkout, then the copy that the
wheel carries. An editable install has no copy, hence the order.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

__all__ = ["data_folder", "shipped"]

_PACKAGE = Path(str(files("docbuilder")))


def shipped(name: str) -> Path:
    """Return the shipped top-level folder *name* ("templates" or "locales").

    Raises:
        FileNotFoundError: Neither the checkout nor the installed copy is there; the
            message lists the places searched.
    """
    checkout, carried = _PACKAGE.parent / name, _PACKAGE / "_shipped" / name
    if (_PACKAGE.parent / "pyproject.toml").is_file() and checkout.is_dir():
        return checkout
    if carried.is_dir():
        return carried
    raise FileNotFoundError(f"{name}: neither in {checkout} nor in {carried}")


def data_folder(name: str) -> Path:
    """Return the package's data folder *name* ("protocols", "units", "demo" ...)."""
    return _PACKAGE / "data" / name
