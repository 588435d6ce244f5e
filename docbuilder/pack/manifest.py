"""The manifest pack.json: what was built, from what, in which versions."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from docbuilder import __version__
from docbuilder.model.plan import Plan
from docbuilder.model.prescription import DocumentKind

__all__ = ["SCHEMA", "BuiltFile", "manifest_bytes"]

SCHEMA = 1


@dataclass(frozen=True, slots=True)
class BuiltFile:
    """One file of the pack, with what the record needs to know of it."""

    name: str
    data: bytes
    kind: DocumentKind | str
    languages: tuple[str, ...] = ()
    document_id: str = ""
    pages: int = 0
    review: str = ""
    """State of its translation: "source", "draft", "reviewed" ..."""

    @property
    def sha256(self) -> str:
        """SHA-256 of the bytes, in hex."""
        return hashlib.sha256(self.data).hexdigest()

    def as_json(self) -> dict[str, object]:
        """Return the file's entry in the manifest."""
        entry: dict[str, object] = {
            "name": self.name,
            "kind": self.kind,
            "sha256": self.sha256,
            "bytes": len(self.data),
        }
        if self.document_id:
            entry |= {
                "document_id": self.document_id,
                "languages": list(self.languages),
                "pages": self.pages,
                "translation": self.review,
            }
        return entry


def manifest_bytes(
    pack: str,
    plan: Plan,
    files: Iterable[BuiltFile],
    inputs: Mapping[str, str],
    layers: Mapping[str, str],
) -> bytes:
    """Return pack.json: no clock, no patient data, the same for the same inputs.

    Args:
        pack: The pack's id.
        plan: The computed plan.
        files: All other files of the pack.
        inputs: Digests of what went in, by name.
        layers: Which layer each resource came from: "clinic" or "built in".
    """
    record = {
        "schema": SCHEMA,
        "pack": pack,
        "docbuilder": __version__,
        "issued_on": plan.prescription.prescribed_on.isoformat(),
        "inputs": dict(sorted(inputs.items())),
        "layers": dict(sorted(layers.items())),
        "plan": {
            "indication": plan.prescription.indication,
            "placement": plan.prescription.placement,
            "side": plan.prescription.side,
            "device": plan.unit.id,
            "consent_digest": plan.consent.digest,
            "sessions": len(plan.schedule.sessions),
        },
        "flags": [
            {"code": finding.code, "severity": finding.severity} for finding in plan.findings
        ],
        "reasons": [
            {"about": reason.about, "reason": reason.text, "name": reason.name}
            for reason in plan.prescription.reasons
        ],
        "files": [file.as_json() for file in files],
    }
    return (json.dumps(record, ensure_ascii=False, indent=2) + "\n").encode()
