"""Catalogues as XLIFF 2.0, for translators whose tools do not read PO.

One unit a text; a plural message gives one unit for each form of the language. The
unit's id is the digest of context and source, so that an edited source is noticed
when the file comes back. Written by the OASIS standard XLIFF 2.0, core only.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.catalog import Message as CatalogMessage

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.language.catalogue import DOMAIN, message_ids, message_texts
from docbuilder.language.pairs import counts_of_form
from docbuilder.language.review import key_digest

__all__ = ["Unit", "read_xliff", "units_of", "xliff_bytes"]

_NS = "urn:oasis:names:tc:xliff:document:2.0"
_XML = "{http://www.w3.org/XML/1998/namespace}"
_ENCODING = re.compile(r"<\?xml[^>]*\bencoding\s*=\s*[\"']([^\"'>]*)")
_UNSAFE = re.compile(r"<!(?:DOCTYPE|ENTITY)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Unit:
    """One text to translate, as a translator's tool shows it."""

    id: str
    """Digest of (context, msgid); a plural form adds "-0", "-1" ..."""
    context: str
    source: str
    target: str
    state: str
    """initial, translated or reviewed."""
    notes: tuple[str, ...] = ()


def units_of(catalogue: Catalog, reviewed: frozenset[str] = frozenset()) -> Iterator[Unit]:
    """Yield the units of a catalogue, fuzzy translations as "initial".

    Args:
        catalogue: A language's catalogue.
        reviewed: Key digests of the messages whose signature stands.
    """
    for message in catalogue:
        if not message.id:
            continue
        msgid, plural = message_ids(message)
        context = message.context or ""
        digest = key_digest((context, msgid))
        for form, text in enumerate(message_texts(message)):
            notes = tuple(message.auto_comments)
            unit_id, source = digest, msgid
            if plural:
                counts = counts_of_form(catalogue.plural_expr, form)
                unit_id, source = f"{digest}-{form}", msgid if counts == (1,) else plural
                shown = ", ".join(map(str, counts[:6])) or "fractions"
                notes += (f"Plural form for {shown}{' ...' if len(counts) > 6 else ''}.",)
            state = _state(message, text, digest in reviewed)
            yield Unit(unit_id, context, source, text, state, notes)


def _state(message: CatalogMessage, text: str, reviewed: bool) -> str:
    if not text or message.fuzzy:
        return "initial"
    return "reviewed" if reviewed else "translated"


def xliff_bytes(units: list[Unit], source_tag: str, tag: str) -> bytes:
    """Return the units as an XLIFF 2.0 file."""
    ET.register_namespace("", _NS)
    root = ET.Element(f"{{{_NS}}}xliff", version="2.0", srcLang=source_tag, trgLang=tag)
    file = ET.SubElement(root, f"{{{_NS}}}file", id=DOMAIN)
    for unit in units:
        node = ET.SubElement(file, f"{{{_NS}}}unit", id=f"u{unit.id}")
        remarks = [("context", unit.context)] if unit.context else []
        remarks += [("description", note) for note in unit.notes]
        if remarks:
            notes = ET.SubElement(node, f"{{{_NS}}}notes")
            for category, text in remarks:
                ET.SubElement(notes, f"{{{_NS}}}note", category=category).text = text
        segment = ET.SubElement(node, f"{{{_NS}}}segment", state=unit.state)
        for name, text in (("source", unit.source), ("target", unit.target)):
            if text or name == "source":
                part = ET.SubElement(segment, f"{{{_NS}}}{name}")
                part.set(f"{_XML}space", "preserve")
                part.text = text
    ET.indent(root)
    body: bytes = ET.tostring(root, encoding="utf-8", xml_declaration=True)
    return body + b"\n"


def read_xliff(path: Path) -> tuple[str, Mapping[str, Unit]]:
    """Read an XLIFF 2.0 file; returns its target language and its units by id.

    Raises:
        InputFault: Not XLIFF 2.0, not well formed, or with a document type declaration
            (which a translation never needs and an attack would use).
    """
    try:
        # Text, not bytes, is parsed: an encoding that the file names cannot hide a declaration.
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise _fault(path, "text that is not UTF-8", "well-formed XML in UTF-8") from None
    named = _ENCODING.match(text)
    if "\0" in text or (named and named[1].lower() not in ("utf-8", "us-ascii")):
        raise _fault(path, "another encoding", "well-formed XML in UTF-8")
    if _UNSAFE.search(text):
        raise _fault(path, "a document type declaration", "XLIFF without one")
    try:
        root = ET.fromstring(text)
    except (ET.ParseError, ValueError) as fault:
        raise _fault(path, str(fault), "well-formed XML in UTF-8") from fault
    if root.tag != f"{{{_NS}}}xliff" or not root.get("version", "").startswith("2."):
        raise _fault(path, root.tag, "an xliff element, version 2.0")
    units = {}
    for node in root.iter(f"{{{_NS}}}unit"):
        unit = _unit(node)
        units[unit.id] = unit
    return root.get("trgLang", ""), units


def _unit(node: ET.Element) -> Unit:
    notes = node.findall(f".//{{{_NS}}}note")
    context = next((note.text or "" for note in notes if note.get("category") == "context"), "")
    segments = node.findall(f"{{{_NS}}}segment")

    def joined(name: str) -> str:
        parts = (segment.find(f"{{{_NS}}}{name}") for segment in segments)
        return "".join("".join(part.itertext()) for part in parts if part is not None)

    states = {segment.get("state", "initial") for segment in segments}
    state = "initial" if "initial" in states else "translated"
    return Unit(node.get("id", "").removeprefix("u"), context, joined("source"), joined("target"),
                state)  # fmt: skip


def _fault(path: Path, found: str, allowed: str) -> InputFault:
    return InputFault([Issue(Place(str(path)), "XLIFF", found, allowed)])
