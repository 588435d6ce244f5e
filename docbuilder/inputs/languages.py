"""Language tags and territories as people write them, with a hint when they slip."""

from __future__ import annotations

from collections.abc import Collection

from babel import Locale

from docbuilder.inputs.fields import Convert, Fault, Unfit, nearest, scalar
from docbuilder.inputs.values import language_tag
from docbuilder.inputs.yaml_file import Node, shown

__all__ = ["known_language", "territory"]


def known_language(known: Collection[str] | None = None) -> Convert[str]:
    """Make a converter for a language tag that is one of *known* or a variety of one.

    `es-US` is a variety of `es`: the tag is looked up as in RFC 4647 section 3.4, by
    dropping parts from its end. With *known* None only the form counts.
    """
    tag = language_tag()

    def read(node: Node) -> str:
        try:
            result = tag(node)
        except Unfit as unfit:
            written = scalar(node, "a language tag").text
            if named := _tag_of(written, known):
                raise Unfit(_with_hint(unfit.faults[0], f"write {named}")) from None
            raise
        if known is not None and not any(result == one or result.startswith(f"{one}-")
                                         for one in known):  # fmt: skip
            allowed = "one of " + ", ".join(sorted(known))
            hint = nearest(result, known) or "choose one of these, or add a catalogue for it"
            raise Unfit(Fault(node.line, shown(result), allowed, hint))
        return result

    return read


def territory() -> Convert[str]:
    """Make a converter for a country or territory code, ISO 3166-1 alpha-2."""
    allowed = "a two-letter country code, as in US or GB"

    def read(node: Node) -> str:
        code = scalar(node, allowed).text
        if code not in _territories():
            hint = {"UK": "write GB"}.get(code.upper(), "write the code, not the name")
            upper = code.upper()
            if upper in _territories():
                hint = f"write {upper} in capitals"
            raise Unfit(Fault(node.line, shown(code), allowed, hint))
        return code

    return read


def _tag_of(written: str, known: Collection[str] | None) -> str:
    """Return the tag of a language that is written by its English name, or nothing."""
    names = Locale("en").languages
    for tag, name in names.items():
        if name.casefold() == written.casefold() and (known is None or tag in known):
            return str(tag)
    return ""


def _with_hint(fault: Fault, hint: str) -> Fault:
    return Fault(fault.line, fault.found, fault.allowed, hint)


def _territories() -> frozenset[str]:
    """Return CLDR's territory codes without its groups and its reserved codes."""
    no_country = {"EU", "EZ", "UN", "QO", "XA", "XB", "ZZ"}
    codes = {str(code) for code in Locale("en").territories}
    return frozenset(c for c in codes if len(c) == 2 and c.isalpha()) - no_country
