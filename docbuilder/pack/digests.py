"""Digests of everything that shapes a clinic's packs but the prescription."""

from __future__ import annotations

import hashlib
from functools import cached_property
from pathlib import Path

from docbuilder import __version__
from docbuilder.inputs.unit import known_units
from docbuilder.language.registry import known_languages
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Knowledge
from docbuilder.pack.identity import file_digest, folder_digest, libraries
from docbuilder.paths import shipped

__all__ = ["Digests"]


class Digests:
    """The digests as they are when each is first asked for; later ones stand in another object.

    Clinic and knowledge have theirs from the reading itself.
    """

    def __init__(self, clinic: Clinic, knowledge: Knowledge) -> None:
        self._clinic = clinic
        self._knowledge = knowledge
        self._units: dict[str, str] = {}
        self._catalogues: dict[str, str] = {}

    def inputs(self, unit: str, languages: tuple[str, ...]) -> dict[str, str]:
        """Return digest or version by name, for packs with this unit in these languages.

        Of the translations only those that the pack prints count, so that work on one
        language leaves the packs of the others as they are.
        """
        catalogues = "".join(map(self._catalogue, languages))
        return {
            "unit": self._unit(unit),
            "knowledge": self._knowledge.digest,
            "locales": hashlib.sha256(catalogues.encode()).hexdigest(),
            "docbuilder": __version__,
            **self._shared,
        }

    @cached_property
    def state(self) -> str:
        """One digest of it all, with every unit and every language."""
        units = map(self._unit, sorted(known_units(self._clinic)))
        tags = "".join(self._catalogue(language.tag) for language in known_languages())
        shared = [f"{name}={value}" for name, value in sorted(self._shared.items())]
        parts = (__version__, self._knowledge.digest, tags, *units, *shared)
        return hashlib.sha256("\0".join(parts).encode()).hexdigest()

    def _unit(self, name: str) -> str:
        if name not in self._units:
            self._units[name] = file_digest(known_units(self._clinic)[name])
        return self._units[name]

    def _catalogue(self, tag: str) -> str:
        if tag not in self._catalogues:
            roots = (shipped("locales"), *self._own("locales"))
            folders = [root / tag for root in roots if (root / tag).is_dir()]
            digests = [folder_digest(folder, (".po", ".yaml")) for folder in folders]
            self._catalogues[tag] = f"{tag}:{':'.join(digests)};"
        return self._catalogues[tag]

    @cached_property
    def _shared(self) -> dict[str, str]:
        clinic = self._clinic
        shared = {
            "templates": folder_digest(shipped("templates"), (".j2",)),
            "libraries": libraries(),
        }
        for own in self._own("templates"):
            shared["clinic templates"] = folder_digest(own, (".j2",))
        if clinic.folder is not None:
            shared["clinic"] = clinic.digest
        if clinic.holidays_file is not None:
            days = " ".join(day.isoformat() for day in clinic.holidays)
            shared["holidays"] = hashlib.sha256(days.encode()).hexdigest()
        if clinic.logo is not None:
            shared["logo"] = file_digest(clinic.logo)
        return shared

    def _own(self, name: str) -> tuple[Path, ...]:
        """Return the clinic's folder *name* if it has one."""
        folder = self._clinic.folder
        own = folder / name if folder is not None else None
        return (own,) if own is not None and own.is_dir() else ()
