"""Plural rules for the catalogues, by CLDR, as gettext writes them.

Babel's own table of gettext rules departs from CLDR for Portuguese, Hindi, Bengali,
Punjabi and Filipino (0 and 1 share a form in the first four). CLDR's form for whole
millions in Spanish, French and Portuguese is left out: no count here comes near it.
"""

from __future__ import annotations

__all__ = ["PLURAL_RULES", "plural_rule"]

_SLAVIC = "n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2"
PLURAL_RULES: dict[str, tuple[int, str]] = {
    "en": (2, "(n != 1)"),
    "es": (2, "(n != 1)"),
    "fr": (2, "(n > 1)"),
    "pt": (2, "(n > 1)"),
    "pl": (3, f"(n==1 ? 0 : {_SLAVIC})"),
    "ro": (3, "(n==1 ? 0 : n==0 || (n%100>0 && n%100<20) ? 1 : 2)"),
    "ru": (3, f"(n%10==1 && n%100!=11 ? 0 : {_SLAVIC})"),
    "vi": (1, "0"),
    "fil": (2, "(n%10==4 || n%10==6 || n%10==9)"),
    "ar": (
        6,
        "(n==0 ? 0 : n==1 ? 1 : n==2 ? 2 : n%100>=3 && n%100<=10 ? 3 : n%100>=11 ? 4 : 5)",
    ),
    "ur": (2, "(n != 1)"),
    "hi": (2, "(n > 1)"),
    "bn": (2, "(n > 1)"),
    "pa": (2, "(n > 1)"),
    "zh-Hans": (1, "0"),
    "ko": (1, "0"),
}
"""(number of forms, C expression) by language tag."""


def plural_rule(tag: str) -> tuple[int, str]:
    """Return the number of plural forms and the rule of a known language.

    >>> plural_rule("ar")[0]
    6
    """
    return PLURAL_RULES[tag]
