"""Finds the messages in templates and in Python code.

Templates: everything in `{% trans %}` and `_()`. Code: `Message("...")` and calls of
`gettext`, `pgettext`, `ngettext`, `npgettext` with literal texts. A comment that
starts with ``NOTE:`` right above goes to the translator.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from jinja2.ext import babel_extract

__all__ = ["Extracted", "extract_python", "extract_template", "literal_gaps"]

_NOTE = "NOTE:"
_KEYWORDS = ("gettext", "pgettext", "ngettext", "npgettext")
_TEMPLATE_OPTIONS = {
    "trimmed": "true",
    "newstyle_gettext": "true",
    "trim_blocks": "true",
    "lstrip_blocks": "true",
    "extensions": "jinja2.ext.do",
    "silent": "false",
}


@dataclass(frozen=True, slots=True)
class Extracted:
    """One message found in a source."""

    msgid: str
    file: str
    """Path from the project's folder, with forward slashes."""
    line: int
    context: str = ""
    plural: str = ""
    comments: tuple[str, ...] = ()


def extract_template(path: Path, name: str) -> Iterator[Extracted]:
    """Yield the messages of one Jinja template, in order.

    Args:
        path: The template.
        name: The path to note in the catalogue.

    Raises:
        jinja2.TemplateSyntaxError: The template does not parse.
    """
    with path.open("rb") as handle:
        for line, function, texts, comments in babel_extract(
            handle, [*_KEYWORDS, "_"], [_NOTE], _TEMPLATE_OPTIONS
        ):
            parts: list[str | None] = [texts] if isinstance(texts, str) else list(texts or ())
            notes = tuple(" ".join(one.split()) for one in comments)  # the tag is off already
            found = _message(function or "_", parts, name, line, notes)
            if found is not None:
                yield found


def extract_python(path: Path, name: str) -> Iterator[Extracted]:
    """Yield the messages of one Python module, in order; see `extract_template`."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    calls = (node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Call))
    for call in sorted(calls, key=lambda node: (node.lineno, node.col_offset)):
        function = _called(call)
        if function == "Message":
            found = _from_constructor(call, name, _comments_above(lines, call.lineno))
        elif function in _KEYWORDS:
            parts = [_literal(argument) for argument in call.args]
            notes = _comments_above(lines, call.lineno)
            found = _message(function, parts, name, call.lineno, notes)
        else:
            continue
        if found is not None:
            yield found


def literal_gaps(path: Path) -> Iterator[int]:
    """Yield the lines where a module builds a `Message` from a text that is no literal.

    Such messages cannot be found here; their texts must come from somewhere that is
    extracted by other means (the knowledge files).
    """
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and _called(node) == "Message":
            first = node.args[0] if node.args else _keyword(node, "msgid")
            if first is not None and _literal(first) is None:
                yield node.lineno


def _called(call: ast.Call) -> str:
    if isinstance(call.func, ast.Attribute):
        return call.func.attr
    return call.func.id if isinstance(call.func, ast.Name) else ""


def _keyword(call: ast.Call, name: str) -> ast.expr | None:
    return next((word.value for word in call.keywords if word.arg == name), None)


def _literal(node: ast.expr | None) -> str | None:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None


def _from_constructor(call: ast.Call, name: str, notes: tuple[str, ...]) -> Extracted | None:
    def argument(position: int, word: str) -> str | None:
        if len(call.args) > position:
            return _literal(call.args[position])
        return _literal(_keyword(call, word))

    msgid = argument(0, "msgid")
    if not msgid:
        return None
    context, plural = argument(1, "context") or "", argument(3, "plural") or ""
    return Extracted(msgid, name, call.lineno, context, plural, notes)


def _message(
    function: str, parts: list[str | None], name: str, line: int, notes: tuple[str, ...]
) -> Extracted | None:
    context = parts.pop(0) if function in ("pgettext", "npgettext") and parts else ""
    plural = parts[1] if function in ("ngettext", "npgettext") and len(parts) > 1 else ""
    if not parts or not parts[0] or context is None or plural is None:
        return None
    return Extracted(parts[0], name, line, context, plural, notes)


def _comments_above(lines: list[str], line: int) -> tuple[str, ...]:
    block: list[str] = []
    for text in reversed(lines[: line - 1]):
        if not (match := re.match(r"\s*#\s?(.*)", text)):
            break
        block.insert(0, match[1])
    return _notes([" ".join(block)]) if block else ()


def _notes(comments: list[str]) -> tuple[str, ...]:
    return tuple(
        " ".join(comment.split(_NOTE, 1)[1].split()) for comment in comments if _NOTE in comment
    )
