"""What is asked, measured and decided after the appointment."""

from __future__ import annotations

from collections.abc import Iterable

from docbuilder.model.knowledge import Case, Knowledge, Statement
from docbuilder.model.message import Message
from docbuilder.model.plan import FollowUp

__all__ = ["follow_up", "sentences"]


def sentences(statements: Iterable[Statement], case: Case) -> tuple[Message, ...]:
    """Return the messages of the *statements* that are for *case*, in their order."""
    return tuple(item.message for item in statements if item.scope.covers(case))


def follow_up(case: Case, knowledge: Knowledge) -> FollowUp:
    """Gather red flags, call questions, review measures, stop and taper rules."""
    texts = knowledge.follow_up
    return FollowUp(
        red_flags=sentences(texts.red_flags, case),
        call_questions=sentences(texts.call_questions, case),
        review_measures=sentences(texts.review_measures, case),
        stop_rules=sentences(texts.stop_rules, case),
        taper_rules=sentences(texts.taper_rules, case),
    )
