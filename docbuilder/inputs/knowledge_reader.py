"""The fields that all knowledge files share: sentences, sources, scopes, ranges."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import get_args

from docbuilder.inputs.fields import Collector, Fault, Section, Unfit, list_of
from docbuilder.inputs.knowledge_messages import PRINTED, PRINTED_MAPS
from docbuilder.inputs.values import choice, day, decimal, flag, integer, one_of, text
from docbuilder.inputs.yaml_file import Node, YamlFile
from docbuilder.model.knowledge import Range, Scope, Statement
from docbuilder.model.message import Message
from docbuilder.model.plan import Mark, Source
from docbuilder.model.prescription import PlacementSite, Sex

__all__ = ["MARKS", "SITES", "Reader", "printed_text"]

SITES: tuple[PlacementSite, ...] = get_args(PlacementSite)
SEXES: tuple[Sex, ...] = get_args(Sex)
MARKS: tuple[Mark, ...] = get_args(Mark)
_TERRITORY = re.compile(r"[A-Z]{2}")
_PLACEHOLDER = re.compile(r"%\([a-z_]+\)s")
_plain = text(300)


def printed_text(node: Node) -> str:
    """Read a text that prints: one line, and no per cent sign outside a placeholder."""
    value = _plain(node)
    if "%" in _PLACEHOLDER.sub("", value):
        raise Unfit(Fault(node.line, "a per cent sign", "%(name)s only", "write per cent"))
    return value


def _territory(node: Node) -> str:
    value = _plain(node)
    if not _TERRITORY.fullmatch(value):
        raise Unfit(Fault(node.line, repr(value), "two capital letters, as in GB"))
    return value


def _ages(node: Node) -> tuple[int, int]:
    first, last = list_of(integer(0, 130), at_least=2, at_most=2)(node)
    if first > last:
        raise Unfit(Fault(node.line, f"{first} to {last}", "ages that rise"))
    return first, last


class Reader:
    """One knowledge file with the sources that it may name."""

    def __init__(
        self,
        file: YamlFile,
        sources: Mapping[str, Source],
        indications: Mapping[str, object] | None = None,
    ) -> None:
        self.collector = Collector(file)
        self.root = self.collector.root
        self.sources = sources
        self.indications = indications
        self.reviewed_on = self.root.required("reviewed_on", day())

    def say(self, section: Section, key: str) -> Message:
        """Return the text at *key* as a message in the context that belongs to the key."""
        return Message(section.required(key, printed_text), PRINTED[key].context)

    def may_say(self, section: Section, key: str) -> Message | None:
        """Return the text at *key*, or None when there is none."""
        value = section.optional(key, printed_text)
        return None if value is None else Message(value, PRINTED[key].context)

    def say_each(self, key: str) -> dict[str, Message]:
        """Return the mapping of codes to texts at the top-level *key*."""
        context = PRINTED_MAPS[key].context
        texts = self.root.pairs(key, printed_text)
        return {code: Message(value, context) for code, value in texts.items()}

    def source(self, section: Section) -> Source:
        """Return the source named in *section*, with its `mark` and `note` if it has them."""
        name = section.required("source", one_of(self.sources))
        mark = section.optional("mark", choice(MARKS))
        note = section.optional("note", _plain, "")
        found = self.sources.get(name, Source("from memory"))
        citation = "; ".join(part for part in (found.citation, note) if part)
        return Source(mark or found.mark, citation, self.reviewed_on, note)

    def cited(self, section: Section) -> tuple[Source, ...]:
        """Return the sources listed at `sources`; at least one."""
        names = section.required("sources", list_of(one_of(self.sources), at_least=1))
        return tuple(
            replace(self.sources[name], reviewed_on=self.reviewed_on) for name in names or ()
        )

    def scope(self, section: Section) -> Scope:
        """Return whom *section* is for, from its scope keys."""
        known = tuple(self.indications or ())
        indications = section.optional("indications", list_of(one_of(known)), ())
        return Scope(
            indications=indications,
            sites=section.optional("sites", list_of(choice(SITES)), ()),
            sexes=section.optional("sexes", list_of(choice(SEXES)), ()),
            territories=section.optional("territories", list_of(_territory), ()),
            child=section.optional("child", flag()),
            off_label=section.optional("off_label", flag()),
            side_both=section.optional("side_both", flag()),
            ages=section.optional("ages", _ages),
            alone=section.optional("alone", flag()),
            weeks_from=section.optional("weeks_from", integer(1, 104)),
            sessions_a_week_from=section.optional("sessions_a_week_from", integer(1, 14)),
        )

    def statements(self, key: str, said: str) -> tuple[Statement, ...]:
        """Return the list at top-level *key* whose entries hold their text at *said*."""
        return tuple(
            Statement(
                self.say(section, said),
                self.scope(section),
                self.cited(section),
                section.optional("rule", _plain, ""),
            )
            for section in self.root.sections(key, at_least=1)
        )

    def range(self, parent: Section, key: str) -> Range:
        """Return the range at *key*; a wrong order or a missing source is a fault."""
        section = parent.section(key)
        number = decimal(0, 5000)
        low, start, high = (section.required(name, number) for name in ("low", "start", "high"))
        source = self.source(section)
        if None not in (low, start, high) and not low <= start <= high:
            parent.add(
                key,
                f"low {low}, start {start}, high {high}",
                "low, start and high that do not fall",
                "put the smaller bound in low and start between the two",
            )
        return Range(low, start, high, source)

    def may_range(self, parent: Section, key: str) -> Range | None:
        """Return the range at *key*, or None when there is none."""
        if key in parent:
            return self.range(parent, key)
        parent.optional(key, _plain)  # a known key, so that a misspelt one gets a hint
        return None
