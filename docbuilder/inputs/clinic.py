"""Read a clinic folder: who the clinic is and what it has chosen.

The folder holds `clinic.yaml` and, if the clinic wants its own, the folders `units`,
`knowledge`, `templates` and `locales`; a file there wins over ours of the same name.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

from docbuilder.errors import InputFault
from docbuilder.inputs.colour import dark_colour
from docbuilder.inputs.fields import Collector, Convert, Fault, Unfit, list_of, nearest, scalar
from docbuilder.inputs.languages import known_language, territory
from docbuilder.inputs.logo import MAX_LOGO_BYTES, MAX_LOGO_PIXELS, BadLogo, look_at_logo
from docbuilder.inputs.opening_hours import read_hours, read_hours_in_words
from docbuilder.inputs.values import choice, day, flag, integer, language_tag, pattern, person
from docbuilder.inputs.yaml_file import Node, read_bytes, read_yaml, shown
from docbuilder.model.clinic import Clinic, Digits, Paper, PatientIdentifier
from docbuilder.paths import data_folder

__all__ = ["CLINIC_FILE", "OVERRIDES", "demo_clinic_folder", "override", "read_clinic"]

CLINIC_FILE = "clinic.yaml"
OVERRIDES = ("units", "knowledge", "templates", "locales")
_PAPERS: tuple[Paper, ...] = ("A4", "Letter")
_IDENTIFIERS: tuple[PatientIdentifier, ...] = ("initials_and_record", "record", "name_and_record")
_DIGITS: tuple[Digits, ...] = ("latin", "native")
_PHONE = pattern(
    r"\+?[0-9(][0-9 ()./-]{1,25}[0-9](,? ext\.? ?[0-9]{1,6})?",
    "a phone number in Latin digits, as in +1 555 0100",
    "digits, spaces, dashes and brackets only; put it in quotes",
)
_EMERGENCY = pattern("[0-9][0-9 ]{1,14}", "the number to dial, as in 112", "digits and spaces only")
_EMAIL = pattern(
    r"[A-Za-z0-9.!#$%&'*+/=?^_~-]{1,64}@[A-Za-z0-9-]{1,63}(\.[A-Za-z0-9-]{1,63}){1,5}",
    "an e-mail address, as in desk@clinic.example",
)


def demo_clinic_folder() -> Path:
    """Return the folder of the invented clinic that ships with docbuilder."""
    return data_folder("demo")


def read_clinic(folder: Path | None = None) -> Clinic:
    """Read the clinic in *folder*, or the invented one.

    Raises:
        InputFault: Holds every fault of clinic.yaml and of the files that it names.
    """
    folder = demo_clinic_folder() if folder is None else folder
    file = read_yaml(folder / CLINIC_FILE)
    collector = Collector(file)
    root = collector.root
    language = root.required("language", known_language())
    holidays_file = root.optional("holidays_file", _inside(folder))
    clinic = Clinic(
        name=root.required("name", person(80)),
        phone=root.required("phone", _PHONE),
        territory=root.required("territory", territory()),
        language=language,
        emergency_number=root.required("emergency_number", _EMERGENCY),
        address=root.optional("address", list_of(person(80), 1, 6), ()),
        email=root.optional("email", _EMAIL),
        hours=read_hours(root),
        hours_in_words=read_hours_in_words(root, language),
        paper=root.optional("paper", choice(_PAPERS)),
        accent=root.optional("accent", dark_colour(), "#005A70"),
        logo=root.optional("logo", _logo(folder)),
        patient_identifier=root.optional(
            "patient_identifier", choice(_IDENTIFIERS), _IDENTIFIERS[0]
        ),
        digits=root.pairs("digits", choice(_DIGITS), keys=language_tag()),
        holidays=_holidays(collector, holidays_file),
        witness_line=root.optional("witness_line", flag(), False),
        consent_valid_months=root.optional("consent_valid_months", integer(1, 60)),
        folder=folder,
        fillable_forms=root.optional("fillable_forms", flag(), False),
        holidays_file=holidays_file,
        digest=file.digest,
    )
    _check_folders(collector, folder)
    collector.finish()
    return clinic


def override(folder: Path | None, kind: str, name: str) -> Path | None:
    """Return the clinic's own file *name* in its folder *kind*, or None if it has none.

    *kind* is one of `OVERRIDES`.
    """
    if folder is None:
        return None
    path = folder / kind / name
    return path if path.is_file() else None


def _holidays(collector: Collector, path: Path | None) -> tuple[date, ...]:
    """Join the days in clinic.yaml with those of the file at *path*, in order."""
    root, days = collector.root, list_of(day(), 0, 400)
    own = root.optional("holidays", days, ())
    listed: tuple[date, ...] = ()
    if path is not None:
        try:
            listing = Collector(read_yaml(path))
            listed = listing.root.required("holidays", days)
            listing.finish()
        except InputFault as fault:
            collector.issues.extend(fault.issues)
    return tuple(sorted({*(own or ()), *(listed or ())}))


def _inside(folder: Path) -> Convert[Path]:
    """Make a converter for the name of a file that lies in the clinic folder."""
    allowed = "the name of a file in the clinic folder"

    def read(node: Node) -> Path:
        name = scalar(node, allowed).text
        try:
            path = folder / name
            inside = path.resolve().is_relative_to(folder.resolve())
        except (OSError, ValueError, RuntimeError):
            inside = False
        if not inside or Path(name).is_absolute():
            raise Unfit(Fault(node.line, shown(name), allowed, "copy the file into the folder"))
        return path

    return read


def _logo(folder: Path) -> Convert[Path]:
    inside = _inside(folder)
    allowed = f"a PNG or JPEG (RGB or grey) of at most {MAX_LOGO_PIXELS} pixels a side"

    def read(node: Node) -> Path:
        path = inside(node)
        try:
            look_at_logo(read_bytes(path, MAX_LOGO_BYTES))
        except BadLogo as bad:
            raise Unfit(Fault(node.line, str(bad), allowed, "save it again as PNG")) from None
        except InputFault as fault:
            issue = fault.issues[0]
            raise Unfit(Fault(node.line, issue.found, issue.allowed, issue.hint)) from None
        return path

    return read


def _check_folders(collector: Collector, folder: Path) -> None:
    """Refuse a folder whose name is nearly one that would win: it would be passed over."""
    try:
        names = sorted(path.name for path in folder.iterdir() if path.is_dir())
    except OSError:
        return  # clinic.yaml was read, so only the listing is barred; builds will tell
    for name in names:
        if name not in OVERRIDES and (hint := nearest(name, OVERRIDES)):
            allowed = "the folders " + ", ".join(OVERRIDES)
            collector.add("folder", shown(name), allowed, hint)
