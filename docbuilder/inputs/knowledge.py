"""Read what the tool knows: the built-in files and a clinic's own layer over them.

A clinic may lay its own `knowledge/{sources,protocols,screening,notices}.yaml` over
ours: an entry with the same name (for protocols: the same purpose and site) wins,
others are added, and nothing built in can be taken away or weakened
(`knowledge_layers`). Safety, consent and follow-up sentences are not laid over.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs import knowledge_parts as parts
from docbuilder.inputs.knowledge_layers import lay_derived, lay_notice, lay_screening
from docbuilder.inputs.knowledge_reader import Reader
from docbuilder.inputs.yaml_file import read_yaml, shown_path
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Indication, Knowledge
from docbuilder.model.message import Message
from docbuilder.model.plan import Source
from docbuilder.paths import data_folder

__all__ = ["CLINIC_FILES", "knowledge_folder", "read_knowledge"]

CLINIC_FILES = ("sources", "protocols", "screening", "notices")
"""Names that a clinic may lay over the built-in files."""

K = TypeVar("K")
T = TypeVar("T")


def knowledge_folder() -> Path:
    """Return the folder of the built-in knowledge files."""
    return data_folder("knowledge")


def read_knowledge(clinic: Clinic | None = None, folder: Path | None = None) -> Knowledge:
    """Read the built-in files (or those in *folder*) with the clinic's layer over them.

    Raises:
        InputFault: A file is missing or wrong, a range falls, a source is not named or a
            clinic lays over a file that it may not; holds all faults of all files that
            could be read far enough.
    """
    files = _Files(folder or knowledge_folder(), clinic)
    sources: dict[str, Source] = {}
    indications: dict[str, Indication] = {}
    strengths: dict[str, tuple[Message, Source]] = {}
    people: dict[str, Message] = {}
    files.open("sources", sources, indications)
    sources |= files.merge("sources", parts.read_sources)
    files.finish()
    for name in ("protocols", "screening", "notices", "consent", "follow_up", "safety"):
        files.open(name, sources, indications)
    indications |= files.merge("protocols", parts.read_indications)
    protocols = files.merge("protocols", lambda reader: parts.read_protocols(reader, strengths))
    screening = files.merge(
        "screening",
        lambda reader: parts.read_screening(reader, people),
        lay_screening,
    )
    knowledge = Knowledge(
        indications=indications,
        protocols=tuple(protocols.values()),
        screening=tuple(screening.values()),
        derived=files.merge("screening", parts.read_derived, lay_derived),
        notices=tuple(files.merge("notices", parts.read_notices, lay_notice).values()),
        consent=parts.read_consent(files.only("consent")),
        follow_up=parts.read_follow_up(files.only("follow_up")),
        safety=parts.read_safety(files.only("safety")),
        sources=sources,
        digest=files.digest(),
        clinic_files=files.clinic_names(),
    )
    files.finish()
    return knowledge


class _Files:
    """The readers of the built-in files and of the clinic's, ours before theirs."""

    def __init__(self, folder: Path, clinic: Clinic | None) -> None:
        self.folder = folder
        self.layer = clinic.folder / "knowledge" if clinic and clinic.folder else None
        self.readers: dict[str, list[Reader]] = {}
        self.seen: list[tuple[str, str]] = []
        self._refuse_strangers()

    def open(
        self, name: str, sources: Mapping[str, Source], indications: Mapping[str, Indication]
    ) -> None:
        """Read the file called *name*, and the clinic's file of that name if there is one."""
        paths = [self.folder / f"{name}.yaml"]
        if self.layer and name in CLINIC_FILES and (self.layer / f"{name}.yaml").exists():
            paths.append(self.layer / f"{name}.yaml")
        self.readers[name] = []
        for path in paths:
            file = read_yaml(path, ours=path.parent == knowledge_folder())
            self.seen.append((path.name, file.digest))
            self.readers[name].append(Reader(file, sources, indications))

    def merge(
        self,
        name: str,
        read: Callable[[Reader], dict[K, T]],
        lay: Callable[[Reader, T, T], T] | None = None,
    ) -> dict[K, T]:
        """Read one part from all layers; a later layer wins entry by entry.

        *lay* returns what stands of an entry and a later one, and reports what it may not.
        """
        found: dict[K, T] = {}
        for reader in self.readers[name]:
            layer = read(reader)
            if lay:
                layer |= {key: lay(reader, found[key], layer[key]) for key in found.keys() & layer}
            found |= layer
        return found

    def only(self, name: str) -> Reader:
        """Return the reader of a file that has no clinic layer."""
        return self.readers[name][0]

    def finish(self) -> None:
        """Raise the faults of all files opened so far, if there are any."""
        issues: list[Issue] = []
        for reader in (reader for layer in self.readers.values() for reader in layer):
            try:
                reader.collector.finish()
            except InputFault as fault:
                issues.extend(fault.issues)
        if issues:
            raise InputFault(issues)

    def digest(self) -> str:
        """Return the SHA-256, in hex, over the names and digests of all files read."""
        lines = "".join(f"{name} {digest}\n" for name, digest in self.seen)
        return hashlib.sha256(lines.encode()).hexdigest()

    def clinic_names(self) -> tuple[str, ...]:
        """Return the names of the files that the clinic laid over ours."""
        return tuple(f"{name}.yaml" for name, layer in self.readers.items() if len(layer) > 1)

    def _refuse_strangers(self) -> None:
        if self.layer is None or not self.layer.is_dir():
            return
        allowed = ", ".join(f"{name}.yaml" for name in CLINIC_FILES)
        strangers = [
            Issue(
                Place(shown_path(path)), "file", path.name, allowed,
                "safety, consent and follow-up sentences are not a clinic's to lay over",
            )
            for path in sorted(self.layer.glob("*.y*ml"))
            if path.name not in {f"{name}.yaml" for name in CLINIC_FILES}
        ]  # fmt: skip
        if strangers:
            raise InputFault(strangers)
