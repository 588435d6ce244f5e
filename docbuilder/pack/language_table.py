"""How far each language is: the table that README and `docbuilder languages` show."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from babel.messages.catalog import Catalog

from docbuilder.language.catalogue import (
    catalogue_paths,
    load_catalogue,
    message_key,
    read_catalogue,
)
from docbuilder.language.checks import check_file
from docbuilder.language.registry import Language, known_languages
from docbuilder.language.review import read_signatures, review_files, review_state
from docbuilder.language.words import SOURCE_TAG
from docbuilder.pack.catalogue_tool import count_catalogue, current_template

__all__ = ["LanguageRow", "language_rows"]


@dataclass(frozen=True, slots=True)
class LanguageRow:
    """One language's state."""

    language: Language
    messages: int
    translated: int
    findings: int
    """Faults that the catalogue checks find."""
    review: str
    """Either source, or the lowest state of any message, with how many are signed."""

    @property
    def usable(self) -> bool:
        """Every message is translated, so packs can be built."""
        return self.translated == self.messages


def language_rows(clinic_folder: Path | None = None) -> list[LanguageRow]:
    """Return one row a language, in the registry's order."""
    template = current_template()
    return [_row(language, template, clinic_folder) for language in known_languages()]


def _row(language: Language, template: Catalog, clinic_folder: Path | None) -> LanguageRow:
    keys = [message_key(message) for message in template if message.id]
    if language.tag == SOURCE_TAG:
        return LanguageRow(language, len(keys), len(keys), 0, "source")
    path = catalogue_paths(language.tag)[0][0]
    if not path.is_file():
        return LanguageRow(language, len(keys), 0, 0, "none yet")
    count = count_catalogue(read_catalogue(path, language.tag), template)
    signatures = [
        signature
        for file in review_files(language.tag, clinic_folder)
        for signature in read_signatures(file)
    ]
    state = review_state(load_catalogue(language.tag, clinic_folder), signatures, keys)
    review = state.lowest if state.complete else f"{state.lowest}, {state.reviewed} signed"
    return LanguageRow(
        language, count.total, count.translated, len(check_file(path, language.tag)), review
    )
