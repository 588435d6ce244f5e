"""`docbuilder translations spelling`: words of a catalogue that no dictionary has."""

from __future__ import annotations

from pathlib import Path

import click

from docbuilder.cli.report import json_text
from docbuilder.language.registry import find_language
from docbuilder.language.spelling import (
    catalogue_words,
    find_dictionaries,
    known_words,
    read_dictionary,
    unknown_words,
)
from docbuilder.pack.exchange import known_translation, working_catalogue

__all__ = ["spelling_command"]

_FILE = click.Path(path_type=Path)


@click.command(name="spelling", short_help="List words that no dictionary has.")
@click.argument("tag", metavar="LANGUAGE")
@click.option(
    "--dictionary",
    "files",
    type=_FILE,
    multiple=True,
    metavar="FILE",
    help="A Hunspell .dic beside its .aff, or a list of words one a line; may be repeated.",
)
@click.option(
    "--clinic",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="Look at the clinic's own translations too.",
)
@click.option("--json", "as_json", is_flag=True, help="Report as JSON.")
def spelling_command(tag: str, files: tuple[Path, ...], clinic: Path | None, as_json: bool) -> None:
    """List the words of a language that neither the dictionary nor known_words.txt has.

    Without --dictionary an installed Hunspell dictionary is used. Ends with 1 when a word
    is unknown: mend it, or add it to locales/LANGUAGE/known_words.txt.

    Example: docbuilder translations spelling pl --dictionary pl_PL.dic
    """
    tag = known_translation(tag)
    paths = list(files) or find_dictionaries(tag)
    spellers = [read_dictionary(path) for path in paths]
    words = catalogue_words(working_catalogue(tag, clinic), find_language(tag))
    unknown = unknown_words(words, tag, known_words(tag), spellers)
    if as_json:
        report = {"dictionaries": [path.name for path in paths], "words": len(words),
                  "unknown": {word: words[word] for word in unknown}}  # fmt: skip
        click.echo(json_text(report))
    else:
        for word in unknown:
            click.echo(f"{word}    in: {words[word]}")
        names = ", ".join(path.name for path in paths)
        click.echo(f"{tag}: {len(words)} words, {len(unknown)} unknown ({names})")
    if unknown:
        raise SystemExit(1)
