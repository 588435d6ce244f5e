"""What one clinic's packs share, read once: clinic, knowledge, templates, digests."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from docbuilder.clinical.plan import make_plan
from docbuilder.content.environment import make_environment
from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.clinic import OVERRIDES, read_clinic
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.prescription import prescription_from
from docbuilder.inputs.unit import find_unit, known_units
from docbuilder.inputs.yaml_file import YamlFile, read_yaml, shown, shown_path
from docbuilder.language.registry import known_languages
from docbuilder.model.plan import Plan
from docbuilder.model.prescription import DocumentKind
from docbuilder.pack.build import BuildOptions, Pack, identify, make_pack, pack_languages
from docbuilder.pack.digests import Digests
from docbuilder.pack.identity import folder_name
from docbuilder.pack.write import clear_leftovers, refuse_taken, write_folder

__all__ = ["Desk", "Prepared", "Written", "changed_files"]


@dataclass(frozen=True, slots=True)
class Prepared:
    """A prescription read and computed, and the id that its pack will have."""

    plan: Plan
    id: str
    inputs: Mapping[str, str]
    """Digest or version of everything that shapes the pack, by name."""


@dataclass(frozen=True, slots=True)
class Written:
    """A pack and the folder where it now stands."""

    pack: Pack
    folder: Path


class Desk:
    """One clinic's desk: plans and builds its prescriptions.

    A desk is for one list. Clinic and knowledge are read once, and so are the digests that make
    a pack's id; templates, profiles and translations are looked at again for each pack. Once
    one of them has changed the desk makes no pack that prints it, so that an id never tells of
    other files than were printed: make another desk, as `build_many` does by `state`.

    Args:
        clinic_folder: The clinic's folder; None is the invented demo clinic.

    Raises:
        InputFault: The clinic folder or a knowledge file is at fault.
    """

    def __init__(self, clinic_folder: Path | None = None) -> None:
        self.clinic = read_clinic(clinic_folder)
        self.knowledge = read_knowledge(self.clinic)
        self.templates = make_environment(self.clinic.folder)
        self._digests = Digests(self.clinic, self.knowledge)

    def plan(self, source: Path | YamlFile, documents: tuple[DocumentKind, ...] = ()) -> Plan:
        """Read and compute one prescription: a file, or one that has been read already.

        Args:
            source: The prescription.
            documents: What the caller wants in place of the prescription's own list.

        Raises:
            InputFault: The file is at fault.
            Refused: It reads well, yet must not be built as it stands.
        """
        prescription = prescription_from(
            source if isinstance(source, YamlFile) else read_yaml(source),
            known_indications=self.knowledge.indications,
            known_devices=known_units(self.clinic),
            known_languages=[language.tag for language in known_languages()],
            known_screening=[rule.code for rule in self.knowledge.screening],
        )
        if documents:
            prescription = replace(prescription, documents=documents)
        unit = find_unit(prescription.device, self.clinic, prescription.place("device"))
        return make_plan(prescription, self.clinic, unit, self.knowledge)

    def prepare(self, source: Path | YamlFile, options: BuildOptions) -> Prepared:
        """Read and compute one prescription, and say which pack it will be.

        Raises:
            InputFault: The file is at fault.
            Refused: It reads well, yet must not be built as it stands.
        """
        plan = self.plan(source, options.documents)
        inputs = self.inputs(plan, options)
        return Prepared(plan, identify(options, inputs), inputs)

    def make(self, prepared: Prepared, options: BuildOptions) -> Pack:
        """Make the files of a pack in memory; nothing is written.

        Raises:
            Refused: A missing translation, glyph or piece.
            InputFault: A file that shapes the pack has changed since `prepare`, or since an
                earlier pack of this desk: the pack's id would not tell what it was made from.
        """
        self._refuse_changed(prepared, options)
        pack = make_pack(prepared.plan, options, prepared.inputs, self.layers, self.templates)
        self._refuse_changed(prepared, options)
        return pack

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
        prepared = self.prepare(source, options)
        folder = out / (_plain_stem(source) if name_by_file else folder_name(prepared.id))
        clear_leftovers(out)
        refuse_taken(folder, replace)
        pack = self.make(prepared, options)
        write_folder(folder, {file.name: file.data for file in pack.files}, replace=replace)
        return Written(pack, folder)

    def inputs(self, plan: Plan, options: BuildOptions) -> dict[str, str]:
        """Return the digest or version of everything that shapes the pack of *plan*."""
        return {
            "prescription": plan.prescription.digest,
            **self._digests.inputs(plan.unit.id, pack_languages(plan, options)),
        }

    @property
    def state(self) -> str:
        """Digest of everything here but the prescription: another one, another desk."""
        return self._digests.state

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

    def _refuse_changed(self, prepared: Prepared, options: BuildOptions) -> None:
        """Refuse a pack that may not be what its id says.

        Raises:
            InputFault: A file has changed since its digest was taken.
        """
        plan = prepared.plan
        before = {one for one in prepared.inputs.items() if one[0] != "prescription"}
        try:
            now = Digests(self.clinic, self.knowledge)
            after = now.inputs(plan.unit.id, pack_languages(plan, options))
            changed = {name for name, _ in before ^ set(after.items())}
            if find_unit(plan.unit.id, self.clinic) != plan.unit:
                changed.add("unit")
        except (OSError, KeyError, InputFault):  # taken away, or saved by half
            changed = {"some"}
        if changed:
            raise changed_files(self.clinic.folder, " and ".join(sorted(changed)))


def changed_files(clinic_folder: Path | None, what: str) -> InputFault:
    """Return the fault that a pack would be printed from other files than its id tells of."""
    place = shown_path(clinic_folder) if clinic_folder is not None else "docbuilder"
    return InputFault([
        Issue(Place(place), "files", f"{what}: changed while packs were made",
              "files that stay as they are from the first pack to the last",
              "run the same command again: it goes on with the files as they are now")
    ])  # fmt: skip


def _plain_stem(source: Path) -> str:
    """Return the file's name without its ending, fit to be a folder's name.

    Raises:
        InputFault: It begins with a dot: a hidden folder, or the one above.
    """
    if source.stem.startswith("."):
        raise InputFault([
            Issue(Place(shown_path(source)), "--name-by-file", shown(source.stem),
                  "a name that begins with no dot", "rename the file, or leave the option out")
        ])  # fmt: skip
    return source.stem
