"""A made-up language, 40 % longer than English, that shows where layouts break.

Every letter is accented, so a text that bypassed the catalogues stands out; length
comes from added vowels. Placeholders, markup and unit symbols stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from docbuilder.language.catalogue import Entry, Key
from docbuilder.language.registry import Language
from docbuilder.language.words import Words

__all__ = ["PSEUDO", "pseudo_text", "pseudo_words"]

PSEUDO = Language("en-XA", "Ƥşéûðó", "Pseudo", "Latn", "US", formats_as="en")
"""Not among the known languages: it is for tests of the layout."""

GROWTH = 1.4
_KEPT = re.compile(r"(%\(\w+\)s|%%|\]\([^)]*\)|<[^>]*>|\b(?:µs|Hz|mA|cm|mm|ml)\b)")
_ACCENTED = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzACEINORSUZ", "áƀçðéƒĝĥîĵķļɱñóþǫŕšţúṽŵẋýžÁÇÉÍÑÓŔŠÚŽ"
)
_VOWEL = re.compile(r"[áéîóúý]")


def pseudo_text(text: str) -> str:
    """Return *text* accented and 40 % longer.

    >>> pseudo_text("Switch the unit off.")
    'Šŵîîîîţçĥ ţĥééé úúñîîţ óóƒƒ.'

    Args:
        text: An English message.
    """
    parts = _KEPT.split(text)
    letters = sum(len(part) for part in parts[::2])
    extra = round(letters * (GROWTH - 1))
    grown = [part.translate(_ACCENTED) for part in parts]
    while extra > 0:
        before = extra
        for index in range(0, len(grown), 2):
            grown[index], extra = _stretch(grown[index], extra)
        if extra == before:
            grown[-1] += "~" * extra
            break
    return "".join(grown[index] if index % 2 == 0 else parts[index] for index in range(len(parts)))


def _stretch(part: str, extra: int) -> tuple[str, int]:
    left = extra

    def doubled(match: re.Match[str]) -> str:
        nonlocal left
        if not left:
            return match.group()
        left -= 1
        return match.group() * 2

    return _VOWEL.sub(doubled, part), left


def pseudo_words(territory: str, keys: Iterable[tuple[Key, str]]) -> Words:
    """Return words in the pseudo-language.

    Args:
        territory: As for `load_words`.
        keys: Every (context, msgid) with its plural msgid or "".
    """
    entries = {
        key: Entry(
            context=key[0],
            msgid=key[1],
            plural=plural,
            texts=(pseudo_text(key[1]), pseudo_text(plural)) if plural else (pseudo_text(key[1]),),
            plural_rule="(n != 1)",
            file="pseudo",
            line=0,
        )
        for key, plural in keys
    }
    return Words(PSEUDO, territory, entries)
