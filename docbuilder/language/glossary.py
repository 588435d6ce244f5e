"""The terms that must stay the same through a pack, read from locales/glossary.yaml."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import yaml

from docbuilder.caching import kept, version_of
from docbuilder.errors import InputFault, Issue, Place
from docbuilder.language.lexicon import folded, tokens
from docbuilder.language.registry import known_languages
from docbuilder.paths import shipped

__all__ = ["Term", "read_glossary"]

_ANYWHERE = frozenset({"ar", "fil", "zh-Hans", "ko"})
"""Languages where prefixes, infixes or missing spaces hide the beginning of a word."""


@dataclass(frozen=True, slots=True)
class Term:
    """One English term with the stems that pass for it in each language."""

    term: str
    english: re.Pattern[str]
    note: str
    stems: Mapping[str, tuple[str, ...]]
    """By language tag; the first is the one to use."""

    def asked_by(self, source: str) -> bool:
        """Tell whether the English *source* uses the term."""
        return self.english.search(source) is not None

    def stands_in(self, text: str, tag: str) -> bool:
        """Tell whether *text* has one of the language's stems."""
        if tag in _ANYWHERE:
            line = folded(text)
            return any(folded(stem) in line for stem in self.stems[tag])
        line = f" {' '.join(tokens(text))}"
        return any(f" {' '.join(tokens(stem))}" in line for stem in self.stems[tag])


def read_glossary(path: Path | None = None) -> tuple[Term, ...]:
    """Read the glossary; every term must have stems for every language but English.

    Raises:
        InputFault: A term lacks a language, or the file is not as described at its top.
    """
    path = path or shipped("locales") / "glossary.yaml"
    return _read(path, version_of(path))


@kept(4)
def _read(path: Path, _version: str) -> tuple[Term, ...]:
    tags = [language.tag for language in known_languages() if language.tag != "en"]
    loaded = yaml.safe_load(path.read_text(encoding="utf-8"))
    terms, issues = [], []
    for row in loaded["terms"]:
        gaps = [tag for tag in tags if not row.get(tag)]
        if gaps or not row.get("english"):
            found = f"no stems for {', '.join(gaps)}" if gaps else "no english"
            issues.append(Issue(Place(str(path)), str(row.get("term")), found, "every language"))
            continue
        pattern = "|".join(
            regex if regex.startswith("^") else rf"(?:\b{regex}\b)" for regex in row["english"]
        )
        terms.append(
            Term(
                term=row["term"],
                english=re.compile(pattern, re.IGNORECASE),
                note=row.get("note", ""),
                stems={tag: tuple(row[tag]) for tag in tags},
            )
        )
    if issues:
        raise InputFault(issues)
    return tuple(terms)
