"""Word lists for the catalogue checks: how each language says "not" and "only".

Written by hand for this program; a native reader should go over them. Patterns:
``no`` is a whole word, ``evit*`` a beginning, ``*নি`` an ending, ``*不*`` any place.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

__all__ = [
    "ENGLISH_LEFTOVERS", "LATIN_ALLOWED", "NEGATIVE", "ONLY", "contains_any", "count_any",
    "folded", "tokens",
]  # fmt: skip

NEGATIVE: dict[str, str] = {
    "es": "no nunca jamás sin ni ningún* ninguna* nada nadie tampoco evit* imposib*",
    "fr": "ne n pas sans ni aucun* rien non personne évit* impossib*",
    "pt": "não nunca jamais sem nem nenhum* nada ninguém evit* impossív*",
    "pl": "nie bez beze ani niemo* nieuszk* unik* brak* zabron*",
    "ro": "nu n fără evit* interzis*",
    "ru": "не нет без нельзя избег* невозмож* запрещ*",
    "vi": "không đừng chưa chớ cấm chẳng tránh khỏi",
    "fil": "huwag hindi wala walang di bawal ayaw iwas* umiwas maiwasan",
    "ar": "لا لم لن ليس* لست غير بدون* دون* عدم ممنوع* يمنع تجنب* بلا ألا لئلا يحظر",
    "ur": "نہ نہیں مت بغیر غیر منع گریز",
    "hi": "न नहीं मत बिना ना बगैर मना",
    "bn": "না নয় নেই ছাড়া বিনা নিষেধ ব্যতীত নাই এড়ি* *েননি *েনি *য়নি *াননি",
    "pa": "ਨਾ ਨਾਂਹ ਨਹੀਂ ਬਿਨਾਂ ਬਿਨਾ ਬਗੈਰ ਮਨ੍ਹਾ",
    "zh-Hans": "*不* *勿* *没* *未* *无* *请别* *千万别* *并非* *禁* *切忌* *避免*",
    "ko": "*않* 안 *못* *없* *지_마* *지_말* *지마* *지말* *지는_마* *지도_마* *금지* *아니*"
    " *아닌* *아닙* *아님* *불가* *피하*",
}
"""Words that deny or forbid by themselves.

Words that only strengthen a denial beside them ("ever", Polish nigdy, Russian никогда,
Romanian niciun, nicio, nici and niciodată, Arabic أبدا, Korean 절대) are left out: they
stay behind when the "not" is lost.
"""
# Arabic writes "and" and "so" onto the next word.
NEGATIVE["ar"] += "".join(f" {joined}{word}" for word in NEGATIVE["ar"].split() for joined in "وف")

ONLY: dict[str, str] = {
    "es": "solo sólo solamente únic* unicamente exclusiv*",
    "fr": "seul* uniquement que qu exclusiv*",
    "pt": "só somente apenas únic* unicamente exclusiv*",
    "pl": "tylko wyłącznie jedyn*",
    "ro": "numai doar exclusiv* singur*",
    "ru": "только лишь исключительно единственн*",
    "vi": "chỉ duy",
    "fil": "lamang lang tangi* tanging",
    "ar": "فقط إلا الا سوى وحد* مجرد حصر*",
    "ur": "صرف ہی محض",
    "hi": "केवल सिर्फ सिर्फ़ ही मात्र",
    "bn": "শুধু* কেবল* মাত্র শুধুমাত্র একমাত্র",
    "pa": "ਸਿਰਫ਼ ਸਿਰਫ ਕੇਵਲ ਹੀ",
    "zh-Hans": "*只* *仅* *唯* *才*",
    "ko": "*만* *오직* *뿐*",
}
"""Words that limit: "only"."""

_LEFTOVERS = """
the and with your you this that these those when should would from have which because
skin pain before after during every both each there what how
"""
_ALLOWED = """
Hz kHz mA µs us ms cm mm ml mJ mW mAh mV min h s m V AC DC X S1 S2 S3 S4 TENS NMES FES QR
PDF ID A4 ICS IEC ISO NICE FDA USB AA AAA IUD LED OK
"""

ENGLISH_LEFTOVERS = frozenset(_LEFTOVERS.split())
"""English words that are no words, or no likely ones, in our other Latin-script languages."""

LATIN_ALLOWED = frozenset(_ALLOWED.casefold().split())
"""Latin words that may stand in a catalogue of another script, case folded."""

_JOINERS = "\u200c\u200d"


def folded(text: str) -> str:
    """Return *text* for matching: composed, case folded, without Arabic vowel marks."""
    text = unicodedata.normalize("NFC", text).casefold()
    return "".join(char for char in text if not "\u064b" <= char <= "\u0652" and char != "\u0640")


def tokens(text: str) -> list[str]:
    """Split *text* into its words in any script; marks stay with their letters.

    >>> tokens("N'utilisez pas l'appareil!")
    ['n', 'utilisez', 'pas', 'l', 'appareil']
    """
    spaced = "".join(
        char if unicodedata.category(char)[0] in "LMN" or char in _JOINERS else " "
        for char in folded(text)
    )
    return spaced.split()


def contains_any(text: str, patterns: Iterable[str]) -> bool:
    """Tell whether *text* has a word that fits one of *patterns*.

    >>> contains_any("Evite el agua.", ["evit*"]), contains_any("nota", ["no"])
    (True, False)
    """
    return count_any(text, patterns) > 0


def count_any(text: str, patterns: Iterable[str]) -> int:
    """Count the words of *text* that fit *patterns*; see `contains_any`.

    >>> count_any("No conduzca ni corra.", ["no", "ni"])
    2
    """
    line = "".join(f" {token} " for token in tokens(text))
    return sum(line.count(_needle(pattern)) for pattern in patterns)


def _needle(pattern: str) -> str:
    start = "" if pattern.startswith("*") else " "
    end = "" if pattern.endswith("*") else " "
    words = "  ".join(tokens(pattern.strip("*").replace("_", " ")))
    return f"{start}{words}{end}"
