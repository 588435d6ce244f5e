"""Counts syllables in English, Spanish, French and Russian by rule, without word lists.

English is measured against the CMU Pronouncing Dictionary in the tests; Spanish
follows the spelling's own rules on diphthongs and hiatus; French counts as in verse
read aloud in prose, with the final mute e silent.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

__all__ = [
    "SYLLABLE_COUNTERS", "english_syllables", "french_syllables", "russian_syllables",
    "spanish_syllables",
]  # fmt: skip

_EN_SILENT = re.compile(
    r"(?:[^laeiouy]|[aeiouy]l|ll)e$|(?:[^aeiouytdl]|[aeiouyl]l)ed$|(?:[^aeiouylcsxzgh]|[aeiouy]l)es$"
)
_EN_APART = re.compile(
    r"(?<![cstgx])i(?:[au]|o(?!n[sg]?$))|[aeiouy]ing|[^aeiou]ier|i?ism$|uou|[^g]ua[lt]|e[ou](?=m|s$)"
)
_EN_MUTE_INSIDE = re.compile(r"(?<=[aeiouy][^aeiouy])e(?=ly$|ment|ful|less|ness|time|side)")


def english_syllables(word: str) -> int:
    """Count the syllables of an English word; at least 1.

    >>> [english_syllables(word) for word in ("skin", "bladder", "electrode", "table", "times")]
    [1, 2, 3, 2, 1]
    """
    word = re.sub(r"[^a-z]", "", re.sub(r"['’](?:s|ll|d|ve|re|m|t)$", "", word.casefold()))
    word = _EN_MUTE_INSIDE.sub("", word)
    count = len(re.findall(r"[aeiouy]+", word)) + len(_EN_APART.findall(word))
    return max(1, count - bool(_EN_SILENT.search(word)))


_ES_NUCLEUS = re.compile(r"[iuüy]?[aeoáéó][iuy]?(?![íú])|[iuü]?[íú]|[íú]|[iuü]+y?|y$|[aeoáéó]")


def spanish_syllables(word: str) -> int:
    """Count the syllables of a Spanish word; at least 1.

    >>> [spanish_syllables(word) for word in ("piel", "guía", "aparato", "quema", "leer", "muy")]
    [1, 2, 4, 2, 2, 1]
    """
    word = word.casefold()
    word = re.sub(r"qu(?=[eiéí])", "q", word)
    word = re.sub(r"gu(?=[eiéí])", "g", word)
    return max(1, len(_ES_NUCLEUS.findall(word)))


_FR_NUCLEUS = re.compile(
    r"[aeiouyàâæèéêëîïôöœùûü]+?(?=[éèëï])|oui|[aàâ]y|"
    r"eau|[aàâæeèéêëiîïoôöœuùûüy](?:(?<=[éèêàâôîû])(?=[aoiue])|[aeiouyàâèéêîôœùû]*)"
)


def french_syllables(word: str) -> int:
    """Count the syllables of a French word as spoken in prose; at least 1.

    >>> [french_syllables(word) for word in ("peau", "appareil", "vessie", "électrode", "fois")]
    [1, 3, 2, 3, 1]
    """
    word = re.sub(r"qu(?=[aeiouyéèêâàôîï])", "q", word.casefold())
    word = re.sub(r"gu(?=[eiyéèêî])", "g", word)
    stem = re.sub(r"(?<=[^aeiouyàâèéêëîïôöœùûü])(?:e|es)$", "", word)
    stem = re.sub(r"(?<=[iuéyo])(?:e|es|ent)$", "", stem)
    return max(1, len(_FR_NUCLEUS.findall(stem)))


def russian_syllables(word: str) -> int:
    """Count the syllables of a Russian word: its vowels; none in "в" and "к".

    >>> [russian_syllables(word) for word in ("кожа", "её", "в", "стимуляция")]
    [2, 2, 0, 5]
    """
    return sum(char in "аеёиоуыэюя" for char in word.casefold())


SYLLABLE_COUNTERS: Mapping[str, Callable[[str], int]] = {
    "en": english_syllables,
    "es": spanish_syllables,
    "fr": french_syllables,
    "ru": russian_syllables,
}
"""By language tag; the languages whose published formula needs syllables."""
