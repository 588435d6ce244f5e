"""Line breaking against Unicode's own file (Debian package unicode-data)."""

from __future__ import annotations

from pathlib import Path

from unicode_data import UNICODE, data_file

from docbuilder.text import linebreak, linebreak_table, make_linebreak_table


def cases() -> list[tuple[str, list[int], str]]:
    found = []
    path = data_file("auxiliary/LineBreakTest.txt")
    for line in path.read_text(encoding="utf-8").splitlines():
        if body := line.split("#")[0].strip():
            signs = body.split()
            text = "".join(chr(int(code, 16)) for code in signs[1::2])
            found.append((text, [i for i, sign in enumerate(signs[::2]) if sign == "÷"], line))
    return found


def test_every_case_of_line_break_test() -> None:
    bad = []
    for text, expected, line in cases():
        got = [place.position for place in linebreak.line_breaks(text)]
        if [*got, len(text)] != expected:
            bad.append((got, line))
    assert len(cases()) == 7_654
    assert not bad, f"{len(bad)}: " + "\n".join(map(str, bad[:5]))


def test_table_is_what_the_generator_makes() -> None:
    source = make_linebreak_table.table_source(UNICODE)
    assert source == Path(linebreak_table.__file__).read_text(encoding="utf-8")


def test_romanian_keeps_a_pronoun_with_its_verb_and_others_part_at_hyphens() -> None:
    text = "opriți-vă acum"
    assert [place.position for place in linebreak.breaks(text, "ro")] == [10]
    assert [place.position for place in linebreak.breaks(text, "fr")] == [7, 10]
    code = [place.position for place in linebreak.breaks("H-7Q2MXX-RO", "ro")]
    assert code == [9]


def test_korean_words_stay_whole_whatever_they_hold() -> None:
    text = "패드 2를 2027년 1월에 (안내문)을 A+와"
    places = {place.position for place in linebreak.breaks(text)}
    assert places == {position + 1 for position, char in enumerate(text) if char == " "}
