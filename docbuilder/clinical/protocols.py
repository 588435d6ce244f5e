"""Which protocol fits a prescription, and the facts that decide what else applies."""

from __future__ import annotations

from datetime import date

from docbuilder.errors import Issue, Refused
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Case, Knowledge, Protocol
from docbuilder.model.prescription import Prescription
from docbuilder.model.unit import Unit

__all__ = ["age_on", "case_of", "find_protocol"]


def age_on(born: date, day: date) -> int:
    """Return the whole years from *born* to *day*; a 29 February counts from 1 March.

    >>> age_on(date(2008, 11, 26), date(2026, 11, 25)), age_on(date(2008, 2, 29), date(2026, 2, 28))
    (17, 17)
    """
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))


def case_of(prescription: Prescription, clinic: Clinic, unit: Unit) -> Case:
    """Gather the facts that decide which texts, rules and notices apply."""
    patient = prescription.patient
    return Case(
        indication=prescription.indication,
        site=prescription.placement,
        territory=clinic.territory,
        sex=patient.sex,
        age=None if patient.born is None else age_on(patient.born, prescription.prescribed_on),
        off_label=prescription.indication not in unit.labelled_purpose,
        side_both=prescription.side == "both",
        helped=prescription.needs_helper,
    )


def find_protocol(prescription: Prescription, knowledge: Knowledge) -> Protocol:
    """Return the protocol for the prescription's purpose and site.

    Raises:
        Refused: The purpose is not known, or is not offered at that site; the issue names
            what is offered.
    """
    indication, site = prescription.indication, prescription.placement
    offered = [item for item in knowledge.protocols if item.indication == indication]
    for protocol in offered:
        if protocol.site == site:
            return protocol
    if not offered:
        known = sorted({item.indication for item in knowledge.protocols})
        raise Refused(
            [
                Issue(
                    prescription.place("indication"), "indication", repr(indication),
                    "one of " + ", ".join(known),
                    "or add a protocol for it to the clinic's own knowledge/protocols.yaml",
                )
            ]
        )  # fmt: skip
    sites = ", ".join(item.site for item in offered)
    here = sorted({item.indication for item in knowledge.protocols if item.site == site})
    raise Refused(
        [
            Issue(
                prescription.place("placement"), "placement", f"{site} for {indication}",
                f"{sites} for {indication}",
                f"at {site} there are protocols for {', '.join(here)}" if here
                else f"no protocol uses {site}",
            )
        ]
    )  # fmt: skip
