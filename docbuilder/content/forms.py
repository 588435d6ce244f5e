"""What is filled in by hand: boxes to tick, lines to write on, signatures, and the code."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from docbuilder.content.age import is_child
from docbuilder.content.job import Job
from docbuilder.content.tokens import Prose, TemplateFault
from docbuilder.document.blocks import (
    CheckItem,
    Column,
    QrCode,
    Runs,
    SignatureBlock,
    SignatureLine,
    Table,
    WriteLines,
)

__all__ = ["FORMS"]

ROW_MM = 9.5
"""Room to write by hand."""
LINE_MM = 9.0
SIGNING_MM = 12.0


def check(job: Job, text: Prose) -> Prose:
    """Return a box to tick."""
    return job.store.block(CheckItem(job.runs(text)))


def initial(job: Job, text: Prose) -> Prose:
    """Return a box for initials."""
    return job.store.block(CheckItem(job.runs(text), "initials"))


def yes_no(job: Job, text: Prose) -> Prose:
    """Return a statement with a box for yes and one for no."""
    words = (job.plain(job.gettext("Yes")), job.plain(job.gettext("No")))
    return job.store.block(CheckItem(job.runs(text), "yes_no", words))


def write_lines(
    job: Job,
    label: Prose,
    lines: int = 1,
    beside: bool = False,
    brief: bool = False,
    line_mm: float = LINE_MM,
) -> Prose:
    """Return a label and ruled room for handwriting, *line_mm* a line, below it or *beside*.

    *brief*: for a date or the like, no line is added in a narrow column.
    """
    return job.store.block(WriteLines(job.runs(label), lines, line_mm, beside, brief))


def signatures(
    job: Job, statement: Prose | None, roles: Sequence[str], line_mm: float = SIGNING_MM
) -> Prose:
    """Return the lines for *roles*, in order, each with signature, name, date and time.

    *line_mm* is the clear height above a line, 9 mm at least.
    """
    unknown = [role for role in roles if role not in _ROLES]
    if unknown:
        raise TemplateFault(f"no signature line for {', '.join(unknown)}; known: {sorted(_ROLES)}")
    fields = (
        (job.plain(job.gettext("Signature")), 0.33),
        (job.plain(job.gettext("Name in print")), 0.37),
        (job.plain(job.gettext("Date")), 0.17),
        (job.plain(job.gettext("Time")), 0.13),
    )
    lines = tuple(
        SignatureLine(job.runs(_ROLES[role](job)), fields, ("", _name(job, role), "", ""))
        for role in roles
    )
    return job.store.block(SignatureBlock(job.runs(statement or ""), lines, line_mm))


def _patient(job: Job) -> Prose:
    return job.pgettext("consent", "Patient")


def _representative(job: Job) -> Prose:
    # NOTE: Signs for a child or for an adult who cannot decide alone.
    return job.pgettext("consent", "Parent, guardian or legal representative")


def _child(job: Job) -> Prose:
    # NOTE: Assent is the child's own yes, beside the parent's consent.
    return job.pgettext("consent", "Child’s own agreement (assent)")


def _clinician(job: Job) -> Prose:
    # NOTE: The professional who had the talk with the patient, not a clerk.
    return job.pgettext("consent", "Clinician who explained the treatment")


def _interpreter(job: Job) -> Prose:
    return job.pgettext("consent", "Interpreter")


def _witness(job: Job) -> Prose:
    return job.pgettext("consent", "Witness")


def _sign_off(job: Job) -> Prose:
    # NOTE: Foot of the checklist: the clinician has done what is ticked.
    return job.gettext("Clinician: done as ticked")


def _withdrawal(job: Job) -> Prose:
    # The statement above the line says who signs.
    return Prose("")


_ROLES: dict[str, Callable[[Job], Prose]] = {
    "patient": _patient,
    "representative": _representative,
    "child": _child,
    "clinician": _clinician,
    "interpreter": _interpreter,
    "witness": _witness,
    "sign_off": _sign_off,
    "withdrawal": _withdrawal,
}


def _name(job: Job, role: str) -> str:
    rx = job.rx
    clinician = ", ".join(filter(None, (rx.clinician.name, rx.clinician.registration)))
    guardian = rx.patient.guardian_name or ""
    names = {
        "patient": rx.patient.name,
        # Who gave the consent takes it back.
        "withdrawal": guardian if guardian or is_child(job.plan) else rx.patient.name,
        "child": rx.patient.name,
        "clinician": clinician,
        "sign_off": clinician,
        "representative": guardian,
        "interpreter": rx.patient.interpreter_name or "",
    }
    return job.text(names.get(role, "")).text


def blank_table(job: Job, heads: Sequence[Prose], shares: Sequence[float], rows: int) -> Prose:
    """Return a table of empty rows to fill in by hand."""
    if len(heads) != len(shares):
        raise TemplateFault("blank_table() needs one share a head")
    columns = tuple(
        Column(job.runs(head), share) for head, share in zip(heads, shares, strict=True)
    )
    empty: tuple[Runs, ...] = ((),) * len(columns)
    table = Table(columns, (empty,) * rows, min_row_mm=ROW_MM, wrapped_heads=True)
    return job.store.block(table)


def document_code(job: Job) -> Prose:
    """Return the code that holds the document id and nothing else."""
    caption = job.plain(job.gettext("Document: %(id)s", id=job.ltr(job.issue.document_id)))
    return job.store.block(QrCode(job.issue.document_id, caption))


FORMS: dict[str, Callable[..., Prose]] = {
    "check": check,
    "initial": initial,
    "yes_no": yes_no,
    "write_lines": write_lines,
    "signatures": signatures,
    "blank_table": blank_table,
    "document_code": document_code,
}
