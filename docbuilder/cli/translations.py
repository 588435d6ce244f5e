"""`docbuilder translations`: how far each language is, checks, sign-off, exchange of files."""

from __future__ import annotations

import unicodedata
from datetime import datetime
from pathlib import Path
from typing import cast, get_args

import click
from babel.messages.catalog import Catalog

from docbuilder.cli.report import json_text
from docbuilder.cli.spelling import spelling_command
from docbuilder.cli.translation_files import export_command, import_command
from docbuilder.errors import Issue, Place, Refused
from docbuilder.language.catalogue import load_catalogue, message_key
from docbuilder.language.checks import Coverage, check_file
from docbuilder.language.registry import known_languages
from docbuilder.language.review import (
    MessageSet,
    ReviewKind,
    State,
    in_set,
    read_signatures,
    review_files,
    review_state,
    sign,
    standing_signatures,
    write_signatures,
)
from docbuilder.language.words import SOURCE_TAG
from docbuilder.pack.catalogue_tool import count_catalogue, current_template
from docbuilder.pack.exchange import (
    known_translation,
    own_path,
    working_catalogue,
)
from docbuilder.text.font_files import MissingFont
from docbuilder.text.fonts import chain

__all__ = ["translations"]

_FOLDER = click.Path(path_type=Path, file_okay=False)
_CLINIC = click.option(
    "--clinic", type=_FOLDER, metavar="FOLDER", help="Work on the clinic's own translations."
)
_TAG = click.argument("tag", metavar="LANGUAGE")
_SETS: tuple[MessageSet, ...] = get_args(MessageSet)
_STATES: tuple[State, ...] = get_args(State)


@click.group(short_help="Check, spell, sign and exchange translations.")
def translations() -> None:
    """Look after the translations: status, checks, sign-off, files for translators."""


@translations.command()
@click.argument("tags", nargs=-1, metavar="[LANGUAGE]...")
@click.option("--clinic", type=_FOLDER, metavar="FOLDER", help="Count the clinic's own too.")
@click.option("--json", "as_json", is_flag=True, help="Report as JSON.")
def status(tags: tuple[str, ...], clinic: Path | None, as_json: bool) -> None:
    """Show how far each language is translated and reviewed.

    Example: docbuilder translations status pl ar
    """
    template = current_template()
    rows = [_status_row(tag, template, clinic) for tag in _chosen(tags)]
    if as_json:
        click.echo(json_text(rows))
        return
    click.echo(f"{'language':10}{'translated':>14}{'fuzzy':>7}{'missing':>9}"
               f"{'reviewed: safety':>18}{'consent':>10}{'all':>10}{'lapsed':>8}")  # fmt: skip
    for row in rows:
        safety, consent, every = (cast("dict[str, int]", row[name]) for name in _SETS)
        click.echo(
            f"{row['tag']:10}{row['translated']:>9}/{row['total']:<4}{row['fuzzy']:>7}"
            f"{row['missing']:>9}{_share(safety):>18}{_share(consent):>10}{_share(every):>10}"
            f"{every['lapsed']:>8}"
        )


def _share(counts: dict[str, int]) -> str:
    return f"{counts['reviewed']}/{counts['total']}"


def _status_row(tag: str, template: Catalog, clinic: Path | None) -> dict[str, object]:
    catalogue = working_catalogue(tag)
    count = count_catalogue(catalogue, template)
    entries = load_catalogue(tag, clinic)
    signatures = standing_signatures(tag, clinic)
    keys = [message_key(message) for message in template if message.id]
    row: dict[str, object] = {
        "tag": tag,
        "total": count.total,
        "translated": count.translated,
        "fuzzy": count.fuzzy,
        "missing": count.empty + count.absent,
    }
    for name in _SETS:
        state = review_state(entries, signatures, [key for key in keys if in_set(key, name)])
        row[name] = {
            "total": state.total, "reviewed": state.reviewed, "lapsed": state.lapsed,
            "lowest": state.lowest,
        }  # fmt: skip
    return row


@translations.command(short_help="Check figures, negation, terms and more.")
@click.argument("tags", nargs=-1, metavar="[LANGUAGE]...")
@_CLINIC
@click.option("--json", "as_json", is_flag=True, help="Report as JSON.")
def check(tags: tuple[str, ...], clinic: Path | None, as_json: bool) -> None:
    """Check translations: gaps, placeholders, figures, units, negation, terms and more.

    Ends with 1 when anything is found. A mismatch that a translator stands by is
    accepted in the PO file: "# accept RULE: why" above the entry.

    Example: docbuilder translations check pl
    """
    template = None if clinic else current_template()
    found: list[Issue] = []
    for tag in _chosen(tags):
        path = own_path(tag, clinic)
        if path.is_file():
            found += check_file(path, tag, template, _coverage(tag))
        elif not clinic:
            found.append(Issue(Place(str(path)), "missing", "no file", "a catalogue"))
    if as_json:
        click.echo(json_text([issue.as_json() for issue in found]))
    else:
        for issue in found:
            click.echo(str(issue))
        click.echo(f"{len(found)} found")
    if found:
        raise SystemExit(1)


def _coverage(tag: str) -> Coverage | None:
    """Return the check for characters without a glyph, or say that the font is not there."""
    try:
        fonts = chain(tag)
    except MissingFont as fault:
        click.echo(f"{tag}: glyphs not checked: {fault}", err=True)
        return None

    def lacking(_tag: str, text: str) -> set[str]:
        drawn = (char for char in text if unicodedata.category(char) not in ("Cc", "Cf"))
        return {char for char in drawn if fonts.choose(char, None) is None}

    return lacking


@translations.command(name="sign")
@_TAG
@click.option("--set", "message_set", type=click.Choice(_SETS), required=True)
@click.option("--state", type=click.Choice(_STATES[1:]), required=True)
@click.option("--by", required=True, help="Name of the reviewer, as it will be kept.")
@click.option("--role", required=True, help='For example "qualified translator".')
@click.option("--kind", type=click.Choice(get_args(ReviewKind)), default="linguistic")
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), required=True, help="Day of review.")
@_CLINIC
def sign_command(
    tag: str,
    message_set: MessageSet,
    state: State,
    by: str,
    role: str,
    kind: ReviewKind,
    on: datetime,
    clinic: Path | None,
) -> None:
    """Sign the translations of a set as they stand now.

    Example: docbuilder translations sign pl --set safety --state revised
    --by "Name Surname" --role "qualified translator" --on 2026-11-25
    """
    known_translation(tag)
    entries = load_catalogue(tag, clinic)
    _refuse_gaps(tag, message_set, set(entries))
    signature = sign(entries, message_set, state, by, role, on.date(), kind)
    path = review_files(tag, clinic)[-1]
    write_signatures(path, (*read_signatures(path), signature))
    click.echo(f"signed {len(signature.digests)} messages of {tag} ({message_set}): {path}")


def _refuse_gaps(tag: str, message_set: MessageSet, have: set[tuple[str, str]]) -> None:
    keys = (message_key(m) for m in current_template() if m.id)
    gaps = [key for key in keys if in_set(key, message_set) and key not in have]
    if gaps:
        raise Refused(
            Issue(Place(f"locales/{tag}"), f"{context or 'text'}: {msgid}", "no translation",
                  "a complete set before it is signed")
            for context, msgid in gaps
        )  # fmt: skip


def _chosen(tags: tuple[str, ...]) -> list[str]:
    known = [language.tag for language in known_languages() if language.tag != SOURCE_TAG]
    return [known_translation(tag) for tag in tags] or known


translations.add_command(export_command)
translations.add_command(import_command)
translations.add_command(spelling_command)
