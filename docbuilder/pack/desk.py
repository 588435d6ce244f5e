"""What one clinic's packs share, read once: clinic, knowledge, templates, digests."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from docbuilder import __version__
from docbuilder.clinical.plan import make_plan
from docbuilder.content.environment import make_environment
from docbuilder.inputs.clinic import CLINIC_FILE, OVERRIDES, read_clinic
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.prescription import read_prescription
from docbuilder.inputs.unit import find_unit, known_units
from docbuilder.language.registry import known_languages
from docbuilder.model.plan import Plan
from docbuilder.pack.build import BuildOptions, Pack, make_pack
from docbuilder.pack.identity import file_digest, folder_digest
from docbuilder.pack.write import clear_leftovers, write_folder
from docbuilder.paths import shipped

__all__ = ["Desk", "Written"]


@dataclass(frozen=True, slots=True)
class Written:
    """A pack and the folder where it now stands."""

    pack: Pack
    folder: Path


class Desk:
    """One clinic's desk: plans and builds its prescriptions.

    Args:
        clinic_folder: The clinic's folder; None is the invented demo clinic.

    Raises:
        InputFault: The clinic folder or a knowledge file is at fault.
    """

    def __init__(self, clinic_folder: Path | None = None) -> None:
        self.clinic = read_clinic(clinic_folder)
        self.knowledge = read_knowledge(self.clinic)
        self.templates = make_environment(self.clinic.folder)

    def plan(self, source: Path) -> Plan:
        """Read and compute one prescription.

        Raises:
            InputFault: The file is at fault.
            Refused: It reads well, yet must not be built as it stands.
        """
        prescription = read_prescription(
            source,
            known_indications=self.knowledge.indications,
            known_devices=known_units(self.clinic),
            known_languages=[language.tag for language in known_languages()],
            known_screening=[rule.code for rule in self.knowledge.screening],
        )
        unit = find_unit(prescription.device, self.clinic, prescription.place("device"))
        return make_plan(prescription, self.clinic, unit, self.knowledge)

    def make(self, source: Path, options: BuildOptions) -> Pack:
        """Make the pack of one prescription in memory; nothing is written.

        Raises:
            InputFault: The file is at fault.
            Refused: A check, a missing translation or a missing glyph.
        """
        plan = self.plan(source)
        return make_pack(plan, options, self.inputs(plan), self.layers, self.templates)

    def build(
        self,
        source: Path,
        out: Path,
        options: BuildOptions,
        *,
        replace: bool = False,
        name_by_file: bool = False,
    ) -> Written:
        """Make the pack of one prescription and write it below *out*, whole or not at all.

        Args:
            source: The prescription.
            out: Where the pack's folder goes.
            options: What the caller chose.
            replace: Take the place of an existing pack.
            name_by_file: Name the folder after the prescription's file instead of the
                opaque pack id; for files whose names tell nothing about a patient.

        Raises:
            InputFault: The file or the place to write is at fault.
            Refused: A check, a missing translation or a missing glyph.
        """
        pack = self.make(source, options)
        clear_leftovers(out)
        folder = out / (source.stem if name_by_file else f"pack_{pack.id}")
        write_folder(folder, {file.name: file.data for file in pack.files}, replace=replace)
        return Written(pack, folder)

    def inputs(self, plan: Plan) -> dict[str, str]:
        """Return the digest or version of everything that shapes the pack of *plan*."""
        return {
            "prescription": plan.prescription.digest,
            "unit": file_digest(known_units(self.clinic)[plan.unit.id]),
            "knowledge": self.knowledge.digest,
            "docbuilder": __version__,
            **self._shared_inputs,
        }

    @cached_property
    def layers(self) -> dict[str, str]:
        """Which layer each resource comes from; the clinic's files by name."""
        folder = self.clinic.folder
        own = {
            f"{name}/{path.relative_to(folder / name).as_posix()}": "clinic"
            for name in OVERRIDES
            if folder is not None
            for path in sorted((folder / name).rglob("*"))
            if path.is_file()
        }
        return {"everything else": "built in", **own}

    @cached_property
    def _shared_inputs(self) -> dict[str, str]:
        shared = {
            "templates": folder_digest(shipped("templates"), (".j2",)),
            "locales": folder_digest(shipped("locales"), (".po", ".yaml")),
        }
        folder = self.clinic.folder
        if folder is not None:
            shared["clinic"] = file_digest(folder / CLINIC_FILE)
            for name in ("templates", "locales"):
                if (folder / name).is_dir():
                    shared[f"clinic {name}"] = folder_digest(folder / name, (".j2", ".po", ".yaml"))
        if self.clinic.logo is not None:
            shared["logo"] = file_digest(self.clinic.logo)
        return shared
