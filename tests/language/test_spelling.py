"""A misspelt word is found; a dictionary that is not there is said, never passed over."""

from __future__ import annotations

from io import StringIO
from shutil import which

import pytest
from babel.messages.pofile import read_po
from catalogue_files import write_po
from click.testing import CliRunner

from docbuilder.cli.translations import translations
from docbuilder.errors import InputFault
from docbuilder.language import spelling
from docbuilder.language.registry import find_language, known_languages
from docbuilder.language.spelling import (
    catalogue_words,
    find_dictionaries,
    known_words,
    read_dictionary,
    unknown_words,
)
from docbuilder.pack.exchange import working_catalogue


def words_of(tag, msgid, msgstr):
    text = f'msgid ""\nmsgstr ""\n\nmsgid "{msgid}"\nmsgstr "{msgstr}"\n'
    return set(catalogue_words(read_po(StringIO(text), tag), find_language(tag)))


def run(*arguments):
    result = CliRunner().invoke(translations, ["spelling", *map(str, arguments)])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


@pytest.fixture
def spanish(tmp_path):
    """A list with every word of the Spanish catalogue."""
    found = catalogue_words(working_catalogue("es"), find_language("es"))
    words = [part for word in found for part in word.split("-")]
    path = tmp_path / "es.txt"
    path.write_text("\n".join(words), encoding="utf-8")
    return path


def test_a_misspelt_word_is_named_with_its_sentence(spanish, tmp_path):
    assert run("es", "--dictionary", spanish).exit_code == 0
    source = "Sit or lie down."
    clinic = write_po(tmp_path, "es", f'msgid "{source}"\nmsgstr "Siéntese o acuéstesse."\n')
    result = run("es", "--dictionary", spanish, "--clinic", clinic)
    assert result.exit_code == 1
    assert "acuéstesse" in result.output
    assert source in result.output


def test_a_right_word_that_the_dictionary_lacks_is_kept_by_language(spanish, tmp_path, monkeypatch):
    short = tmp_path / "short.txt"
    text = spanish.read_text(encoding="utf-8").split("\n")
    short.write_text(
        "\n".join(word for word in text if word.casefold() != "piel"), encoding="utf-8"
    )
    assert "piel" in run("es", "--dictionary", short).output
    kept = tmp_path / "known_words.txt"
    kept.write_text("# a note\nPiel\n", encoding="utf-8")
    monkeypatch.setattr(spelling, "known_words_path", lambda tag: kept)
    assert run("es", "--dictionary", short).exit_code == 0


@pytest.mark.parametrize("tag", [one.tag for one in known_languages() if one.tag != "en"])
def test_a_language_without_its_dictionary_is_an_error(tag, monkeypatch):
    monkeypatch.setattr(spelling, "_FOLDERS", ())
    with pytest.raises(InputFault, match=r"no dictionary is known|no \S+\.dic in"):
        find_dictionaries(tag)


def test_files_that_are_not_there_are_errors(tmp_path, monkeypatch):
    with pytest.raises(InputFault, match="no such file"):
        run("es", "--dictionary", tmp_path / "es.dic")
    (tmp_path / "es.dic").write_text("1\npiel\n")
    with pytest.raises(InputFault, match=r"no \.aff file"):
        run("es", "--dictionary", tmp_path / "es.dic")
    (tmp_path / "es.aff").write_text("SET UTF-8\n")
    monkeypatch.setattr(spelling, "which", lambda program: None)
    with pytest.raises(InputFault, match="no hunspell program"):
        run("es", "--dictionary", tmp_path / "es.dic")


def test_a_hunspell_dictionary_with_affixes_and_vowel_signs(tmp_path):
    """Without Hunspell the command says so: that is what is tested there."""
    affix = "SET UTF-8\nSFX A Y 1\nSFX A 0 s .\n"
    (tmp_path / "x.aff").write_text(affix)
    (tmp_path / "x.dic").write_text("3\nparche/A\nहिन्दी\nl\neau\n", encoding="utf-8")
    if which("hunspell") is None:
        with pytest.raises(InputFault, match="no hunspell program"):
            read_dictionary(tmp_path / "x.dic")
        return
    speller = read_dictionary(tmp_path / "x.dic")
    words = {"parche", "parches", "parchos", "हिन्दी", "हन्दी"}
    assert speller(words) == {"parchos", "हन्दी"}
    asked = ["l’eau", "l’ean", "parche-parches", "parche-x"]
    assert unknown_words(asked, "fr", set(), [speller]) == ["l’ean", "parche-x"]


def test_words_of_each_kind_of_script():
    assert words_of("fr", "Put %(n)s pads.", "Mettez %(n)s **électrodes** d’un côté.") == {
        "Mettez", "électrodes", "d’un", "côté",
    }  # fmt: skip
    assert words_of("ko", "TENS %(n)s", "TENS는 %(n)s를 20 Hz로 합니다.") == {"합니다"}
    assert words_of("hi", "Dry it.", "हिन्दी में सुखाएँ।") == {"हिन्दी", "में", "सुखाएँ"}
    assert words_of("es", "TENS by Ada", "TENS de Ada") == {"de", "Ada"}


def test_bengali_endings_come_off_and_hyphens_part():
    def speller(words):
        return words - {"ত্বক", "হাত"}

    assert unknown_words(["ত্বকের", "হাতগুলোতে", "হাত-ত্বক", "হাতট"], "bn", set(), [speller]) == ["হাতট"]


def test_kept_words_are_one_a_line_and_read():
    for tag in (one.tag for one in known_languages()):
        path = spelling.known_words_path(tag)
        if path.is_file():
            lines = path.read_text(encoding="utf-8").splitlines()
            assert lines[0].startswith("# ")
            assert lines[1:] == sorted(set(lines[1:]))
            assert known_words(tag) >= {line.casefold() for line in lines[1:]}
