"""The languages that docbuilder prints, and what each needs from type and digits.

A language is added here, with a catalogue under locales/ and a font that has its
script. Nothing else in the program lists languages.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from docbuilder.errors import InputFault, Issue, Place

__all__ = ["Formula", "Language", "find_language", "known_languages"]

Formula = Literal[
    "flesch_kincaid", "fernandez_huerta", "kandel_moles", "oborneva", "lix", "sentence_length"
]


@dataclass(frozen=True, slots=True)
class Language:
    """One language that can print."""

    tag: str
    """BCP 47; also the name of its folder under locales/."""
    own_name: str
    english_name: str
    script: str
    """ISO 15924."""
    territory: str
    """Where its date and number forms come from when the clinic's territory has none."""
    rtl: bool = False
    leading: float = 1.4
    """Least line height as a multiple of the type size."""
    formula: Formula = "sentence_length"
    """Readability formula; "sentence_length" where no accepted formula exists."""
    native_zero: str = "0"
    """The zero of the language's own digits; "0" where it has only these."""
    formats_as: str = ""
    """Language whose number and date forms it uses; its own when empty."""

    @property
    def latin_script(self) -> bool:
        """Tell whether the language is written in Latin letters."""
        return self.script == "Latn"


_LANGUAGES = (
    Language("en", "English", "English", "Latn", "US", formula="flesch_kincaid"),
    Language("es", "Español", "Spanish", "Latn", "US", formula="fernandez_huerta"),
    Language("fr", "Français", "French", "Latn", "CA", formula="kandel_moles"),
    Language("pt", "Português", "Portuguese", "Latn", "BR", formula="lix"),
    Language("pl", "Polski", "Polish", "Latn", "PL", formula="lix"),
    Language("ro", "Română", "Romanian", "Latn", "RO", formula="lix"),
    Language("ru", "Русский", "Russian", "Cyrl", "RU", formula="oborneva"),
    Language("vi", "Tiếng Việt", "Vietnamese", "Latn", "VN", leading=1.5),
    Language("fil", "Filipino", "Filipino", "Latn", "PH"),
    Language("ar", "العربية", "Arabic", "Arab", "001", rtl=True, leading=1.6, native_zero="\u0660"),
    Language("ur", "اردو", "Urdu", "Arab", "PK", rtl=True, leading=1.7, native_zero="\u06f0"),
    Language("hi", "हिन्दी", "Hindi", "Deva", "IN", leading=1.6, native_zero="\u0966"),
    Language("bn", "বাংলা", "Bengali", "Beng", "BD", leading=1.6, native_zero="\u09e6"),
    Language("pa", "ਪੰਜਾਬੀ", "Punjabi", "Guru", "IN", leading=1.6, native_zero="\u0a66"),
    Language("zh-Hans", "简体中文", "Chinese (Simplified)", "Hans", "CN"),
    Language("ko", "한국어", "Korean", "Kore", "KR", leading=1.5),
)
_BY_TAG = {language.tag: language for language in _LANGUAGES}


def known_languages() -> tuple[Language, ...]:
    """Return every language that docbuilder knows, English first.

    >>> [language.tag for language in known_languages() if language.rtl]
    ['ar', 'ur']
    """
    return _LANGUAGES


def find_language(tag: str, place: Place | None = None) -> Language:
    """Return the language with exactly this BCP 47 *tag*.

    >>> find_language("pl").own_name
    'Polski'

    Args:
        tag: A registered tag such as "pl" or "zh-Hans".
        place: Where the tag was written, for the error.

    Raises:
        InputFault: No such language; the message lists those there are.
    """
    if tag in _BY_TAG:
        return _BY_TAG[tag]
    close = _closest(tag)
    raise InputFault(
        [
            Issue(
                place or Place("language"),
                "language",
                repr(tag),
                "one of " + ", ".join(_BY_TAG),
                f"did you mean {close}?" if close else "",
            )
        ]
    )


def _closest(tag: str) -> str:
    folded = {known.casefold(): known for known in _BY_TAG}
    base = tag.replace("_", "-").casefold()
    while base:
        if base in folded:
            return folded[base]
        base = base.rpartition("-")[0]
    names = {name.casefold(): item.tag for item in _LANGUAGES for name in _names(item)}
    match = get_close_matches(tag.casefold(), [*folded, *names], n=1)
    return (folded | names)[match[0]] if match else ""


def _names(language: Language) -> tuple[str, ...]:
    return (language.english_name, language.own_name, language.tag.partition("-")[0])
