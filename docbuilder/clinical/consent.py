"""The plan-dependent half of the consent form, and when consent has to be renewed.

Consent covers the *material parts* of a plan: place, purpose, kind of current, this
patient's risks, use outside labelling or range, guidance, and what the form says of
benefit, risks and alternatives. A change of dates, of the unit as such, or of a value
inside its published range is not material: it is talked over and initialled. Sources:
GMC 2020; Montgomery v Lanarkshire [2015] UKSC 11; the list of parts from memory.
"""

from __future__ import annotations

import calendar
import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from docbuilder.clinical.follow_up import sentences
from docbuilder.clinical.screening import Screened
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Case, Knowledge, Statement
from docbuilder.model.message import Message
from docbuilder.model.plan import ConsentContent, Notice, Plan, Setting, Source
from docbuilder.model.prescription import Prescription
from docbuilder.model.unit import Unit

__all__ = ["consent_content", "material_parts", "months_after", "needs_new_consent", "short_digest"]

_CROCKFORD = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


def consent_content(
    prescription: Prescription,
    case: Case,
    clinic: Clinic,
    unit: Unit,
    settings: Iterable[Setting],
    screened: Screened,
    notices: tuple[Notice, ...],
    knowledge: Knowledge,
) -> ConsentContent:
    """Gather the sentences of the consent form for one plan, and their digest."""
    texts = knowledge.consent
    content = ConsentContent(
        condition=texts.condition[case.indication],
        purpose=texts.purpose[case.indication],
        benefit=sentences(texts.benefit, case),
        uncertainty=sentences(texts.uncertainty, case),
        common_risks=sentences(texts.common_risks, case),
        serious_risks=sentences(texts.serious_risks, case),
        personal_risks=screened.personal_risks,
        alternatives=sentences(texts.alternatives, case),
        off_label=texts.off_label if case.off_label else None,
        renew_if=sentences(texts.renew_if, case) + _valid_until(prescription, clinic, knowledge),
        digest="",
        evidence=_evidence((*texts.benefit, *texts.uncertainty), case),
    )
    parts = material_parts(prescription, unit, settings, notices, content)
    return replace(content, digest=short_digest(parts))


def material_parts(
    prescription: Prescription,
    unit: Unit,
    settings: Iterable[Setting],
    notices: Iterable[Notice],
    content: ConsentContent,
) -> dict[str, list[str]]:
    """Return what consent is given to, by name of the part; no name and no date is in it."""
    known = {item.name: item for item in settings}
    mode = known["mode"].prescribed if "mode" in known else prescription.settings.mode
    informed = (
        content.benefit, content.uncertainty, content.common_risks, content.serious_risks,
        content.alternatives,
    )  # fmt: skip
    variant = prescription.tibial_variant if prescription.placement == "tibial" else ""
    return {
        "place": [prescription.placement, prescription.side, variant],
        "purpose": [prescription.indication],
        "current": [str(mode), unit.waveform, "on/off" if "on_off_s" in known else "steady"],
        "personal_risk": sorted(item.msgid for item in content.personal_risks),
        "outside_range": sorted(name for name, item in known.items() if item.outside_range),
        "label": ["off" if content.off_label else "on"],
        "guidance": sorted(item.code for item in notices),
        "information": [item.msgid for group in informed for item in group],
    }


def short_digest(parts: Mapping[str, list[str]]) -> str:
    """Return ten Crockford base32 signs (50 bits) of the SHA-256 over canonical JSON.

    >>> short_digest({"place": ["tibial", "left", "above_first"]})
    '9KE3S3FWK0'
    """
    canonical = json.dumps(parts, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    bits = int.from_bytes(hashlib.sha256(canonical.encode()).digest()) >> (256 - 50)
    return "".join(_CROCKFORD[bits >> shift & 31] for shift in range(45, -1, -5))


def needs_new_consent(old: Plan, new: Plan, knowledge: Knowledge) -> tuple[Message, ...]:
    """Say, for the clinician, why consent to *old* does not cover *new*; empty: it does."""
    before, after = _parts_of(old), _parts_of(new)
    changed = [name for name in before if before[name] != after[name]]
    if old.prescription.patient.record_number != new.prescription.patient.record_number:
        changed.insert(0, "person")
    months = new.clinic.consent_valid_months
    if months is not None:
        ends = months_after(old.prescription.prescribed_on, months)
        if new.prescription.prescribed_on > ends:
            changed.append("period")
    return tuple(knowledge.consent.changed[name] for name in changed)


def months_after(day: date, months: int) -> date:
    """Return the same day *months* later, or the last of that month when it has no such day.

    >>> months_after(date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    years, index = divmod(day.month - 1 + months, 12)
    year, month = day.year + years, index + 1
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))


def _parts_of(plan: Plan) -> dict[str, list[str]]:
    return material_parts(plan.prescription, plan.unit, plan.settings, plan.notices, plan.consent)


def _valid_until(
    prescription: Prescription, clinic: Clinic, knowledge: Knowledge
) -> tuple[Message, ...]:
    if clinic.consent_valid_months is None:
        return ()
    ends = months_after(prescription.prescribed_on, clinic.consent_valid_months)
    return (replace(knowledge.consent.valid_until, values=(("date", ends),)),)


def _evidence(statements: Iterable[Statement], case: Case) -> tuple[Source, ...]:
    """Return the sources with a citation behind the *statements* for *case*, each once."""
    found = (
        source
        for item in statements
        if item.scope.covers(case)
        for source in item.sources
        if source.citation
    )
    return tuple(dict.fromkeys(found))
