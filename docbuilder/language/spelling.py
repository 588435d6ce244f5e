"""Spelling of a catalogue against a Hunspell dictionary or a plain list of words.

The dictionary comes from outside (Debian's hunspell packages, for example) and is never
shipped. Right words that it lacks are kept in ``locales/<tag>/known_words.txt``, one a
line, each put there by somebody who has looked at it.
"""

from __future__ import annotations

import os
import re
import subprocess
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from pathlib import Path
from shutil import copyfile, which
from tempfile import TemporaryDirectory

from babel.messages.catalog import Catalog

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.language.catalogue import message_ids, message_texts
from docbuilder.language.registry import Language
from docbuilder.paths import shipped

__all__ = [
    "DICTIONARIES", "Speller", "catalogue_words", "find_dictionaries", "known_words",
    "known_words_path", "read_dictionary", "unknown_words",
]  # fmt: skip

Speller = Callable[[set[str]], set[str]]
"""Takes words, gives those that a dictionary does not have."""

DICTIONARIES: Mapping[str, tuple[str, ...]] = {
    "es": ("es_US",), "fr": ("fr",), "pt": ("pt_BR",), "pl": ("pl_PL",), "ro": ("ro_RO",),
    "ru": ("ru_RU",), "vi": ("vi_VN",), "fil": ("tl", "en_US"), "ar": ("ar",), "hi": ("hi_IN",),
    "bn": ("bn_BD",), "ko": ("ko",),
}  # fmt: skip
"""Names of the dictionaries that Debian packages for our languages: hunspell-es, -fr-classical,
-pt-br, -pl, -ro, -ru, -vi, -ar, -hi, -bn, -ko, -en-us and myspell-tl. Filipino health leaflets
borrow English words. There is none for Urdu and Punjabi; Chinese has no words to look up."""

_FOLDERS = (Path("/usr/share/hunspell"), Path("/usr/share/myspell/dicts"))

_ENDINGS = {
    "bn": "গুলোতে গুলোর গুলোকে গুলো টিতে টির টিকে টি টা জনে দেরকে দের রা কে ের েও েই ে র য় তে ও ই",
}
"""Endings of nouns where the dictionary lists the bare word only; at most two come off."""

_PLACEHOLDER = r"%\(\w+\)s|%%"
_MARKS = "\u0300-\u036f\u064b-\u0655\u0670\u0900-\u0963\u0970-\u0dff"
_LETTER = rf"(?:[^\W\d_]|[{_MARKS}])"
_WORD = re.compile(rf"{_LETTER}+(?:[\u200c\u200d'’\-\u2010\u2011]+{_LETTER}+)*")
_AFTER_LATIN = re.compile(rf"(?:{_PLACEHOLDER}|[A-Za-z0-9µ]+)[\-\u2010\u2011]?{_LETTER}*")
_HYPHEN = re.compile("[\\-\u2010\u2011]")


def catalogue_words(catalogue: Catalog, language: Language) -> dict[str, str]:
    """Return every word of the translations, each with the first message that has it.

    Placeholders are left out. So is what stands in the source as well with a capital (TENS,
    a name), and in other scripts every Latin word with the ending that is joined to it.
    """
    found: dict[str, str] = {}
    cut = re.compile(_PLACEHOLDER) if language.latin_script else _AFTER_LATIN
    for message in catalogue:
        if not message.id:
            continue
        source = " ".join(message_ids(message))
        kept = {word for word in _WORD.findall(source) if word != word.casefold()}
        for text in message_texts(message):
            for word in _WORD.findall(cut.sub(" ", unicodedata.normalize("NFC", text))):
                if word not in kept or not any(char.isupper() for char in word[1:]):
                    found.setdefault(word, message_ids(message)[0])
    return found


def unknown_words(
    words: Iterable[str], tag: str, known: set[str], spellers: Iterable[Speller]
) -> list[str]:
    """Return the words that neither *known* nor any dictionary has, sorted.

    A word with hyphens is right when all its parts are.

    Args:
        words: Words as `catalogue_words` finds them.
        tag: Their language.
        known: Right words that the dictionary lacks, case folded.
        spellers: The dictionaries.
    """
    asked = {word: _parts(word) for word in words if word.casefold() not in known}
    forms = {part: _forms(part, tag) for parts in asked.values() for part in parts}
    wrong = set().union(*forms.values())
    for speller in spellers:
        wrong &= speller(wrong)
    return sorted(
        word for word, parts in asked.items()
        if any(part.casefold() not in known and forms[part] <= wrong for part in parts)
    )  # fmt: skip


def _parts(word: str) -> list[str]:
    return [part for part in _HYPHEN.split(word) if part]


def _forms(word: str, tag: str) -> set[str]:
    """Return every way in which a dictionary may write the word, its endings taken off too."""
    stems = {word, *_stems(word, tag)}
    plain = {re.sub("[\u200c\u200d]", "", stem).replace("’", "'") for stem in stems}
    return plain | {_composed(stem) for stem in plain}


def _stems(word: str, tag: str, most: int = 2) -> Iterator[str]:
    for ending in _ENDINGS.get(tag, "").split() if most else ():
        stem = word.removesuffix(unicodedata.normalize("NFC", ending))
        if stem != word and len(stem) > 1:
            yield stem
            yield from _stems(stem, tag, most - 1)


_EXCLUDED = {
    unicodedata.normalize("NFC", char): char
    for char in map(chr, (*range(0x958, 0x960), 0x9DC, 0x9DD, 0x9DF, *range(0xA33, 0xA5F)))
    if len(unicodedata.normalize("NFC", char)) > 1
}
"""Letters that Unicode's composed form takes apart; many dictionaries write them as one."""


def _composed(word: str) -> str:
    for apart, one in _EXCLUDED.items():
        word = word.replace(apart, one)
    return word


def known_words_path(tag: str) -> Path:
    """Return the file with the right words of *tag* that the dictionary lacks."""
    return shipped("locales") / tag / "known_words.txt"


def known_words(tag: str) -> set[str]:
    """Return the right words that the dictionary lacks, case folded; lines with # are notes."""
    path = known_words_path(tag)
    if not path.is_file():
        return set()
    lines = unicodedata.normalize("NFC", path.read_text(encoding="utf-8")).splitlines()
    return {line.strip().casefold() for line in lines if line.strip() and line[0] != "#"}


def find_dictionaries(tag: str) -> list[Path]:
    """Return the installed dictionaries (.dic) of *tag*.

    Raises:
        InputFault: One is not installed, or none is known for the language.
    """
    names = DICTIONARIES.get(tag, ())
    if not names:
        raise _missing(tag, "no dictionary is known for this language", "give --dictionary FILE")
    paths = []
    for name in names:
        here = [folder / f"{name}.dic" for folder in _FOLDERS]
        path = next((path for path in here if path.is_file()), None)
        if path is None:
            hint = "install the hunspell package of the language, or give --dictionary FILE"
            raise _missing(tag, f"no {name}.dic in {', '.join(map(str, _FOLDERS))}", hint)
        paths.append(path)
    return paths


def read_dictionary(path: Path) -> Speller:
    """Return the dictionary in *path*: a Hunspell .dic beside its .aff, or words one a line.

    Raises:
        InputFault: A file is not there, or the hunspell program is not installed.
    """
    if not path.is_file():
        raise _missing(str(path), "no such file", "a .dic with its .aff, or a list of words")
    if path.suffix != ".dic":
        lines = path.read_text(encoding="utf-8").splitlines()
        have = {unicodedata.normalize("NFC", line.strip()).casefold() for line in lines}
        return lambda words: {word for word in words if word.casefold() not in have}
    if not path.with_suffix(".aff").is_file():
        raise _missing(str(path), "no .aff file beside it", "give both files of the dictionary")
    program = which("hunspell")
    if program is None:
        raise _missing(str(path), "no hunspell program", "install the package hunspell")
    return partial(_misspelt, program, path)


def _misspelt(program: str, path: Path, words: set[str]) -> set[str]:
    """Ask Hunspell, with the marks of the words (Indic vowel signs) declared as their parts."""
    marks = {char for word in words for char in word if unicodedata.category(char)[0] == "M"}
    with TemporaryDirectory() as folder:
        here = Path(folder) / "words"
        affix = path.with_suffix(".aff").read_bytes()
        if marks and not re.search(rb"^WORDCHARS ", affix, re.MULTILINE):
            affix += f"\nWORDCHARS {''.join(sorted(marks))}\n".encode()
        here.with_suffix(".aff").write_bytes(affix)
        copyfile(path, here.with_suffix(".dic"))
        done = subprocess.run(
            [program, "-i", "UTF-8", "-d", str(here), "-l"],
            input="\n".join(sorted(words)), capture_output=True, encoding="utf-8", check=True,
            env={**os.environ, "LC_ALL": "C.UTF-8"},
        )  # fmt: skip
    # It may take a word apart at an apostrophe and report the piece.
    found = set(done.stdout.split())
    pieces = {word: {word, *word.split("'")} for word in words}
    if strange := found.difference(*pieces.values()):
        raise _missing(str(path), f"Hunspell took words apart: {sorted(strange)[:5]}",
                       "a dictionary whose WORDCHARS has the marks of the script")  # fmt: skip
    return {word for word in words if pieces[word] & found}


def _missing(place: str, found: str, hint: str) -> InputFault:
    return InputFault([Issue(Place(place), "dictionary", found, "a dictionary", hint)])
