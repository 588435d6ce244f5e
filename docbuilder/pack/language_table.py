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
from docbuilder.language.review import review_state, standing_signatures
from docbuilder.language.words import SOURCE_TAG
from docbuilder.pack.catalogue_tool import template_path

__all__ = ["LanguageRow", "language_rows"]


@dataclass(frozen=True, slots=True)
class LanguageRow:
    """One language's state."""

    language: Language
    messages: int
    translated: int
    findings: int | None
    """Faults that the catalogue checks find; None: not asked for, as it takes seconds."""
    review: str
    """Either source, or the lowest state of any message, with how many are signed."""

    @property
    def usable(self) -> bool:
        """Every message is translated, so packs can be built."""
        return self.translated == self.messages


def language_rows(clinic_folder: Path | None = None, *, checked: bool = False) -> list[LanguageRow]:
    """Return one row a language, in the registry's order.

    Args:
        clinic_folder: Count the clinic's own translations too.
        checked: Run the catalogue checks.

    Raises:
        InputFault: A catalogue that cannot be read.
    """
    # The kept template is quick to read; a test holds it to the sources.
    template = read_catalogue(template_path(), SOURCE_TAG)
    return [_row(language, template, clinic_folder, checked) for language in known_languages()]


def _row(
    language: Language, template: Catalog, clinic_folder: Path | None, checked: bool
) -> LanguageRow:
    keys = [message_key(message) for message in template if message.id]
    findings = 0 if checked else None
    if language.tag == SOURCE_TAG:
        return LanguageRow(language, len(keys), len(keys), findings, "source")
    path = catalogue_paths(language.tag)[0][0]
    if not path.is_file():
        return LanguageRow(language, len(keys), 0, findings, "none yet")
    translations = load_catalogue(language.tag, clinic_folder)
    signatures = standing_signatures(language.tag, clinic_folder)
    state = review_state(translations, signatures, keys)
    return LanguageRow(
        language,
        len(keys),
        sum(key in translations for key in keys),
        len(check_file(path, language.tag)) if checked else None,
        state.lowest if state.complete else f"{state.lowest}, {state.reviewed} signed",
    )
