"""How hard a text is to read, by the published formula of its language.

Where no formula is accepted (Arabic, Urdu, Hindi, Bengali, Punjabi, Chinese, Korean,
Vietnamese, Filipino), only sentence length is reported, and the result says so: an
English formula applied to another language gives a number without meaning.

Formulas, with w words, s sentences, y syllables:
Flesch 1948 and Kincaid 1975 for English, McLaughlin's SMOG 1969; Fernandez Huerta 1959
in the corrected form (with 60 y/w and 1.02 w/s) and Szigriszt-Pazos with the INFLESZ
bands for Spanish; Kandel and Moles 1958 (207 form) for French; Oborneva's ease for
Russian; Bjornsson's LIX; Gulpease 1988. Polish, Portuguese and Romanian have LIX alone.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from docbuilder.language.marks import sentences_in
from docbuilder.language.registry import Language, find_language
from docbuilder.language.syllables import SYLLABLE_COUNTERS

__all__ = [
    "KNOWN_TERMS", "Reading", "Score", "TextCount", "count_text", "fernandez_huerta",
    "flesch_ease", "flesch_kincaid_grade", "gulpease", "inflesz", "inflesz_band", "kandel_moles",
    "lix", "measure_texts", "oborneva", "smog_grade",
]  # fmt: skip

KNOWN_TERMS = frozenset(
    ["electrode", "electrodes", "stimulation", "physiotherapist", "physiotherapy", "diary"]
)
"""Long English words that our texts explain or that patients bring with them. The grade
is given with them as they are, and once more with each taken as a word of two syllables."""

_PLACEHOLDER = re.compile(r"%\(\w+\)s")
_MARKUP = re.compile(r"\*\*|`|^\s*(?:#+|[-*+]|\d+\.)\s+|\]\([^)]*\)|[\[\]]", re.MULTILINE)
_WORD = re.compile(r"[^\W_]+(?:['’\-][^\W_]+)*")
_LONG = 6


@dataclass(frozen=True, slots=True)
class TextCount:
    """What the formulas are made of."""

    sentences: int
    words: int
    syllables: int
    """0 where the language has no counter."""
    polysyllables: int
    """Words of three syllables or more."""
    long_words: int
    """Words of more than six letters."""
    letters: int
    longest_sentence: int
    """In words; in characters for Chinese."""

    @property
    def words_a_sentence(self) -> float:
        """Mean sentence length."""
        return self.words / self.sentences if self.sentences else 0.0


@dataclass(frozen=True, slots=True)
class Score:
    """One figure with its name; *higher_is_easier* tells its direction."""

    name: str
    value: float
    higher_is_easier: bool
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """The result for a text."""

    tag: str
    count: TextCount
    scores: tuple[Score, ...]
    note: str
    long_sentences: tuple[str, ...]
    """Sentences above the aim of 15 words (50 characters in Chinese), longest first."""


def flesch_ease(count: TextCount) -> float:
    """Return Flesch reading ease, about 0 (hard) to 100 (easy)."""
    return 206.835 - 1.015 * _asl(count) - 84.6 * _asw(count)


def flesch_kincaid_grade(count: TextCount) -> float:
    """Return the Flesch-Kincaid grade: years of school in the United States."""
    return 0.39 * _asl(count) + 11.8 * _asw(count) - 15.59


def smog_grade(count: TextCount) -> float:
    """Return the SMOG grade; made for 30 sentences or more, rough below."""
    return 1.0430 * math.sqrt(count.polysyllables * 30 / count.sentences) + 3.1291


def fernandez_huerta(count: TextCount) -> float:
    """Return the Fernandez Huerta ease for Spanish, in the corrected form."""
    return 206.84 - 60 * _asw(count) - 1.02 * _asl(count)


def inflesz(count: TextCount) -> float:
    """Return the Szigriszt-Pazos ease for Spanish, read with the INFLESZ bands."""
    return 206.835 - 62.3 * _asw(count) - _asl(count)


def inflesz_band(score: float) -> str:
    """Return the INFLESZ band of a Szigriszt-Pazos score; a lower bound belongs to its band.

    >>> inflesz_band(55.0), inflesz_band(54.9)
    ('normal', 'rather hard')
    """
    bands = ((80, "very easy"), (65, "fairly easy"), (55, "normal"), (40, "rather hard"))
    return next((name for low, name in bands if score >= low), "very hard")


def kandel_moles(count: TextCount) -> float:
    """Return the Kandel and Moles ease for French, about 0 (hard) to 100 (easy)."""
    return 207 - 1.015 * _asl(count) - 73.6 * _asw(count)


def oborneva(count: TextCount) -> float:
    """Return Oborneva's ease for Russian, about 0 (hard) to 100 (easy)."""
    return 206.835 - 1.3 * _asl(count) - 60.1 * _asw(count)


def lix(count: TextCount) -> float:
    """Return LIX, for any alphabet: below 30 very easy, 40 middling, above 60 very hard."""
    return _asl(count) + 100 * count.long_words / count.words


def gulpease(count: TextCount) -> float:
    """Return the Gulpease index, made for Italian: 100 easy, 0 hard."""
    return 89 + (300 * count.sentences - 10 * count.letters) / count.words


def _asl(count: TextCount) -> float:
    return count.words / count.sentences


def _asw(count: TextCount) -> float:
    return count.syllables / count.words


def count_text(text: str, tag: str, known: frozenset[str] = frozenset()) -> TextCount:
    """Count sentences, words, syllables and letters of plain text or a catalogue message.

    A placeholder and a number count as a word of one syllable; a line is a sentence of
    its own, so that list items do not run together. Markdown marks do not count.

    Args:
        text: The text.
        tag: Its language; syllables are counted in English, Spanish, French and Russian.
        known: Words to take as two syllables, lower case.
    """
    counter = SYLLABLE_COUNTERS.get(tag)
    sentences = [found for found in sentences_in(_plain(text)) if _words(found)]
    words = [word for sentence in sentences for word in _words(sentence)]
    sizes = [2 if word.casefold() in known else counter(word) for word in words] if counter else []
    letters = sum(char.isalpha() for word in words for char in word)
    return TextCount(
        sentences=len(sentences),
        words=len(words),
        syllables=sum(sizes),
        polysyllables=sum(size >= 3 for size in sizes),
        long_words=sum(sum(char.isalnum() for char in word) > _LONG for word in words),
        letters=letters,
        longest_sentence=max((_length(sentence, tag) for sentence in sentences), default=0),
    )


def _plain(text: str) -> str:
    return _MARKUP.sub("", _PLACEHOLDER.sub("10", text)).replace("%%", "%")


def _words(sentence: str) -> list[str]:
    # Marks that belong to a letter (Indic vowel signs) do not end a word.
    joined = "".join(
        char for char in unicodedata.normalize("NFC", sentence)
        if unicodedata.category(char) not in ("Mn", "Mc", "Cf")
    )  # fmt: skip
    return _WORD.findall(joined)


def _length(sentence: str, tag: str) -> int:
    if tag == "zh-Hans":
        return sum(char.isalnum() for char in sentence)
    return len(_words(sentence))


def measure_texts(texts: Iterable[str], tag: str) -> Reading:
    """Measure texts together, by the formula of their language.

    Args:
        texts: Paragraphs, list items, headings: each begins a sentence of its own.
        tag: Their language.

    Raises:
        InputFault: Unknown language.
        ValueError: There is no word in the texts.
    """
    language = find_language(tag)
    text = "\n".join(texts)
    count = count_text(text, tag)
    if not count.words:
        raise ValueError("no words to measure")
    limit = 50 if tag == "zh-Hans" else 15
    sized = sorted(((_length(one, tag), one.strip()) for one in sentences_in(_plain(text))),
                   key=lambda pair: -pair[0])  # fmt: skip
    return Reading(
        tag=tag,
        count=count,
        scores=_scores(language, text, count),
        note=_note(language),
        long_sentences=tuple(sentence for size, sentence in sized if size > limit),
    )


def _scores(language: Language, text: str, count: TextCount) -> tuple[Score, ...]:
    if language.formula == "flesch_kincaid":
        known = count_text(text, language.tag, KNOWN_TERMS)
        return (
            Score("Flesch-Kincaid grade", flesch_kincaid_grade(count), False),
            Score("Flesch-Kincaid grade, known terms", flesch_kincaid_grade(known), False),
            Score("SMOG grade", smog_grade(count), False),
            Score("Flesch reading ease", flesch_ease(count), True),
        )
    if language.formula == "fernandez_huerta":
        score = inflesz(count)
        return (
            Score("Fernandez Huerta", fernandez_huerta(count), True),
            Score("INFLESZ", score, True, inflesz_band(score)),
        )
    if language.formula == "kandel_moles":
        return (Score("Kandel-Moles", kandel_moles(count), True),)
    if language.formula == "oborneva":
        return (Score("Oborneva", oborneva(count), True), Score("LIX", lix(count), False))
    if language.formula == "lix":
        return (Score("LIX", lix(count), False),)
    return ()


def _note(language: Language) -> str:
    if language.formula == "sentence_length":
        unit = "characters" if language.tag == "zh-Hans" else "words"
        return (
            f"No accepted readability formula for {language.english_name}: "
            f"sentence length in {unit} only."
        )
    if language.formula == "lix":
        return f"LIX compares texts of one language; it has no school grades for {language.tag}."
    return ""
