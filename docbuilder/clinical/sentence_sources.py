"""The way back from a printed sentence to what supports it.

Sentences hold figures too ("two hours", "68 in 100"); their sources stand beside them in
the knowledge files, and `docbuilder explain FILE handout` or `... consent` shows them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from docbuilder.clinical.figure_book import Book, shown
from docbuilder.model.knowledge import Knowledge, Protocol, Statement
from docbuilder.model.lengths import CARD_WIDTH_MM, RULER_MM, TIBIAL_CENTRES_MM
from docbuilder.model.message import Message, Quantity
from docbuilder.model.plan import Plan, Source

__all__ = ["enter_aids", "enter_findings", "enter_sentences"]

_KNOWLEDGE = "sentence of the knowledge files"
_WORDING = Source("definition", "our wording, no figure taken from elsewhere")
Key = tuple[str, str]


def enter_sentences(book: Book, plan: Plan, knowledge: Knowledge, protocol: Protocol) -> None:
    """Enter every sentence of the plan under the paper on which it prints."""
    index = dict(_supported(knowledge, protocol))
    for name, messages in _printed(plan):
        for number, message in enumerate(messages, start=1):
            sources = index.get(_key(message), ()) or (_WORDING,)
            values = {key: shown(value) for key, value in message.values}
            text = message.msgid % values if values else message.msgid.replace("%%", "%")
            book.enter(f"{name}.{number}", text, _how(sources[1:]), sources[0])


def enter_findings(book: Book, plan: Plan) -> None:
    """Enter what the checklist shows first, by the code of each check."""
    for finding in plan.findings:
        values = {key: shown(value) for key, value in finding.message.values}
        text = finding.message.msgid % values if values else finding.message.msgid
        how = f"class {finding.severity}"
        if finding.override:
            how += f"; reason by {finding.override.name}: {finding.override.text}"
        source = finding.source or Source("definition", "computed from the figures that it names")
        name = f"checklist.findings.{finding.code}"
        again = sum(known == name or known.startswith(f"{name}.") for known in book.figures)
        name += f".{again + 1}" if again else ""
        book.enter(name, text.replace("%%", "%"), how, source)


def enter_aids(book: Book, plan: Plan, knowledge: Knowledge) -> None:
    """Enter the distances and lengths that the drawings print."""
    rx = plan.prescription
    if rx.placement == "tibial" and rx.tibial_variant == "above_first":
        book.enter(
            "placement.pad_distance", Quantity(TIBIAL_CENTRES_MM / 10, "cm"),
            "between the middles of the two pads", knowledge.sources["ics2025"],
        )  # fmt: skip
    book.enter("aids.ruler", Quantity(RULER_MM, "mm"), "drawn at true size")
    book.enter(
        "aids.card_width", Quantity(CARD_WIDTH_MM, "mm"), "width of a bank card, at true size",
        Source("published", "ISO/IEC 7810, size ID-1"),
    )  # fmt: skip


def _how(others: tuple[Source, ...]) -> str:
    if not others:
        return _KNOWLEDGE
    more = "; ".join(f"{source.mark}: {source.citation}".rstrip(": ") for source in others)
    return f"{_KNOWLEDGE}; further sources: {more}"


def _key(message: Message) -> Key:
    return message.context, message.msgid


def _supported(
    knowledge: Knowledge, protocol: Protocol
) -> Iterator[tuple[Key, tuple[Source, ...]]]:
    """Yield every sentence of the knowledge files that has sources of its own."""
    consent, later, safety = knowledge.consent, knowledge.follow_up, knowledge.safety
    groups: tuple[Iterable[Statement], ...] = (
        consent.benefit, consent.uncertainty, consent.common_risks, consent.serious_risks,
        consent.alternatives, consent.renew_if,
        later.red_flags, later.call_questions, later.review_measures, later.stop_rules,
        later.taper_rules, safety.never_place, safety.stop_and_call, safety.do_not_use,
    )  # fmt: skip
    for group in groups:
        for statement in group:
            yield _key(statement.message), statement.sources
    for rule in knowledge.screening:
        for message in (rule.handout, rule.consent, rule.why, rule.checklist, rule.disagreement):
            if message is not None:
                yield _key(message), rule.sources
    for derived in knowledge.derived.values():
        for message in (derived.message, derived.handout, derived.consent):
            if message is not None:
                yield _key(message), (derived.source,)
    for notice in knowledge.notices:
        yield _key(notice.text), (notice.source,)
        yield _key(notice.patient_text), (notice.source,)
    yield _key(protocol.strength_rule), (protocol.strength_source,)


def _printed(plan: Plan) -> Iterator[tuple[str, Iterable[Message]]]:
    consent, later = plan.consent, plan.follow_up
    yield "handout.why", (plan.why,)
    yield "handout.strength", (plan.strength_rule,)
    yield "handout.cautions", plan.handout_cautions
    yield "handout.stop_and_call", plan.stop_and_call
    yield "handout.red_flags", later.red_flags
    yield "handout.never_place", plan.never_place
    yield "handout.do_not_use", plan.do_not_use
    yield "consent.condition", (consent.condition,)
    yield "consent.purpose", (consent.purpose,)
    yield "consent.benefit", consent.benefit
    yield "consent.uncertainty", consent.uncertainty
    yield "consent.common_risks", consent.common_risks
    yield "consent.serious_risks", consent.serious_risks
    yield "consent.personal_risks", consent.personal_risks
    yield "consent.alternatives", consent.alternatives
    yield "consent.off_label", (consent.off_label,) if consent.off_label else ()
    yield "consent.renew_if", consent.renew_if
    yield "consent.notices", (notice.patient_text for notice in plan.notices)
    yield "checklist.notices", (notice.text for notice in plan.notices)
    yield "checklist.screening", (line.reason for line in plan.screening if line.reason)
    yield (
        "checklist.disagreements",
        (line.disagreement for line in plan.screening if line.disagreement),
    )
    yield "review.call_questions", later.call_questions
    yield "review.measures", later.review_measures
    yield "review.stop_rules", later.stop_rules
    yield "review.taper_rules", later.taper_rules
