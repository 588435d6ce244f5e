"""Read one YAML or JSON file into a small tree that knows its lines.

The reader is stricter than YAML: no tags, anchors, aliases, second documents or
repeated keys, and bounds on size, depth and number of values. It guesses no
types: `no`, `12:30`, `010` and `2026-12-01` all stay the text that was written,
and `docbuilder.inputs.fields` gives each the type that its field asks for.

Every fault, also one of the disk, is an `InputFault` that says what to mend.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn, cast

import yaml

from docbuilder.errors import InputFault, Issue, Place

__all__ = [
    "ListNode", "MapNode", "MAX_BYTES", "MAX_DEPTH", "MAX_NODES", "Node", "ScalarNode",
    "YamlFile", "decode", "parse_yaml", "read_bytes", "read_yaml", "shown", "shown_path",
]  # fmt: skip

MAX_BYTES = 1_000_000
MAX_DEPTH = 12
MAX_NODES = 20_000
_MAX_KEY = 120
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufffe\uffff]")
"""Also the line ends that an editor does not count: they would shift our line numbers."""


@dataclass(frozen=True, slots=True)
class ScalarNode:
    """One value as written; *plain* when it stood without quotes."""

    text: str
    line: int
    plain: bool = True

    @property
    def empty(self) -> bool:
        """Nothing is written here: no text, `~` or `null`."""
        return self.plain and self.text in ("", "~", "null")


@dataclass(frozen=True, slots=True)
class ListNode:
    """A list; *line* is that of its first sign."""

    items: tuple[Node, ...]
    line: int


@dataclass(frozen=True, slots=True)
class MapNode:
    """Keys with their values, in file order, and the line of each key."""

    values: dict[str, Node]
    key_lines: dict[str, int]
    line: int


Node = ScalarNode | ListNode | MapNode


@dataclass(frozen=True, slots=True)
class YamlFile:
    """One file that was read: its tree, the name to show, and its SHA-256 in hex."""

    root: MapNode
    name: str
    digest: str


def read_yaml(path: Path, *, ours: bool = False) -> YamlFile:
    """Read the YAML file at *path*, or JSON if its name ends in `.json`.

    Args:
        path: The file.
        ours: It is shipped, so a test has read it strictly, and a fast parser will do that
            lets some faults pass (a stray tab or bracket).

    Raises:
        InputFault: The file cannot be read or is not plain strict YAML; holds all
            repeated keys, or the one fault after which reading could not go on.
    """
    return parse_yaml(
        read_bytes(path), shown_path(path), as_json=path.suffix.lower() == ".json", ours=ours
    )


def parse_yaml(data: bytes, name: str, *, as_json: bool = False, ours: bool = False) -> YamlFile:
    """Read *data*, the bytes of a file that messages shall call *name*.

    Raises:
        InputFault: As for `read_yaml`.
    """
    if len(data) > MAX_BYTES:
        _refuse_size(name, len(data))
    text = decode(data, name)
    if as_json:
        _check_json(text, name)
        text = text.replace("\t", " ")  # the one white space of JSON that YAML minds
    root = _Builder(name, _FAST if ours else yaml.SafeLoader).build(text)
    return YamlFile(root=root, name=name, digest=hashlib.sha256(data).hexdigest())


def read_bytes(path: Path, max_bytes: int = MAX_BYTES) -> bytes:
    """Return the bytes of the regular file at *path*, at most *max_bytes* of them.

    Raises:
        InputFault: No such file, no regular file, not readable, or too large; a file
            that is too large is not read.
    """
    name = shown_path(path)
    try:
        _check_regular(path.stat(), name, max_bytes)
        # Between the look and the opening the path may have become a pipe: never wait.
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0)
                             | getattr(os, "O_BINARY", 0))  # fmt: skip
        with os.fdopen(descriptor, "rb") as file:
            _check_regular(os.fstat(file.fileno()), name, max_bytes)
            data = file.read(max_bytes + 1)
    except FileNotFoundError:
        _fail(name, 0, "no such file", "a file that exists", "check the path and its spelling")
    except PermissionError:
        _fail(name, 0, "a file that may not be read", "a file that you may read",
              "ask its owner for read permission")  # fmt: skip
    except (OSError, ValueError) as fault:
        reason = fault.strerror if isinstance(fault, OSError) and fault.strerror else "bad path"
        _fail(name, 0, reason.lower(), "a file that can be read", "check the path and the disk")
    if len(data) > max_bytes:
        _refuse_size(name, len(data), max_bytes)
    return data


def shown(text: str, limit: int = 40) -> str:
    r"""Quote *text* for a message: escaped, one line, at most *limit* characters of it.

    >>> shown("ten\u202e")
    "'ten\\u202e'"
    """
    return repr(text if len(text) <= limit else text[: limit - 1] + "…")


def shown_path(path: Path) -> str:
    """Return *path* as one printable line."""
    return "".join(
        c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in str(path)
    )


def _check_regular(status: os.stat_result, name: str, max_bytes: int) -> None:
    if stat.S_ISDIR(status.st_mode):
        _fail(name, 0, "a folder", "a file", "name the file inside the folder")
    if not stat.S_ISREG(status.st_mode):
        _fail(name, 0, "a device, pipe or socket", "a regular file", "save it as a file first")
    if status.st_size > max_bytes:
        _refuse_size(name, status.st_size, max_bytes)


def _refuse_size(name: str, size: int, max_bytes: int = MAX_BYTES) -> NoReturn:
    _fail(name, 0, f"{size} bytes", f"at most {max_bytes} bytes", "check that it is the right file")


def decode(data: bytes, name: str) -> str:
    """Return *data* as text of printable characters, without a byte-order mark.

    Raises:
        InputFault: Not UTF-8, or with a character that no editor shows.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        _fail(name, 0, "UTF-16 text", "UTF-8 text", "save the file again as UTF-8")
    if b"\x00" in data:
        _fail(name, 0, "a binary file", "UTF-8 text", "check that it is the right file")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        _fail(name, line, f"the byte 0x{data[fault.start]:02x}, not UTF-8", "UTF-8 text",
              "save the file again as UTF-8")  # fmt: skip
    if control := _CONTROL.search(text):
        line = text.count("\n", 0, control.start()) + 1
        _fail(name, line, f"the control character U+{ord(control[0]):04X}", "printable text",
              "delete the character or type the line again")  # fmt: skip
    return text


def _check_json(text: str, name: str) -> None:
    """Refuse what a JSON reader would refuse; numbers stay text, so none can be too long."""
    try:
        json.loads(text, parse_int=str, parse_float=str, parse_constant=_no_constant)
    except json.JSONDecodeError as fault:
        _fail(name, fault.lineno, f"a JSON fault: {fault.msg.lower()}", "JSON",
              "look at this line and the one above it")  # fmt: skip
    except RecursionError:
        _refuse_depth(name, 1)
    except ValueError:
        _fail(name, 0, "NaN or Infinity", "JSON numbers", "write the number in digits")


def _no_constant(word: str) -> NoReturn:
    raise ValueError(word)


_FAST = cast("type[yaml.SafeLoader]", getattr(yaml, "CSafeLoader", yaml.SafeLoader))
"""LibYAML's parser where it is installed: seven times as fast, a tenth of a second a start."""


class _Builder:
    """Turns parser events into nodes, one file at a time."""

    def __init__(self, name: str, loader: type[yaml.SafeLoader]) -> None:
        self.name, self.loader = name, loader
        self.line = 1
        self.count = 0
        self.repeated: list[Issue] = []

    def build(self, text: str) -> MapNode:
        events = self._events(text)
        root = next((self._node(event, events, 1) for event in events), None)
        if root is None or (isinstance(root, ScalarNode) and root.empty):
            _fail(self.name, 0, "an empty file", "keys with values", "see `docbuilder new`")
        for _ in events:  # lets a fault after the last value show
            pass
        if self.repeated:
            raise InputFault(self.repeated)
        if not isinstance(root, MapNode):
            _fail(self.name, root.line, _kind(root), "keys with values, as in `device: demo-duo`",
                  "see `docbuilder new`")  # fmt: skip
        return root

    def _events(self, text: str) -> Iterator[yaml.Event]:
        """Yield the events that carry values, refusing what we do not read."""
        try:
            for event in yaml.parse(text, Loader=self.loader):
                self.line = _line(event)
                if isinstance(event, yaml.DocumentStartEvent):
                    self._start(event)
                if isinstance(event, yaml.NodeEvent):
                    self._check(event)
                if isinstance(event, (yaml.NodeEvent, yaml.CollectionEndEvent)):
                    yield event
        except yaml.MarkedYAMLError as fault:
            mark = fault.problem_mark or fault.context_mark
            line = mark.line + 1 if mark else self.line
            _fail(self.name, line, f"a YAML fault: {_plain(fault)}", "YAML",
                  "look at indent, quotes and colons of this line and the one above")  # fmt: skip
        except (yaml.YAMLError, ValueError, OverflowError):
            _fail(self.name, self.line, "a YAML fault after this line", "YAML",
                  "look at the escapes and quotes that follow")  # fmt: skip

    def _start(self, event: yaml.DocumentStartEvent) -> None:
        if event.tags:
            self._no_tags()
        if self.count:
            _fail(self.name, self.line, "a second document", "one document in a file",
                  "remove this line and what follows it")  # fmt: skip

    def _check(self, event: yaml.NodeEvent) -> None:
        if isinstance(event, yaml.AliasEvent) or event.anchor is not None:
            sign = "*" if isinstance(event, yaml.AliasEvent) else "&"
            _fail(self.name, self.line, f"{sign}{str(event.anchor)[:20]}", "no anchors or aliases",
                  "write the value out, or put text that begins so in quotes")  # fmt: skip
        if getattr(event, "tag", None) is not None:
            self._no_tags()
        self.count += 1
        if self.count > MAX_NODES:
            _fail(self.name, self.line, f"more than {MAX_NODES} values",
                  f"at most {MAX_NODES} values", "check that it is the right file")  # fmt: skip

    def _no_tags(self) -> NoReturn:
        _fail(self.name, self.line, "a YAML tag", "no tags",
              "remove the word that begins with !, or put the text in quotes")  # fmt: skip

    def _node(self, event: yaml.Event, events: Iterator[yaml.Event], depth: int) -> Node:
        line = _line(event)
        if depth > MAX_DEPTH:
            _refuse_depth(self.name, line)
        if isinstance(event, yaml.ScalarEvent):
            return ScalarNode(self._text(event.value, line), line, not event.style)
        if isinstance(event, yaml.SequenceStartEvent):
            items: list[Node] = []
            while not isinstance(item := next(events), yaml.SequenceEndEvent):
                items.append(self._node(item, events, depth + 1))
            return ListNode(tuple(items), line)
        return self._mapping(events, depth, line)

    def _mapping(self, events: Iterator[yaml.Event], depth: int, line: int) -> MapNode:
        values: dict[str, Node] = {}
        lines: dict[str, int] = {}
        while not isinstance(event := next(events), yaml.MappingEndEvent):
            key = self._node(event, events, depth + 1)
            if not isinstance(key, ScalarNode) or key.empty or len(key.text) > _MAX_KEY:
                _fail(self.name, key.line, "a key that is no short word", "a key and a colon",
                      "look at the indent and colons of this line")  # fmt: skip
            value = self._node(next(events), events, depth + 1)
            if key.text in values:
                self._repeat(key, lines[key.text])
                continue
            values[key.text], lines[key.text] = value, key.line
        return MapNode(values, lines, line)

    def _repeat(self, key: ScalarNode, first: int) -> None:
        self.repeated.append(
            Issue(Place(self.name, key.line), shown(key.text)[1:-1],
                  f"the key a second time, first on line {first}", "each key once",
                  "keep the line that is meant and delete the other")
        )  # fmt: skip

    def _text(self, text: str, line: int) -> str:
        """Join the surrogate pairs that JSON escapes write; refuse half of one."""
        try:
            return text.encode("utf-16-le", "surrogatepass").decode("utf-16-le")
        except UnicodeDecodeError:
            _fail(self.name, line, "half of an escaped character", "whole characters",
                  "type the character itself in place of its \\u escape")  # fmt: skip


def _line(event: yaml.Event) -> int:
    return event.start_mark.line + 1 if event.start_mark else 1


def _refuse_depth(name: str, line: int) -> NoReturn:
    _fail(name, line, f"values nested deeper than {MAX_DEPTH}", f"at most {MAX_DEPTH} levels",
          "look at the brackets and the indent")  # fmt: skip


def _kind(node: Node) -> str:
    return "a list" if isinstance(node, ListNode) else "a single value"


def _plain(fault: yaml.MarkedYAMLError) -> str:
    """Return the parser's own words in one bounded line."""
    return " ".join(str(fault.problem or fault.context or "cannot be read").split())[:80]


def _fail(name: str, line: int, found: str, allowed: str, hint: str) -> NoReturn:
    raise InputFault([Issue(Place(name, line), "file", found, allowed, hint)])
