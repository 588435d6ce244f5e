"""One kind of document from one plan, in one language."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from jinja2 import TemplateError, TemplateNotFound, TemplateSyntaxError

from docbuilder.content.age import is_child
from docbuilder.content.amounts import AMOUNTS
from docbuilder.content.containers import CONTAINERS
from docbuilder.content.days import DAYS
from docbuilder.content.drawings import DRAWINGS
from docbuilder.content.environment import TemplateEnvironment, make_environment
from docbuilder.content.findings import FINDINGS
from docbuilder.content.forms import FORMS
from docbuilder.content.handover import HANDOVER
from docbuilder.content.job import IssueInfo, Job
from docbuilder.content.own_words import OWN_WORDS
from docbuilder.content.settings import SETTINGS
from docbuilder.content.tokens import TemplateFault
from docbuilder.document.blocks import Block, Document, Furniture, Heading
from docbuilder.errors import Issue, Place, Refused
from docbuilder.language.words import Words
from docbuilder.model.plan import Plan
from docbuilder.model.prescription import DocumentKind

__all__ = ["BLADDER_INDICATIONS", "assemble", "initials", "is_child"]

BLADDER_INDICATIONS = frozenset({"urgency", "urge_leakage", "mixed", "child_overactive_bladder"})
TEXT_PT: dict[DocumentKind, float] = {
    "handout": 14.0, "consent": 12.0, "diary": 12.0, "checklist": 9.5,
}  # fmt: skip
LARGE_PRINT_PT = 18.0
"""Large print: 16 to 18 pt and up (RNIB clear print)."""
CONSENT_BINDING_MM = 6.0


def assemble(
    kind: DocumentKind,
    plan: Plan,
    words: Words,
    *,
    issue: IssueInfo,
    templates: TemplateEnvironment | None = None,
) -> Document:
    """Write one document of *plan* in the language of *words*.

    Args:
        kind: Which document; also the template folder.
        plan: The computed plan.
        words: Fresh words of one language; afterwards `words.missing` lists what it
            could not say, and the caller must refuse the document then.
        issue: Id, date and state of this print.
        templates: Where templates come from; None: the clinic's, then the shipped ones.

    Raises:
        Refused: A template fault, or a consent form asked for as a draft.
    """
    if kind == "consent" and issue.draft:
        raise Refused([_no_draft_consent(plan)])
    job = Job(kind, plan, words, issue)
    environment = templates or make_environment(plan.clinic.folder)
    blocks = _render(job, environment, f"{kind}/document.md.j2")
    title = "".join(run.text for run in _title(kind, blocks).runs)
    clinic = plan.clinic
    return Document(
        kind=kind,
        title=title,
        language=words.tag,
        rtl=words.rtl,
        paper=clinic.paper or words.paper,
        text_pt=_text_pt(kind, plan),
        furniture=_furniture(job, title),
        blocks=blocks,
        accent=clinic.accent,
        binding_mm=CONSENT_BINDING_MM if kind == "consent" else 0.0,
        logo=clinic.logo.read_bytes() if clinic.logo else b"",
        zeros=((words.tag, words.language.native_zero),) if words.native else (),
    )


def _text_pt(kind: DocumentKind, plan: Plan) -> float:
    if plan.prescription.patient.large_print and kind != "checklist":
        return LARGE_PRINT_PT
    return TEXT_PT[kind]


def _title(kind: DocumentKind, blocks: tuple[Block, ...]) -> Heading:
    titles = [block for block in blocks if isinstance(block, Heading) and block.level == 1]
    if len(titles) != 1 or blocks[0] is not titles[0]:
        raise Refused([_fault(f"{kind}/document.md.j2", 0, "no single title at the beginning")])
    return titles[0]


# The template and what it may call.


def _render(job: Job, environment: TemplateEnvironment, name: str) -> tuple[Block, ...]:
    try:
        return job.blocks(environment.get_template(name).render(_context(job)))
    except TemplateNotFound as fault:
        places = ", ".join(str(path) for path in getattr(environment.loader, "searchpath", ()))
        found = f"no template {fault.name!r} in {places}"
        raise Refused([_fault(name, 0, found)]) from fault
    except TemplateSyntaxError as fault:
        raise Refused([_fault(fault.name or name, fault.lineno, fault.message or "")]) from fault
    except (TemplateError, TemplateFault) as fault:
        raise Refused([_fault(*_place(fault, environment, name), str(fault))]) from fault


def _place(fault: BaseException, environment: TemplateEnvironment, name: str) -> tuple[str, int]:
    """Find the template line in the traceback, where Jinja has put it."""
    place, trace = (name, 0), fault.__traceback__
    while trace is not None:
        file = trace.tb_frame.f_code.co_filename
        for folder in getattr(environment.loader, "searchpath", ()):
            if file.startswith(str(folder)):
                place = (file.removeprefix(str(folder)).lstrip("/\\"), trace.tb_lineno)
        trace = trace.tb_next
    return place


def _fault(template: str, line: int, found: str) -> Issue:
    return Issue(
        Place(f"templates/{template}", line),
        "template",
        found,
        "sentences in {% trans %}, facts, and the pieces listed in docbuilder/content",
        "mend the template; the shipped ones are examples",
    )


def _no_draft_consent(plan: Plan) -> Issue:
    return Issue(
        plan.prescription.place("documents"),
        "documents",
        "consent as a draft",
        "a consent form only with every sentence translated",
        "leave consent out of the draft, or complete the translation",
    )


_VALUES = (
    "text", "ltr", "phone", "email", "quantity", "minutes", "day", "days", "weekday", "count",
)  # fmt: skip
_PIECES: tuple[Mapping[str, Callable[..., Any]], ...] = (
    CONTAINERS, FORMS, SETTINGS, DAYS, DRAWINGS, FINDINGS, AMOUNTS, HANDOVER,
    OWN_WORDS,
)  # fmt: skip


def _context(job: Job) -> dict[str, Any]:
    """Return everything a template can name."""
    plan, rx = job.plan, job.rx
    pieces = {name: partial(make, job) for group in _PIECES for name, make in group.items()}
    return {
        **pieces,
        **{name: getattr(job, name) for name in _VALUES},
        "say": job.fact,
        "gettext": job.gettext,
        "ngettext": job.ngettext,
        "pgettext": job.pgettext,
        "npgettext": job.npgettext,
        "plan": plan,
        "rx": rx,
        "patient": rx.patient,
        "clinician": rx.clinician,
        "clinic": plan.clinic,
        "unit": plan.unit,
        "schedule": plan.schedule,
        "supplies": plan.supplies,
        "consent": plan.consent,
        "issue": job.issue,
        "site": rx.placement,
        "side": rx.side,
        "variant": rx.tibial_variant,
        "child": is_child(plan),
        "alone": not (is_child(plan) or rx.needs_helper),
        "patient_goal": rx.goal and job.text(rx.goal, rx.patient.language),
        "bladder": rx.indication in BLADDER_INDICATIONS,
        "foreign": {rx.patient.language, *rx.languages} != {plan.clinic.language},
    }


# What stands on every page.


def _furniture(job: Job, title: str) -> Furniture:
    issue, clinic = job.issue, job.plan.clinic
    page = {"page": job.store.fact("{page}"), "pages": job.store.fact("{pages}")}
    review = draft = initial = ""
    if issue.awaiting_review:
        # NOTE: On every page of a paper whose translation nobody has signed yet.
        text = job.gettext("This translation awaits review by a qualified translator.")
        review = job.plain(text)
    if issue.draft:
        # NOTE: Mark on every page of a draft.
        draft = job.plain(job.gettext("DRAFT – not for patients"))
    if job.kind == "consent":
        # NOTE: Label of a small box on each page; patient and clinician write initials.
        initial = job.plain(job.pgettext("consent", "Initials"))
    return Furniture(
        document_name=title,
        document_id=issue.document_id,
        version=job.plain(job.gettext("Version: %(date)s", date=job.day(issue.version_date))),
        patient=job.plain(_patient_line(job)),
        clinic=job.text(clinic.name).text,
        clinic_contact=job.phone(clinic.phone).text,
        page_of=job.plain(job.gettext("Page %(page)s of %(pages)s", **page)),
        review_line=review,
        initials_label=initial,
        draft_mark=draft,
    )


def _patient_line(job: Job) -> str:
    """Say whose paper it is as the clinic chose; never by the date of birth."""
    patient, choice = job.rx.patient, job.plan.clinic.patient_identifier
    record = job.ltr(patient.record_number)
    if choice == "record":
        return job.gettext("Record %(record)s", record=record)
    shown = patient.name if choice == "name_and_record" else initials(patient.name)
    # NOTE: Foot of each page: the patient's initials or name, then the record number.
    return job.gettext("Patient %(name)s, record %(record)s", name=job.text(shown), record=record)


def initials(name: str) -> str:
    """Return the first letter of each part of a name, with its combining marks.

    >>> initials("Ada Mae Example")
    'A. M. E.'
    """
    return " ".join(f"{_first_letter(part)}." for part in name.split())


def _first_letter(part: str) -> str:
    end = 1
    while end < len(part) and unicodedata.category(part[end]).startswith("M"):
        end += 1
    return part[:end]
