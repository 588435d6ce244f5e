"""Keeps the catalogues in step with the sources: extract, merge, count.

Run it after a sentence was changed: `python -m docbuilder.pack.catalogue_tool`. It
writes locales/docbuilder.pot and merges it into every language's PO file. It lives
here because it reads what the stages below may not read together: templates, code
and the knowledge files.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from babel.messages.catalog import Catalog

from docbuilder.errors import DocbuilderError
from docbuilder.inputs.knowledge_messages import knowledge_messages
from docbuilder.language.catalogue import (
    DOMAIN,
    catalogue_paths,
    message_ids,
    message_texts,
    read_catalogue,
)
from docbuilder.language.extract import Extracted, extract_python, extract_template
from docbuilder.language.merge import make_template, merge_catalogue, write_po_file
from docbuilder.language.registry import known_languages
from docbuilder.language.words import SOURCE_TAG
from docbuilder.paths import data_folder, shipped

__all__ = [
    "Count", "count_catalogue", "current_template", "main", "project_messages", "refresh",
    "template_path",
]  # fmt: skip

_CLINICIAN = "Reader: the clinician."
_READERS = {
    "handout": "Reader: the patient, at home, alone.",
    "diary": "Reader: the patient, at home, who writes in it.",
    "consent": "Reader: the patient or guardian, who signs it with the clinician.",
    "checklist": _CLINICIAN,
}
"""By the folder under templates/."""


@dataclass(frozen=True, slots=True)
class Count:
    """How far one catalogue is."""

    total: int
    translated: int
    fuzzy: int
    empty: int
    absent: int
    """Messages of the template that the file does not have at all."""

    @property
    def complete(self) -> bool:
        """Every message of the template is translated and none is fuzzy."""
        return self.translated == self.total


def project_messages() -> Iterator[Extracted]:
    """Yield every message of the templates, the code and the knowledge files."""
    templates = shipped("templates")
    for path in sorted(templates.rglob("*.j2")):
        kind = path.relative_to(templates).parts[0]
        name = f"templates/{path.relative_to(templates).as_posix()}"
        for found in extract_template(path, name):
            yield _with_reader(found, _READERS.get(kind))
    package = data_folder("").parent
    for path in sorted(package.rglob("*.py")):
        name = path.relative_to(package).as_posix()
        reader = _CLINICIAN if name.startswith("clinical/") else None
        for found in extract_python(path, f"{package.name}/{name}"):
            yield _with_reader(found, reader)
    for item in knowledge_messages(data_folder("knowledge")):
        name = f"{package.name}/data/knowledge/{item.file}"
        yield Extracted(item.msgid, name, item.line, item.context, comments=(item.comment,))


def _with_reader(found: Extracted, reader: str | None) -> Extracted:
    if reader is None:
        return found
    comments = (reader, *found.comments)
    return Extracted(found.msgid, found.file, found.line, found.context, found.plural, comments)


def current_template() -> Catalog:
    """Return the template of all messages, made from the sources as they are now."""
    return make_template(project_messages())


def template_path() -> Path:
    """Return where the template is kept."""
    return shipped("locales") / f"{DOMAIN}.pot"


def refresh(tags: tuple[str, ...] = ()) -> dict[str, Count]:
    """Write the template and merge it into the PO files of *tags* (all languages).

    Returns:
        How far each language is after merging.
    """
    template = current_template()
    write_po_file(template_path(), template)
    counts = {}
    for tag in tags or tuple(language.tag for language in known_languages()):
        if tag == SOURCE_TAG:
            continue
        path = catalogue_paths(tag)[0][0]
        old = read_catalogue(path, tag) if path.is_file() else Catalog()
        merged = merge_catalogue(old, template, tag)
        write_po_file(path, merged)
        counts[tag] = count_catalogue(merged, template)
    return counts


def count_catalogue(catalogue: Catalog, template: Catalog) -> Count:
    """Count the messages of *template* by their state in *catalogue*."""
    translated = fuzzy = empty = absent = 0
    for wanted in template:
        if not wanted.id:
            continue
        message = catalogue.get(message_ids(wanted)[0], wanted.context)
        if message is None:
            absent += 1
        elif message.fuzzy:
            fuzzy += 1
        elif all(message_texts(message)):
            translated += 1
        else:
            empty += 1
    return Count(translated + fuzzy + empty + absent, translated, fuzzy, empty, absent)


def main(arguments: list[str] | None = None) -> int:
    """Refresh the catalogues of the languages given as arguments, or of all."""
    try:
        counts = refresh(tuple(sys.argv[1:] if arguments is None else arguments))
    except DocbuilderError as error:
        sys.stderr.write(f"{error}\n")
        return int(error.exit_code)
    for tag, count in counts.items():
        sys.stdout.write(
            f"{tag:8} {count.translated}/{count.total} translated, "
            f"{count.fuzzy} fuzzy, {count.empty} empty\n"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
