"""Which keys of the knowledge files hold text that prints, for whom, in which context.

The reader makes `Message`s by this table and the catalogue tool extracts by it, so
that nothing can print which was not offered to the translators.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, NamedTuple

from docbuilder.inputs.yaml_file import ListNode, MapNode, Node, ScalarNode, read_yaml

__all__ = ["PRINTED", "Audience", "KnowledgeMessage", "Printed", "knowledge_messages"]

Audience = Literal["patient", "consent", "clinician"]


@dataclass(frozen=True, slots=True)
class Printed:
    """What a key's text is: who reads it, its gettext context, and a note to translators."""

    audience: Audience
    context: str
    note: str


PRINTED: dict[str, Printed] = {
    "name": Printed("clinician", "", "name of a purpose of treatment, inside a line"),
    "why_you": Printed("patient", "", "first sentence of the handout"),
    "safety": Printed("patient", "safety", "safety sentence of the handout"),
    "handout": Printed("patient", "safety", "caution of the handout, for this patient only"),
    "consent": Printed("consent", "consent", "sentence of the consent form"),
    "patient_text": Printed("consent", "consent", "guidance, told on the consent form"),
    "off_label_sentence": Printed(
        "consent", "consent", "use that the maker's labelling does not cover"
    ),
    "valid_until": Printed("consent", "consent", "end of the consent's validity"),
    "question": Printed("clinician", "safety", "screening question, asked by the clinician"),
    "checklist": Printed("clinician", "safety", "what the clinician does; keep stop and not"),
    "why": Printed("clinician", "", "reason behind a screening question"),
    "differ": Printed("clinician", "", "where sources disagree; keep names and years"),
    "text": Printed("clinician", "", "guidance, told to the clinician"),
    "clinician": Printed("clinician", "", "line of the follow-up sheets"),
}
"""By key; the value is one text."""

PRINTED_MAPS: dict[str, Printed] = {
    "who_to_ask": Printed("clinician", "", "whom the clinician asks"),
    "condition": Printed("consent", "consent", "what the patient has"),
    "purpose": Printed("consent", "consent", "what the treatment is for"),
    "changed": Printed("clinician", "", "why consent has to be renewed"),
}
"""By key; the value maps codes to texts."""


class KnowledgeMessage(NamedTuple):
    """One text to translate and where it stands."""

    file: str
    line: int
    context: str
    msgid: str
    comment: str
    audience: Audience


def knowledge_messages(folder: Path) -> Iterator[KnowledgeMessage]:
    """Yield every text of the knowledge files in *folder* that can print, in file order.

    Raises:
        InputFault: A file cannot be read.
    """
    for path in sorted(folder.glob("*.yaml")):
        for where, text, line in _walk(read_yaml(path).root, ()):
            printed = _printed(where)
            if printed is not None:
                comment = f"{printed.audience}: {printed.note} ({'.'.join(where)})"
                yield KnowledgeMessage(
                    path.name, line, printed.context, text, comment, printed.audience
                )


def _printed(where: tuple[str, ...]) -> Printed | None:
    if len(where) > 1 and where[-2] in PRINTED_MAPS:
        return PRINTED_MAPS[where[-2]]
    return PRINTED.get(where[-1])


def _walk(node: Node, where: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str, int]]:
    if isinstance(node, ScalarNode):
        yield where, node.text.strip(), node.line
    elif isinstance(node, ListNode):
        for number, item in enumerate(node.items, start=1):
            inside = (*where, str(number)) if isinstance(item, MapNode) else where
            yield from _walk(item, inside)
    else:
        for key, value in node.values.items():
            yield from _walk(value, (*where, key))
