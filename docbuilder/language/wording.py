"""Checks of meaning that code can make: "not" still there, terms kept, nothing left over.

They cannot prove a translation right. They catch the faults that hurt: a lost "do
not", a swapped side, a term that changes, an English word left in, a wrong script.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from docbuilder.language.glossary import read_glossary
from docbuilder.language.lexicon import (
    ENGLISH_LEFTOVERS,
    LATIN_ALLOWED,
    NEGATIVE,
    ONLY,
    count_any,
    folded,
    tokens,
)
from docbuilder.language.marks import sentences_in
from docbuilder.language.pairs import Fault, Pair

__all__ = [
    "check_glossary", "check_leftovers", "check_letters", "check_negation", "check_only",
    "check_untranslated",
]  # fmt: skip

_DENIES = re.compile(
    r"\b(?:not|never|no|without|cannot|nor|neither|none|nothing|nobody)\b|n[’']t\b", re.IGNORECASE
)
_LIMITS = re.compile(r"\bonly\b", re.IGNORECASE)
_PLACEHOLDER = re.compile(r"%\(\w+\)[a-z]?|%%")
_ISOLATED = re.compile("[\u2066-\u2068][^\u2069]*\u2069")
_LATIN_RUN = re.compile("[a-zß-ÿ\u03bc]+[0-9]*")
_SCRIPTS = {
    "Latn": ("LATIN",), "Cyrl": ("CYRILLIC",), "Arab": ("ARABIC",), "Deva": ("DEVANAGARI",),
    "Beng": ("BENGALI",), "Guru": ("GURMUKHI",), "Hans": ("CJK",), "Kore": ("HANGUL", "CJK"),
}  # fmt: skip
_WRONG_LETTERS = {
    "ro": dict.fromkeys("şţŞŢ", "s and t with comma below (U+0219, U+021B)"),
    "ur": {"\u064a": "ی (U+06CC)", "\u0643": "ک (U+06A9)", "\u0649": "ی (U+06CC)"},
    "ar": {"\u06cc": "ي (U+064A)", "\u06a9": "ك (U+0643)"},
}
_SYMBOL_LETTERS = "µΩªº"


def check_negation(pair: Pair) -> Iterator[Fault]:
    """Where the source denies or forbids, the translation has a word that does."""
    yield from _kept(pair, _DENIES, NEGATIVE, "not, never, no or without")


def check_only(pair: Pair) -> Iterator[Fault]:
    """Where the source says "only", the translation limits too."""
    patterns = {tag: f"{ONLY[tag]} {NEGATIVE[tag]}" for tag in ONLY}
    yield from _kept(pair, _LIMITS, patterns, "only")


def _kept(
    pair: Pair, source_words: re.Pattern[str], lists: dict[str, str], what: str
) -> Iterator[Fault]:
    patterns = lists[pair.language.tag].split()
    sources, targets = sentences_in(pair.source), sentences_in(pair.text)
    if len(sources) != len(targets):
        sources, targets = [pair.source], [pair.text]
    for source, target in zip(sources, targets, strict=True):
        want, got = len(source_words.findall(source)), count_any(target, patterns)
        if got < want:
            yield Fault(
                f"{got} of {want} words for {what} in {target.strip()!r}",
                "one of " + ", ".join(pattern.strip("*") for pattern in patterns[:8]) + " ...",
                "if the sense is there all the same, say so in the entry: "
                f"# accept {'only' if what == 'only' else 'negation'}: why",
            )


def check_glossary(pair: Pair) -> Iterator[Fault]:
    """Terms of the glossary are translated by their agreed words."""
    tag = pair.language.tag
    for term in read_glossary():
        if term.asked_by(pair.source) and not term.stands_in(pair.text, tag):
            yield Fault(
                f"no agreed word for {term.term!r}",
                "a word from " + ", ".join(term.stems[tag]),
                "see locales/glossary.yaml",
            )


def check_leftovers(pair: Pair) -> Iterator[Fault]:
    """No English word is left over; what stands in isolates is a name or a display text."""
    words = tokens(_ISOLATED.sub(" ", _PLACEHOLDER.sub(" ", pair.text)))
    if pair.language.latin_script:
        left = [word for word in words if word in ENGLISH_LEFTOVERS]
    else:
        latin = _LATIN_RUN.findall(" ".join(words))
        left = [word for word in latin if word not in LATIN_ALLOWED | _names_in(pair.source)]
    if left:
        yield Fault(", ".join(sorted(set(left))), "words of the language, unit symbols")


def _names_in(source: str) -> set[str]:
    """Return the names of people, laws and trials in the source: they stay as they are."""
    names = set()
    for match in re.finditer(r"[^\W_]+", source):
        word, before = match.group(), source[: match.start()].rstrip("“‘(\"' ")
        begins = not before or before[-1] in ".:?!"
        code = sum(char.isupper() or char.isdigit() for char in word) > 1
        cited = re.match(r" (?:19|20)\d\d\b", source[match.end() :]) is not None
        if code or (word[0].isupper() and (cited or not begins)):
            names.update(_LATIN_RUN.findall(folded(word)))
    return names


def check_letters(pair: Pair) -> Iterator[Fault]:
    """Letters of the language's own script, in composed form, and of the right kind."""
    if unicodedata.normalize("NFC", pair.text) != pair.text:
        yield Fault("letters in decomposed form", "Unicode NFC")
    scripts = (*_SCRIPTS[pair.language.script], "LATIN")
    foreign = {
        char
        for char in pair.text
        if unicodedata.category(char)[0] == "L"
        and char not in _SYMBOL_LETTERS
        and not unicodedata.name(char, "").startswith(scripts)
    }
    if foreign:
        yield Fault(f"{''.join(sorted(foreign))} of another script", " or ".join(scripts).title())
    wrong = _WRONG_LETTERS.get(pair.language.tag, {})
    for char in sorted(set(pair.text) & set(wrong)):
        yield Fault(f"{char} (U+{ord(char):04X})", wrong[char])


def check_untranslated(pair: Pair) -> Iterator[Fault]:
    """The translation is not the English text again."""
    words = [word for word in tokens(_PLACEHOLDER.sub(" ", pair.source)) if word.isalpha()]
    words = [word for word in words if word not in LATIN_ALLOWED]
    enough = 2 if pair.language.latin_script else 1
    if len(words) >= enough and pair.text.strip() == pair.source.strip():
        yield Fault("the English text", "a translation")
