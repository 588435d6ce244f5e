"""Checks of what must survive translation unchanged: placeholders, figures, units, markup.

Each rule takes a `Pair` and yields what is wrong with it. They know no grammar, so
they hold in every language.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator

from docbuilder.language.isolates import FSI, LRI, PDI
from docbuilder.language.pairs import Fault, Pair

__all__ = [
    "check_ending", "check_isolates", "check_length", "check_markdown", "check_numbers",
    "check_placeholders", "check_sentences", "check_spaces", "check_units", "numbers_in",
    "placeholders_in", "sentences_in", "units_in",
]  # fmt: skip


def _either(words: tuple[str, ...]) -> str:
    return "|".join(map(re.escape, words))


_PLACEHOLDER = re.compile(r"%\((\w+)\)([a-z]?)")
_BARE_PERCENT = re.compile(r"%(?!%|\(\w+\)s)")
_NUMBER = re.compile(r"\d+(?:[.,\u066b\u066c\u00a0\u202f]\d+)*")
_STRICT_UNITS = ("mA/cm²", "mW/cm²", "µs", "Hz", "kHz", "mAh", "mA", "ms", "cm²", "cm", "mm",
                 "ml", "µC", "mJ", "mW", "kΩ", "Ω")  # fmt: skip
_WEAK_UNITS = ("min", "h", "s", "m", "V", "kg", "°C", "%")
_LATIN = "A-Za-z\u00c0-\u024f\u1e00-\u1eff"
_STRICT = re.compile(rf"(?<![{_LATIN}])({_either(_STRICT_UNITS)})(?![{_LATIN}²/])")
_WEAK = re.compile(rf"(?:\d|\)s)\u2069?[ \u00a0\u202f]?({_either(_WEAK_UNITS)})(?![{_LATIN}])")
_ENDINGS = {
    "full stop": ".。।۔．", "question mark": "?؟？", "exclamation mark": "!！",
    "colon": ":：", "comma": ",،，、", "semicolon": ";؛；", "ellipsis": "…",
}  # fmt: skip
_TRAILERS = "*_ \n\u00a0\u2069\u200e\u200f\u061c)）]”“\"»’'」』"
_LENGTH_RANGE = {"zh-Hans": (0.12, 0.9), "ko": (0.25, 1.3)}
_SENTENCE_END = re.compile(r"(?<=[.!?؟।۔])[*_)”“\"»]*\s+(?![a-z])|(?<=[。！？])|\n+")


def placeholders_in(text: str) -> Counter[str]:
    """Count the %(name)s placeholders and the doubled percent signs of *text*."""
    found = Counter(f"%({name}){kind}" for name, kind in _PLACEHOLDER.findall(text))
    doubled = text.count("%%")
    if doubled:
        found["%%"] = doubled
    return found


def check_placeholders(pair: Pair) -> Iterator[Fault]:
    """Same placeholders, as often; a form for a single count may leave out the count."""
    if _BARE_PERCENT.search(pair.text.replace("%%", "")):
        yield Fault("a lone % sign or a broken placeholder", "%(name)s, or %% for the sign itself")
    want, got = placeholders_in(pair.source), placeholders_in(pair.text)
    lost, added = want - got, got - want
    if pair.single_count and not added and sum(lost.values()) == 1 and "%%" not in lost:
        return
    if lost or added:
        yield Fault(_listed(got), _listed(want), "copy the placeholders as they stand")


def numbers_in(text: str) -> Counter[str]:
    r"""Count the numbers of *text*, digits of any script folded to Latin.

    Decimal marks count as one mark; grouping marks are dropped.

    >>> numbers_in("٢٫٥ and 1,000") == numbers_in("2,5 et 1\u00a0000")
    True
    """
    bare = _PLACEHOLDER.sub(" ", text)
    latin = "".join(
        str(unicodedata.decimal(char)) if unicodedata.category(char) == "Nd" else char
        for char in bare
    )
    return Counter(_plain(match.group()) for match in _NUMBER.finditer(latin))


def _plain(number: str) -> str:
    parts = re.split(r"[^\d]", number)
    if len(parts) > 1 and len(parts[0]) <= 3 and all(len(part) == 3 for part in parts[1:]):
        return "".join(parts)
    return ".".join(parts)


def check_numbers(pair: Pair) -> Iterator[Fault]:
    """Same numbers, as often, in whatever digits."""
    want, got = numbers_in(pair.source), numbers_in(pair.text)
    if pair.single_count:
        own = str(pair.counts[0])
        want.pop(own, None)
        got.pop(own, None)
    if want != got:
        yield Fault(_listed(got), _listed(want), "write the figures of the source")


def units_in(text: str) -> Counter[str]:
    """Count the unit symbols of *text*; short ones (s, h, m, %) only after a figure."""
    text = text.replace("\u03bcs", "µs").replace("\u03bcC", "µC").replace("\u2126", "Ω")
    found = Counter(_STRICT.findall(_PLACEHOLDER.sub("%0)s", text)))
    found.update(_WEAK.findall(_PLACEHOLDER.sub("%0)s", text)))
    return found


def check_units(pair: Pair) -> Iterator[Fault]:
    """Same unit symbols, in Latin letters, micro as U+00B5."""
    want, got = units_in(pair.source), units_in(pair.text)
    if want != got:
        yield Fault(_listed(got), _listed(want), "unit symbols stay as on the unit's display")
    if "\u03bc" in pair.text:
        yield Fault("Greek mu (U+03BC)", "micro sign (U+00B5)")


def check_markdown(pair: Pair) -> Iterator[Fault]:
    """Same bold, list, heading, link and paragraph marks."""
    want, got = _skeleton(pair.source), _skeleton(pair.text)
    if want != got:
        yield Fault(_listed(got), _listed(want), "keep ** - # [ ] and line breaks as they are")


def _skeleton(text: str) -> Counter[str]:
    marks = Counter({
        "**": text.count("**"),
        "`": text.count("`"),
        "link": len(re.findall(r"\]\(", text)),
        "line": text.count("\n"),
        "<": text.count("<"),
    })  # fmt: skip
    for line in text.splitlines():
        if head := re.match(r"\s*([-*+]|\d+\.|#+|>)\s", line):
            marks["1." if head[1][0].isdigit() else head[1]] += 1
    return +marks


def check_ending(pair: Pair) -> Iterator[Fault]:
    """Same kind of final mark: full stop, question mark, colon, none ..."""
    want, got = _ending(pair.source), _ending(pair.text)
    if want != got:
        yield Fault(f"ends with {got}", f"ends with {want}")


def _ending(text: str) -> str:
    text = text.rstrip(_TRAILERS)
    for name, marks in _ENDINGS.items():
        if text and text[-1] in marks:
            return name
    return "no mark"


def check_spaces(pair: Pair) -> Iterator[Fault]:
    """Same white space at both ends; no doubled space; French marks on a no-break space."""
    for part in (slice(None, 1), slice(-1, None)):
        if pair.source[part].isspace() != pair.text[part].isspace():
            yield Fault("white space at one end", "as in the source")
    if "  " in pair.text and "  " not in pair.source:
        yield Fault("a doubled space", "one space")
    if pair.language.tag == "fr" and re.search(r" (?:[:;!?»]|%(?!\())|« ", pair.text):
        yield Fault("a plain space at : ; ! ? % « »", "a no-break space (U+00A0)")


def check_isolates(pair: Pair) -> Iterator[Fault]:
    """Isolates open and close in turn; overrides and embeddings are never used."""
    depth = 0
    for char in pair.text:
        depth += (char in (LRI, FSI, "\u2067")) - (char == PDI)
        if depth < 0:
            break
    if depth:
        yield Fault("isolates that do not close in turn", "U+2066 or U+2068 ... U+2069")
    if re.search("[\u202a-\u202e]", pair.text):
        yield Fault("a direction override or embedding", "isolates only")


def check_length(pair: Pair) -> Iterator[Fault]:
    """Length within what the language needs for such a text."""
    if len(pair.source) < 20:
        return
    low, high = _LENGTH_RANGE.get(pair.language.tag, (0.5, 2.0))
    ratio = len(pair.text) / len(pair.source)
    if not low <= ratio <= high:
        yield Fault(f"{ratio:.2f} times the source's length", f"{low} to {high}")


def sentences_in(text: str) -> list[str]:
    """Split *text* into sentences at the end marks of any of our scripts."""
    return [part for part in _SENTENCE_END.split(text) if part and part.strip(_TRAILERS)]


def check_sentences(pair: Pair) -> Iterator[Fault]:
    """No sentence lost, and none much longer than the source's longest.

    Length is in words; in characters for Chinese.
    """
    want, got = len(sentences_in(pair.source)), len(sentences_in(pair.text))
    if got < want:
        yield Fault(f"{got} sentences", f"{want}, as in the source", "short sentences stay short")
    longest = max((len(part.split()) for part in sentences_in(pair.source)), default=0)
    unit, limit = "words", max(22, round(longest * 1.6))
    sizes = [len(part.split()) for part in sentences_in(pair.text)]
    if pair.language.tag == "zh-Hans":
        unit, limit = "characters", max(48, longest * 3)
        sizes = [len(part) for part in sentences_in(pair.text)]
    if max(sizes, default=0) > limit:
        yield Fault(f"a sentence of {max(sizes)} {unit}", f"at most {limit}", "make two of it")


def _listed(found: Counter[str]) -> str:
    parts = (f"{mark!r}" if n == 1 else f"{n} x {mark!r}" for mark, n in sorted(found.items()))
    return ", ".join(parts) or "none"
