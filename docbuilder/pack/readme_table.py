"""Writes the table of languages into README.md: `python -m docbuilder.pack.readme_table`."""

from __future__ import annotations

import re
import sys
from pathlib import Path

from docbuilder.pack.language_table import LanguageRow, language_rows

__all__ = ["table"]

_BETWEEN = re.compile(r"(<!-- languages: [^\n]*-->\n).*?(<!-- /languages -->)", re.DOTALL)


def table(rows: list[LanguageRow]) -> str:
    """Return the table in Markdown."""
    head = "| language | tag | messages | checks | review |\n|---|---|---|---|---|\n"
    return head + "".join(
        f"| {row.language.own_name} ({row.language.english_name}) | `{row.language.tag}` "
        f"| {row.translated} of {row.messages} "
        f"| {'clean' if not row.findings else f'{row.findings} to look at'} | {row.review} |\n"
        for row in rows
    )


def main(readme: Path) -> None:
    """Rewrite the part of *readme* between the two marks."""
    text = readme.read_text(encoding="utf-8")
    rows = table(language_rows(checked=True))
    fresh = _BETWEEN.sub(lambda found: found[1] + rows + found[2], text)
    readme.write_text(fresh, encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "README.md"))
