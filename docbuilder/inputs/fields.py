"""Read the fields of one file, collecting every fault before anything is refused.

    collector = Collector(read_yaml(path))
    root = collector.root
    name = root.required("name", text(80))
    pulse_rate_hz = root.optional("pulse_rate_hz", decimal(1, 150))
    battery = root.section("battery")
    hours = battery.required("hours_of_use", decimal(1, 1000))
    collector.finish()          # raises InputFault with all faults
    return Unit(name, ...)

A reader that met a fault returns None, whatever its type says, and the collector
remembers; so build the value after `finish`, or build it before and never use it
if `finish` raises. A key that was never asked for is an unknown key: `finish`
reports it, with a suggestion. The converters (`text`, `decimal` ...) are in
`docbuilder.inputs.values`.

Dotted names count list items from 1: `reasons.1.about`.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeVar, cast, overload

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.yaml_file import ListNode, MapNode, Node, ScalarNode, YamlFile, shown

__all__ = ["Collector", "Convert", "Fault", "Section", "Unfit", "list_of", "nearest"]

T = TypeVar("T")
D = TypeVar("D")


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a value; *under* names the list item, as in "2", or is empty."""

    line: int
    found: str
    allowed: str
    hint: str = ""
    under: str = ""


class Unfit(Exception):
    """What a converter raises when the value does not fit; never leaves `inputs`."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("value does not fit")


Convert = Callable[[Node], T]
"""Turns a node into a value or raises `Unfit`."""


class Collector:
    """The faults of one file, and where each of its fields stands."""

    def __init__(self, file: YamlFile) -> None:
        self.file = file
        self.issues: list[Issue] = []
        self.places: dict[str, Place] = {"": Place(file.name)}
        self.sections: list[Section] = []
        self._note_places(file.root, "")
        self.root = Section(self, file.root, "", file.root.line)

    def add(self, field: str, found: str, allowed: str, hint: str = "", line: int = 0) -> None:
        """Remember one fault of *field*; without *line* it stands where the field does."""
        place = Place(self.file.name, line) if line else self.place(field)
        self.issues.append(Issue(place, field, found, allowed, hint))

    def place(self, field: str) -> Place:
        """Return where *field* stands, or its nearest written parent."""
        while field not in self.places:
            field = field.rpartition(".")[0]
        return self.places[field]

    def finish(self) -> None:
        """Report unknown keys too, then raise all faults if there are any.

        Raises:
            InputFault: Holds every fault found in the file.
        """
        for section in self.sections:
            section.report_unknown()
        self.sections.clear()
        if self.issues:
            raise InputFault(self.issues)

    def _note_places(self, node: Node, path: str) -> None:
        if isinstance(node, MapNode):
            for key, value in node.values.items():
                self.places[_join(path, key)] = Place(self.file.name, node.key_lines[key])
                self._note_places(value, _join(path, key))
        elif isinstance(node, ListNode):
            for number, value in enumerate(node.items, start=1):
                self.places[_join(path, str(number))] = Place(self.file.name, value.line)
                self._note_places(value, _join(path, str(number)))


class Section:
    """One mapping of the file, read key by key."""

    def __init__(self, collector: Collector, node: MapNode, path: str, line: int) -> None:
        self.collector = collector
        self.path = path
        self.line = line
        self._node = node
        self._asked: dict[str, None] = {}
        collector.sections.append(self)

    def __contains__(self, key: str) -> bool:
        return key in self._node.values

    def name(self, key: str) -> str:
        """Return the dotted name of *key* here, escaped so that it prints."""
        return _join(self.path, shown(key)[1:-1])

    def required(self, key: str, convert: Convert[T]) -> T:
        """Read *key*; a missing key is a fault (see the module on what then returns)."""
        node = self._take(key)
        if node is None:
            self._missing(key, _wanted(convert, self.line))
            return cast(T, None)
        if isinstance(node, ScalarNode) and node.empty:
            hint = f"write a value for {shown(key)[1:-1]}"
            self._fault(key, node.line, "nothing", _wanted(convert, node.line), hint)
            return cast(T, None)
        return self._convert(key, node, convert)

    @overload
    def optional(self, key: str, convert: Convert[T]) -> T | None: ...

    @overload
    def optional(self, key: str, convert: Convert[T], default: D) -> T | D: ...

    def optional(self, key: str, convert: Convert[T], default: object = None) -> object:
        """Read *key*, or return *default* when it is not there."""
        node = self._take(key)
        return default if node is None else self._convert(key, node, convert)

    def section(self, key: str) -> Section:
        """Return the mapping at *key*; an empty one after a fault, whose keys go unmissed."""
        node = self._take(key)
        if node is None:
            self._missing(key)
            return _Lost(self.collector, self.name(key))
        return self._section(key, node, self._node.key_lines[key])

    def optional_section(self, key: str) -> Section | None:
        """Return the mapping at *key*, or None when it is not there."""
        return self.section(key) if key in self or self._take(key) else None

    def sections(self, key: str, at_least: int = 0, at_most: int = 200) -> tuple[Section, ...]:
        """Return the list of mappings at *key*; missing counts as an empty list."""
        node = self._take(key)
        if node is None:
            if at_least:
                self._missing(key, "a list of entries, each with its keys")
            return ()
        if not isinstance(node, ListNode):
            self._wrong(key, node, "a list of entries, each with its keys")
            return ()
        if not at_least <= len(node.items) <= at_most:
            self._fault(key, node.line, *_wrong_length(node, at_least, at_most))
        return tuple(
            self._section(f"{key}.{number}", item, item.line)
            for number, item in enumerate(node.items, start=1)
        )

    def pairs(
        self,
        key: str,
        convert: Convert[T],
        known: Iterable[str] | None = None,
        keys: Convert[str] | None = None,
    ) -> dict[str, T]:
        """Read the mapping at *key* whose keys are data; missing is an empty mapping.

        With *known*, any other key is a fault with a suggestion; without it, *keys*
        may check and convert each key.
        """
        section = self.optional_section(key)
        if section is None:
            return {}
        if known is not None:
            section._asked.update(dict.fromkeys(known))
            keys = None
        pairs: dict[str, T] = {}
        for name in section.text_keys():
            if known is not None and name not in section._asked:
                continue
            line = section._node.key_lines[name]
            as_read = section._convert(name, ScalarNode(name, line), keys) if keys else name
            if as_read in pairs:
                section.add(name, "the same key in other letters", "each key once", "keep one")
            pairs[as_read] = section.required(name, convert)
        return pairs

    def shape(self, key: str) -> Literal["", "value", "list", "mapping"]:
        """Return what stands at *key*, where it may take several forms; "" for nothing."""
        node = self._node.values.get(key)
        if node is None:
            return ""
        if isinstance(node, ListNode):
            return "list"
        return "mapping" if isinstance(node, MapNode) else "value"

    def text_keys(self) -> tuple[str, ...]:
        """Return the keys written here, in file order."""
        return tuple(self._node.values)

    def add(self, key: str, found: str, allowed: str, hint: str = "") -> None:
        """Remember a fault of *key* that its caller found, at the line where it stands."""
        self.collector.add(self.name(key), found, allowed, hint)

    def report_unknown(self) -> None:
        """Remember a fault for each key that was never asked for."""
        for key, line in self._node.key_lines.items():
            if key not in self._asked:
                self.collector.add(
                    self.name(key),
                    "a key that is not known here",
                    "one of " + ", ".join(self._asked) if self._asked else "no keys",
                    nearest(key, self._asked) or "remove the line or correct the key",
                    line,
                )

    def _take(self, key: str) -> Node | None:
        self._asked[key] = None
        return self._node.values.get(key)

    def _convert(self, key: str, node: Node, convert: Convert[T]) -> T:
        try:
            return convert(node)
        except Unfit as unfit:
            for fault in unfit.faults:
                name = self.name(key)
                name = _join(name, fault.under) if fault.under else name
                self.collector.add(name, fault.found, fault.allowed, fault.hint, fault.line)
        return cast(T, None)

    def _section(self, key: str, node: Node, line: int) -> Section:
        if isinstance(node, ScalarNode) and node.empty:
            node = MapNode({}, {}, line)  # a heading with nothing, or only remarks, under it
        if isinstance(node, MapNode):
            return Section(self.collector, node, self.name(key), line)
        self._wrong(key, node, "keys with values, indented under this key")
        return _Lost(self.collector, self.name(key))

    def _wrong(self, key: str, node: Node, allowed: str) -> None:
        hint = "see the shape in `docbuilder new`"
        self._fault(key, node.line, found(node), allowed, hint)

    def _fault(self, key: str, line: int, found: str, allowed: str, hint: str = "") -> None:
        self.collector.add(self.name(key), found, allowed, hint, line)

    def _missing(self, key: str, allowed: str = "keys with values") -> None:
        self._fault(key, self.line, "nothing", allowed, f"add the key {key}")


class _Lost(Section):
    """Stands for a mapping that is not there, so that one fault is told once."""

    def __init__(self, collector: Collector, path: str) -> None:
        super().__init__(collector, MapNode({}, {}, 0), path, 0)

    def _missing(self, key: str, allowed: str = "") -> None:
        """Say nothing: the section's own fault has been told."""


def list_of(convert: Convert[T], at_least: int = 0, at_most: int = 366) -> Convert[tuple[T, ...]]:
    """Make a converter for a list whose items all go through *convert*."""

    def read(node: Node) -> tuple[T, ...]:
        if not isinstance(node, ListNode):
            hint = "write it as a list, as in [one, two]"
            raise Unfit(Fault(node.line, found(node), "a list", hint))
        if not at_least <= len(node.items) <= at_most:
            raise Unfit(Fault(node.line, *_wrong_length(node, at_least, at_most)))
        values: list[T] = []
        faults: list[Fault] = []
        for number, item in enumerate(node.items, start=1):
            try:
                values.append(convert(item))
            except Unfit as unfit:
                faults.extend(_under(str(number), fault) for fault in unfit.faults)
        if faults:
            raise Unfit(*faults)
        return tuple(values)

    return read


def found(node: Node) -> str:
    """Tell in words what *node* is, for the "found" of a message."""
    if isinstance(node, MapNode):
        return "keys with values"
    if isinstance(node, ListNode):
        return "a list"
    return "nothing" if node.empty else shown(node.text)


def scalar(node: Node, allowed: str) -> ScalarNode:
    """Return *node* if it is one written value.

    Raises:
        Unfit: It is a list, a mapping or empty; *allowed* says what should stand there.
    """
    if isinstance(node, ScalarNode) and not node.empty:
        return node
    empty = isinstance(node, ScalarNode)
    hint = "write a value or remove the line" if empty else "write one value after the colon"
    raise Unfit(Fault(node.line, found(node), allowed, hint))


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a "did you mean" hint for *word*, or nothing when none is near.

    >>> nearest("pulse_widht_us", ["pulse_width_us", "pulse_rate_hz"])
    'did you mean pulse_width_us?'
    """
    by_fold: Mapping[str, str] = {name.casefold(): name for name in known}
    close = difflib.get_close_matches(word[:60].casefold().strip(), by_fold, n=1, cutoff=0.6)
    return f"did you mean {by_fold[close[0]]}?" if close else ""


def _wanted(convert: Convert[T], line: int) -> str:
    """Return what *convert* allows, by its words on an empty value."""
    try:
        convert(ScalarNode("", line))
    except Unfit as unfit:
        return unfit.faults[0].allowed
    return "a value"


def _under(number: str, fault: Fault) -> Fault:
    under = _join(number, fault.under) if fault.under else number
    return Fault(fault.line, fault.found, fault.allowed, fault.hint, under)


def _join(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _wrong_length(node: ListNode, at_least: int, at_most: int) -> tuple[str, str, str]:
    count = len(node.items)
    hint = "add an entry or remove the key" if count < at_least else "remove entries"
    return f"{count} entries", f"{at_least} to {at_most} entries", hint
