"""`docbuilder protocols`, `explain` and `languages`: what it knows, and where from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from decimal import Decimal
from pathlib import Path

import click

from docbuilder.cli.options import CLINIC, JSON, Command, call_fault
from docbuilder.cli.report import SCHEMA, json_text
from docbuilder.inputs.clinic import read_clinic
from docbuilder.inputs.fields import nearest
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.model.knowledge import Knowledge, Protocol
from docbuilder.model.plan import Source
from docbuilder.model.unit import number_text
from docbuilder.pack.desk import Desk
from docbuilder.pack.language_table import language_rows

__all__ = ["explain", "languages", "protocols"]

_UNITS = {
    "pulse_width_us": "µs",
    "pulse_rate_hz": "Hz",
    "session_minutes": "min",
    "sessions_per_week": "a week",
    "weeks": "weeks",
    "on_s": "s",
    "off_s": "s",
    "ramp_s": "s",
}


@click.command(
    cls=Command,
    short_help="Show ranges, start values and their sources.",
    epilog="""\b
Examples:
  docbuilder protocols
  docbuilder protocols urge_leakage --json""",
)
@click.argument("indication", metavar="[INDICATION]", default="")
@CLINIC
@JSON
def protocols(indication: str, clinic_folder: Path | None, as_json: bool) -> None:
    """Show the protocols: ranges, start values, sources and when these were reviewed."""
    clinic = read_clinic(clinic_folder)
    knowledge = read_knowledge(clinic)
    if indication and indication not in knowledge.indications:
        known = sorted(knowledge.indications)
        raise call_fault(
            "command line",
            "INDICATION",
            repr(indication),
            ", ".join(known),
            nearest(indication, known) or "leave it out to see all",
        )
    chosen = [item for item in knowledge.protocols if indication in ("", item.indication)]
    if as_json:
        body = {
            "schema": SCHEMA,
            "clinic_files": list(knowledge.clinic_files),
            "protocols": [_row(item) for item in chosen],
            "sources": {name: _source(item) for name, item in knowledge.sources.items()},
        }
        click.echo(json_text(body))
        return
    click.echo("\n\n".join("\n".join(_lines(item, knowledge)) for item in chosen))
    click.echo("\nsources of all that is known, also of what the notes above name")
    for name, source in knowledge.sources.items():
        if source.citation:
            click.echo(f"  {name}: {_cited(source)}")
    if knowledge.clinic_files:
        click.echo(f"\nwith the clinic's own: {', '.join(knowledge.clinic_files)}")


def _lines(protocol: Protocol, knowledge: Knowledge) -> Iterator[str]:
    name = knowledge.indications[protocol.indication].name.msgid
    modes = " or ".join((protocol.mode, *protocol.other_modes))
    yield f"{protocol.indication}, {protocol.site}: {name}"
    yield f"  mode: {modes} {_cited(protocol.mode_source)}"
    for field, span in protocol.ranges().items():
        low, start, high = (number_text(value) for value in (span.low, span.start, span.high))
        unit = _UNITS[field]
        yield f"  {field}: {low} to {high} {unit}, start {start} {_cited(span.source)}"
    pads = protocol.pads
    size = f"{number_text(pads.width_mm)} x {number_text(pads.height_mm)} mm"
    yield f"  pads: {pads.shape}, {size} {_cited(protocol.pad_source)}"
    yield f"  strength: {protocol.strength_rule.msgid} {_cited(protocol.strength_source)}"
    if protocol.as_needed:
        yield "  used when the pain comes; weeks and sessions are a guide"
    if protocol.grade:
        yield f"  evidence: {protocol.grade}"


def _cited(source: Source) -> str:
    reviewed = f", reviewed {source.reviewed_on}" if source.reviewed_on else ""
    cited = f": {source.citation}" if source.citation else ""
    return f"[{source.mark}{cited}{reviewed}]"


def _row(protocol: Protocol) -> dict[str, object]:
    return {
        "indication": protocol.indication,
        "placement": protocol.site,
        "mode": protocol.mode,
        "other_modes": list(protocol.other_modes),
        "mode_source": _source(protocol.mode_source),
        "ranges": {
            field: {
                "low": number_text(span.low),
                "start": number_text(span.start),
                "high": number_text(span.high),
                "source": _source(span.source),
            }
            for field, span in protocol.ranges().items()
        },
        "pads": {
            key: number_text(value) if isinstance(value, Decimal) else value
            for key, value in asdict(protocol.pads).items()
        },
        "pad_source": _source(protocol.pad_source),
        "strength": protocol.strength_rule.msgid,
        "strength_source": _source(protocol.strength_source),
        "as_needed": protocol.as_needed,
        "evidence": protocol.grade,
    }


def _source(source: Source) -> dict[str, object]:
    return {
        "mark": source.mark,
        "citation": source.citation,
        "reviewed_on": source.reviewed_on.isoformat() if source.reviewed_on else None,
    }


@click.command(
    cls=Command,
    short_help="Follow a figure back to its formula or source.",
    epilog="""\b
Examples:
  docbuilder explain rx.yaml                          all figures
  docbuilder explain rx.yaml settings.pulse_rate_hz   one figure, or all below a name""",
)
@click.argument("source", metavar="FILE", type=click.Path(path_type=Path))
@click.argument("name", metavar="[FIELD]", default="")
@CLINIC
@JSON
def explain(source: Path, name: str, clinic_folder: Path | None, as_json: bool) -> None:
    """Follow a figure on the paper back to its formula or its source."""
    figures = Desk(clinic_folder).plan(source).figures
    chosen = [
        figure
        for key, figure in figures.items()
        if not name or key == name or key.startswith(f"{name}.")
    ]
    if not chosen:
        raise call_fault(
            str(source),
            "FIELD",
            repr(name),
            "a field, or what it begins with: "
            + ", ".join(sorted({key.partition(".")[0] for key in figures})),
            nearest(name, figures) or "leave FIELD out to see all figures",
        )
    if as_json:
        rows = [
            {
                "field": item.field,
                "value": item.value,
                "how": item.how,
                "mark": item.source.mark,
                "citation": item.source.citation,
            }
            for item in chosen
        ]
        click.echo(json_text({"schema": SCHEMA, "figures": rows}))
        return
    for item in chosen:
        cited = f": {item.source.citation}" if item.source.citation else ""
        click.echo(f"{item.field} = {item.value}\n    {item.how}\n    [{item.source.mark}{cited}]")


@click.command(
    cls=Command,
    short_help="List the languages and how far each one is.",
    epilog="Example: docbuilder languages --json",
)
@JSON
def languages(as_json: bool) -> None:
    """List the languages, their direction and how far each translation is."""
    rows = language_rows()
    if as_json:
        body = [
            {
                "tag": row.language.tag,
                "name": row.language.own_name,
                "english_name": row.language.english_name,
                "right_to_left": row.language.rtl,
                "messages": row.messages,
                "translated": row.translated,
                "review": row.review,
                "usable": row.usable,
            }
            for row in rows
        ]
        click.echo(json_text({"schema": SCHEMA, "languages": body}))
        return
    for row in rows:
        direction = "right to left" if row.language.rtl else "left to right"
        click.echo(
            f"{row.language.tag:8} {row.language.english_name:24} {direction:14} "
            f"{row.translated:>5} of {row.messages} messages, review: {row.review}"
        )
