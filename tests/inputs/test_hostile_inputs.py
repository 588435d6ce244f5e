"""Whatever the file holds, reading it ends soon: with a value or with an `InputFault`."""

import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from docbuilder.errors import InputFault, Issue
from docbuilder.inputs.prescription import prescription_from
from docbuilder.inputs.yaml_file import parse_yaml
from docbuilder.paths import data_folder

GOOD = [path.read_bytes() for path in sorted((data_folder("demo") / "prescriptions").glob("*"))]
BAD = [path.read_bytes() for path in sorted((Path(__file__).parent / "cases" / "bad").glob("*"))]
PIECES = [
    b"\n", b" ", b"\t", b":", b"- ", b"[", b"]", b"{", b"}", b",", b"&a ", b"*a", b"!!int ", b"!x ",
    b"'", b'"', b"|", b">", b"#", b"?", b"%", b"@", b"`", b"---\n", b"...\n", b"\x00", b"\xff",
    b"\xe2\x80\xae", b"\xe2\x81\xa7", b"\\", b'"\\x00"', b'"\\uD800"', b"<<: ", b"~", b"null",
    b"9" * 400, b"1e999", b"-0", b"2026-02-30", b"\xed\xa0\x80", b"\xf0\x9f\x98\x80", b"  " * 40,
    b"patient:\n", b"settings: [1]\n", b"\r", b"\xc2\x85", b"\xe2\x80\xa8",
]  # fmt: skip
LIMIT_S = 5.0


def survives(data: bytes, *, as_json: bool = False) -> None:
    started = time.process_time()
    issues: tuple[Issue, ...] | None = None
    try:
        prescription_from(parse_yaml(data, "rx.yaml", as_json=as_json))
    except InputFault as fault:
        issues = fault.issues
    assert issues != ()
    for issue in issues or ():
        for part in (issue.field, issue.found, issue.allowed, issue.hint):
            assert part.isprintable()
            assert len(part) < 2000
    assert time.process_time() - started < LIMIT_S


relaxed = settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@relaxed
@given(st.binary(max_size=400), st.booleans())
def test_random_bytes(data: bytes, as_json: bool) -> None:
    survives(data, as_json=as_json)


@relaxed
@given(st.lists(st.sampled_from(PIECES), max_size=60).map(b"".join), st.booleans())
def test_random_signs_of_the_language(data: bytes, as_json: bool) -> None:
    survives(data, as_json=as_json)


@relaxed
@given(st.data())
def test_good_and_bad_files_with_pieces_put_in_taken_out_and_moved(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from(GOOD + BAD[:40]))
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        stop = min(len(text), start + data.draw(st.integers(0, 30)))
        piece = data.draw(st.sampled_from(PIECES) | st.binary(max_size=4))
        text = text[:start] + piece + text[stop:]
    survives(text, as_json=data.draw(st.booleans()))


@pytest.mark.parametrize("text", GOOD, ids=range(len(GOOD)))
def test_every_line_taken_away_or_doubled(text: bytes) -> None:
    """This test ensures that each single slip of a line is survived, and a doubled key told."""
    lines = text.splitlines(keepends=True)
    for at, line in enumerate(lines):
        survives(b"".join(lines[:at] + lines[at + 1 :]))
        doubled = b"".join([*lines[: at + 1], line, *lines[at + 1 :]])
        survives(doubled)
        if b": " in line and not line.startswith(b"#"):
            with pytest.raises(InputFault, match="a second time"):
                parse_yaml(doubled, "rx.yaml")


def test_every_value_replaced_by_every_shape() -> None:
    """This test ensures that any type in any place is told, never a crash."""
    for text in GOOD[:2]:
        lines = text.decode().split("\n")
        for at, line in enumerate(lines):
            key, colon, _ = line.partition(":")
            if not colon or line.startswith("#"):
                continue
            for shape in ("", "[]", "{}", "[[x]]", "{a: {b: c}}", "''", "~", "true", "-1", "9e9"):
                survives("\n".join([*lines[:at], f"{key}: {shape}", *lines[at + 1 :]]).encode())
