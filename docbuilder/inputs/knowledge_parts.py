"""From one knowledge file to its part of the model."""

from __future__ import annotations

from typing import cast

from docbuilder.inputs.fields import Fault, Section, Unfit, list_of
from docbuilder.inputs.knowledge_reader import MARKS, SITES, Reader
from docbuilder.inputs.values import choice, day, decimal, flag, integer, one_of, text
from docbuilder.inputs.yaml_file import MapNode, Node
from docbuilder.model.knowledge import (
    ConsentTexts,
    DerivedRule,
    FollowUpTexts,
    Indication,
    NoticeRule,
    Protocol,
    SafetyTexts,
    ScreeningRule,
)  # fmt: skip
from docbuilder.model.message import Message
from docbuilder.model.plan import Severity, Source
from docbuilder.model.prescription import Answer, Pads, PadShape, PlacementSite, StimulationMode

__all__ = [
    "read_consent", "read_derived", "read_follow_up", "read_indications", "read_notices",
    "read_protocols", "read_safety", "read_screening", "read_sources",
]  # fmt: skip

_MODES: tuple[StimulationMode, ...] = ("continuous", "burst", "modulated")
_SHAPES: tuple[PadShape, ...] = ("rectangle", "round", "oval")
_CLASSES: tuple[Severity, ...] = ("stop", "ask", "caution", "note")
_HELD_BACK: tuple[Severity, ...] = ("stop", "ask")


def read_sources(reader: Reader) -> dict[str, Source]:
    """Read sources.yaml; "published" without a citation is a fault."""
    table = reader.root.section("sources")
    found = {}
    for name in table.text_keys():
        section = table.section(name)
        mark = section.required("mark", choice(MARKS))
        citation = section.optional("citation", text(300), "")
        if mark == "published" and not citation:
            section.add("citation", "nothing", "a citation", "say where it was published")
        reviewed_on = section.optional("reviewed_on", day(), reader.reviewed_on)
        found[name] = Source(mark, citation, reviewed_on)
    return found


def read_indications(reader: Reader) -> dict[str, Indication]:
    """Read the purposes of protocols.yaml."""
    table = reader.root.optional_section("indications")
    if table is None:
        return {}
    return {
        code: Indication(code, reader.say(entry, "name"), reader.say(entry, "why_you"))
        for code in table.text_keys()
        for entry in [table.section(code)]
    }


def read_protocols(
    reader: Reader, strengths: dict[str, tuple[Message, Source]]
) -> dict[tuple[str, PlacementSite], Protocol]:
    """Read the protocols; *strengths* is filled from this file and searched."""
    rules = reader.root.optional_section("strength_rules")
    for name in rules.text_keys() if rules else ():
        section = cast(Section, rules).section(name)
        strengths[name] = (reader.say(section, "safety"), reader.source(section))
    found: dict[tuple[str, PlacementSite], Protocol] = {}
    for section in reader.root.sections("protocols"):
        for protocol in _protocols(reader, section, strengths):
            pair = (protocol.indication, protocol.site)
            if pair in found:
                section.add("sites", " at ".join(pair) + " again", "each pair once")
            found[pair] = protocol
    return found


def _protocols(
    reader: Reader, section: Section, strengths: dict[str, tuple[Message, Source]]
) -> list[Protocol]:
    known = one_of(reader.indications or ())
    indications = section.required("indications", list_of(known, at_least=1))
    sites = section.required("sites", list_of(choice(SITES), at_least=1))
    mode = section.section("mode")
    start = mode.required("start", choice(_MODES))
    others = mode.optional("also", list_of(choice(_MODES)), ())
    mode_source = reader.source(mode)
    pads, pad_source = _pads(reader, section.section("pads"))
    strength = section.required("strength", one_of(strengths))
    rule, rule_source = strengths.get(strength, (Message(""), Source("from memory")))
    ranges = {
        name: reader.range(section, name)
        for name in (
            "pulse_width_us", "pulse_rate_hz", "session_minutes", "sessions_per_week", "weeks",
        )
    }  # fmt: skip
    on_s, off_s, ramp_s = (reader.may_range(section, name) for name in ("on_s", "off_s", "ramp_s"))
    as_needed = section.optional("as_needed", flag(), False)
    grade = section.optional("grade", text(80), "")
    return [
        Protocol(
            indication=indication, site=site, mode=start, other_modes=others,
            mode_source=mode_source, pads=pads, pad_source=pad_source, strength_rule=rule,
            strength_source=rule_source, as_needed=as_needed, grade=grade, on_s=on_s, off_s=off_s,
            ramp_s=ramp_s, **ranges,
        )
        for indication in indications or ()
        for site in sites or ()
    ]  # fmt: skip


def _pads(reader: Reader, section: Section) -> tuple[Pads, Source]:
    side = decimal(10, 200)
    pads = Pads(
        section.required("shape", choice(_SHAPES)),
        section.required("width_mm", side),
        section.required("height_mm", side),
        section.optional("uses_per_set", integer(1, 200)),
        section.optional("replace_after_days", integer(1, 366)),
    )
    if pads.shape == "round" and pads.width_mm != pads.height_mm:
        section.add("height_mm", str(pads.height_mm), "the width, for a round pad")
    return pads, reader.source(section)


def read_screening(reader: Reader, people: dict[str, Message]) -> dict[str, ScreeningRule]:
    """Read the questions; an unknown answer milder than "ask" is a fault where yes matters.

    *people*, whom to ask, is filled from this file and searched.
    """
    people |= reader.say_each("who_to_ask")
    table = reader.root.section("rules")
    return {code: _rule(reader, table.section(code), code, people) for code in table.text_keys()}


def _rule(reader: Reader, section: Section, code: str, people: dict[str, Message]) -> ScreeningRule:
    yes = section.required("yes", _by_site)
    unknown = section.required("unknown", _by_site)
    severities: dict[tuple[PlacementSite, Answer], Severity] = {}
    for site in SITES if yes and unknown else ():
        if yes[site] != "note" and unknown[site] not in _HELD_BACK:
            section.add("unknown", unknown[site], "ask or stop, as yes matters here")
        severities |= {
            (site, "yes"): yes[site], (site, "unknown"): unknown[site], (site, "no"): "clear",
        }  # fmt: skip
    who = section.optional("who", one_of(people))
    return ScreeningRule(
        code=code,
        question=reader.say(section, "question"),
        scope=reader.scope(section),
        severities=severities,
        why=reader.say(section, "why"),
        checklist=reader.say(section, "checklist"),
        who_to_ask=people.get(who) if who else None,
        disagreement=reader.may_say(section, "differ"),
        handout=reader.may_say(section, "handout"),
        consent=reader.may_say(section, "consent"),
        sources=reader.cited(section),
        specialist=section.optional("specialist", flag(), False),
    )


def _by_site(node: Node) -> dict[PlacementSite, Severity]:
    """Read one class for all sites, or one for each of them."""
    known = choice(_CLASSES)
    if not isinstance(node, MapNode):
        return dict.fromkeys(SITES, known(node))
    if set(node.values) != set(SITES):
        raise Unfit(Fault(node.line, ", ".join(node.values), "each of " + ", ".join(SITES)))
    return {site: known(node.values[site]) for site in SITES}


def read_derived(reader: Reader) -> dict[str, DerivedRule]:
    """Read the findings that follow from several facts at once."""
    table = reader.root.optional_section("derived")
    return {
        code: DerivedRule(
            code=code,
            severity=section.required("severity", choice(_CLASSES)),
            message=reader.say(section, "checklist"),
            needs_reason=section.optional("needs_reason", flag(), False),
            handout=reader.may_say(section, "handout"),
            consent=reader.may_say(section, "consent"),
            source=reader.source(section),
        )
        for code in (table.text_keys() if table else ())
        for section in [cast(Section, table).section(code)]
    }


def read_notices(reader: Reader) -> dict[str, NoticeRule]:
    """Read notices.yaml."""
    table = reader.root.section("notices")
    return {
        code: NoticeRule(
            code=code,
            scope=reader.scope(section),
            severity=section.required("severity", choice(_CLASSES)),
            needs_reason=section.optional("needs_reason", flag(), False),
            text=reader.say(section, "text"),
            patient_text=reader.say(section, "patient_text"),
            source=reader.source(section),
        )
        for code in table.text_keys()
        for section in [table.section(code)]
    }


def read_consent(reader: Reader) -> ConsentTexts:
    """Read consent.yaml; condition and purpose must cover every indication."""
    condition, purpose = reader.say_each("condition"), reader.say_each("purpose")
    for name, texts in (("condition", condition), ("purpose", purpose)):
        for code in reader.indications or ():
            if code not in texts:
                reader.root.add(name, f"no text for {code}", "one for each indication")
    return ConsentTexts(
        condition=condition,
        purpose=purpose,
        benefit=reader.statements("benefit", "consent"),
        uncertainty=reader.statements("uncertainty", "consent"),
        common_risks=reader.statements("common_risks", "consent"),
        serious_risks=reader.statements("serious_risks", "consent"),
        alternatives=reader.statements("alternatives", "consent"),
        off_label=reader.say(reader.root, "off_label_sentence"),
        renew_if=reader.statements("renew_if", "consent"),
        valid_until=reader.say(reader.root, "valid_until"),
        changed=reader.say_each("changed"),
    )


def read_follow_up(reader: Reader) -> FollowUpTexts:
    """Read follow_up.yaml."""
    return FollowUpTexts(
        red_flags=reader.statements("red_flags", "safety"),
        call_questions=reader.statements("call_questions", "clinician"),
        review_measures=reader.statements("review_measures", "clinician"),
        stop_rules=reader.statements("stop_rules", "consent"),
        taper_rules=reader.statements("taper_rules", "clinician"),
    )


def read_safety(reader: Reader) -> SafetyTexts:
    """Read safety.yaml."""
    return SafetyTexts(
        never_place=reader.statements("never_place", "safety"),
        stop_and_call=reader.statements("stop_and_call", "safety"),
        do_not_use=reader.statements("do_not_use", "safety"),
    )
