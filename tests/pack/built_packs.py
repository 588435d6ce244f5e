"""Packs of the demo prescriptions in every complete language among three, made once."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from docbuilder.errors import Refused
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.language.catalogue import catalogue_paths, read_catalogue
from docbuilder.pack.build import BuildOptions, Pack
from docbuilder.pack.catalogue_tool import count_catalogue, current_template
from docbuilder.pack.desk import Desk

__all__ = ["DEMOS", "complete_tags", "desk", "made", "makeable"]

DEMOS = sorted((demo_clinic_folder() / "prescriptions").glob("*.yaml"))
_WANTED = ("es", "ar")


@lru_cache(maxsize=1)
def complete_tags() -> tuple[str, ...]:
    """Return English, and Spanish and Arabic once their catalogues are about complete.

    A sentence that was added since fails the tests rather than taking the language out.
    """
    template = current_template()
    tags = ["en"]
    for tag in _WANTED:
        path = catalogue_paths(tag)[0][0]
        count = count_catalogue(read_catalogue(path, tag), template)
        if count.translated > 0.9 * count.total:
            tags.append(tag)
    return tuple(tags)


@lru_cache(maxsize=1)
def desk() -> Desk:
    return Desk(demo_clinic_folder())


@lru_cache(maxsize=64)
def made(source: Path, *languages: str) -> Pack:
    """Return the pack of one demo prescription in these languages, in memory."""
    options = BuildOptions(languages=languages)
    return desk().make(desk().prepare(source, options), options)


@lru_cache(maxsize=1)
def makeable() -> tuple[Path, ...]:
    """Return the demo prescriptions that no check refuses."""
    fine = []
    for source in DEMOS:
        try:
            desk().plan(source)
        except Refused:
            continue
        fine.append(source)
    return tuple(fine)
