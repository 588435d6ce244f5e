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
    places = (_PACKAGE.parent / name, _PACKAGE / "_shipped" / name)
    for place in places:
        if (
            (place.is_dir()
            and (place.parent / "docbuilder").is_dir())
            or (place.is_dir() and place.parent.name == "_shipped")
        ):
            return place
    raise FileNotFoundError(f"{name}: not in " + " or ".join(str(place) for place in places))


def data_folder(name: str) -> Path:
    """Return the package's data folder *name* ("protocols", "units", "demo" ...)."""
    return _PACKAGE / "data" / name
