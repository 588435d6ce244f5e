"""Lay a clinic's rule over ours of the same name, so that it weakens nothing.

A clinic may add rules and make ours stricter. It may not make an answer count for less,
ask fewer people or let a stop be lifted more easily: that is a change to the sources,
not a house rule. A sentence for the patient that it leaves out stays ours.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, TypeVar, get_args

from docbuilder.inputs.knowledge_reader import SITES, Reader
from docbuilder.model.knowledge import DerivedRule, NoticeRule, Scope, ScreeningRule
from docbuilder.model.plan import Severity

__all__ = ["lay_derived", "lay_notice", "lay_screening"]

_Spoken = TypeVar("_Spoken", ScreeningRule, DerivedRule)
_STRICTEST_FIRST: tuple[Severity, ...] = get_args(Severity)
_HINT = "a clinic may be stricter than the built-in rule, not milder"


def lay_screening(reader: Reader, ours: ScreeningRule, theirs: ScreeningRule) -> ScreeningRule:
    """Return *theirs*; report to *reader* where it asks less of an answer than *ours*."""
    name = f"rules.{ours.code}"
    for answer in ("yes", "unknown"):
        for site in SITES:
            _compare(
                reader,
                f"{name}.{answer}",
                ours.severities.get((site, answer)),
                theirs.severities.get((site, answer)),
            )
    if ours.specialist and not theirs.specialist:
        reader.collector.add(f"{name}.specialist", "false", "true", _HINT)
    _compare_scopes(reader, name, ours.scope, theirs.scope)
    return _with_sentences(ours, theirs)


def lay_derived(reader: Reader, ours: DerivedRule, theirs: DerivedRule) -> DerivedRule:
    """Return *theirs*; report where it counts for less or needs no reason any more."""
    name = f"derived.{ours.code}"
    _compare(reader, f"{name}.severity", ours.severity, theirs.severity)
    _compare_reasons(reader, name, ours.needs_reason, theirs.needs_reason)
    return _with_sentences(ours, theirs)


def lay_notice(reader: Reader, ours: NoticeRule, theirs: NoticeRule) -> NoticeRule:
    """Return *theirs*; report where it counts for less, reaches fewer or needs no reason."""
    name = f"notices.{ours.code}"
    _compare(reader, f"{name}.severity", ours.severity, theirs.severity)
    _compare_reasons(reader, name, ours.needs_reason, theirs.needs_reason)
    _compare_scopes(reader, name, ours.scope, theirs.scope)
    return theirs


def _with_sentences(ours: _Spoken, theirs: _Spoken) -> _Spoken:
    """Return *theirs* with our sentences for the patient where it has none of its own."""
    return replace(
        theirs, handout=theirs.handout or ours.handout, consent=theirs.consent or ours.consent
    )


def _compare(reader: Reader, field: str, ours: Severity | None, theirs: Severity | None) -> None:
    """Report *theirs* if milder; None stands for a fault that is reported already."""
    if ours is None or theirs is None:
        return
    allowed = _STRICTEST_FIRST[: _STRICTEST_FIRST.index(ours) + 1]
    if theirs not in allowed:
        reader.collector.add(field, theirs, " or ".join(allowed), _HINT)


def _compare_reasons(reader: Reader, name: str, ours: bool, theirs: bool) -> None:
    if ours and not theirs:
        reader.collector.add(f"{name}.needs_reason", "false", "true", _HINT)


def _compare_scopes(reader: Reader, name: str, ours: Scope, theirs: Scope) -> None:
    """Report each key by which *theirs* could leave out somebody whom *ours* covers."""
    for key in Scope.__dataclass_fields__:
        held, wanted = getattr(ours, key), getattr(theirs, key)
        if wanted not in (None, ()) and wanted != held and not _wider(key, held, wanted):
            reader.collector.add(f"{name}.{key}", _shown(wanted), _shown(held), _HINT)


def _wider(key: str, held: Any, wanted: Any) -> bool:
    """Say whether everybody in *held*, one value of a scope's *key*, is in *wanted*."""
    if key == "ages" and held:
        return bool(wanted[0] <= held[0] and held[1] <= wanted[1])
    if key.endswith("_from") and held is not None:
        return bool(wanted <= held)
    return isinstance(held, tuple) and held != () and set(held) <= set(wanted)


def _shown(value: object) -> str:
    """Return one value of a scope as a clinic writes it."""
    if isinstance(value, tuple) and value:
        return ", ".join(str(part) for part in value)
    return "everybody: leave the line out" if value in (None, ()) else str(value).lower()
