"""The standing safety sentences that fit a patient."""

from __future__ import annotations

from dataclasses import dataclass

from docbuilder.clinical.follow_up import sentences
from docbuilder.clinical.screening import Screened
from docbuilder.model.knowledge import Case, Knowledge, Statement
from docbuilder.model.message import Message

__all__ = ["Safety", "safety_sentences"]


@dataclass(frozen=True, slots=True)
class Safety:
    """Three lists of the handout; each sentence stands alone."""

    never_place: tuple[Message, ...]
    stop_and_call: tuple[Message, ...]
    do_not_use: tuple[Message, ...]


def safety_sentences(case: Case, screened: Screened, knowledge: Knowledge) -> Safety:
    """Choose the sentences for *case*.

    A sentence that repeats a screening rule in general form ("Do not use the unit if
    you have a pacemaker") is left out only when the clinician has written who agreed to
    the use; the rule's own sentence for this patient then stands in the cautions.
    """
    agreed = {line.code for line in screened.lines if line.override is not None}

    def fitting(statements: tuple[Statement, ...]) -> tuple[Message, ...]:
        return sentences((item for item in statements if item.rule not in agreed), case)

    texts = knowledge.safety
    return Safety(
        fitting(texts.never_place), fitting(texts.stop_and_call), fitting(texts.do_not_use)
    )
