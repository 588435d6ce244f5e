import json
import os
import time
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from docbuilder.errors import InputFault, Issue
from docbuilder.inputs import yaml_file
from docbuilder.inputs.knowledge import knowledge_folder
from docbuilder.inputs.yaml_file import (
    MAX_BYTES,
    ListNode,
    MapNode,
    Node,
    ScalarNode,
    parse_yaml,
    read_yaml,
    shown,
    shown_path,
)
from docbuilder.paths import data_folder


def only_issue(action: object, *args: object, **kwargs: object) -> Issue:
    with pytest.raises(InputFault) as caught:
        action(*args, **kwargs)  # type: ignore[operator]
    assert len(caught.value.issues) == 1
    return caught.value.issues[0]


def plain(node: Node) -> object:
    """Return the tree as dicts, lists and text."""
    if isinstance(node, MapNode):
        return {key: plain(value) for key, value in node.values.items()}
    if isinstance(node, ListNode):
        return [plain(item) for item in node.items]
    return node.text


# Values stay as written


@pytest.mark.parametrize(
    "word", ["no", "12:30", "010", "0x1F", "1_000", "2026-12-01", "1e3", ".inf", "On", "=", "0o17"]
)
def test_values_stay_the_text_that_was_written(word: str) -> None:
    """This test ensures that no value is turned into another, as YAML 1.1 does with these."""
    assert plain(parse_yaml(f"a: {word}\n".encode(), "f").root) == {"a": word}
    if word not in ("=", "0o17", "1e3"):
        assert yaml.safe_load(f"a: {word}")["a"] != word


def test_each_node_knows_its_line() -> None:
    text = "# remark\na: 1\n\nb:\n  - x\n  - y: [2,\n     3]\nc: |\n  one\n  two\nd: 'e\n  f'\n"
    root = parse_yaml(text.encode(), "f").root
    lines = text.split("\n")
    assert root.key_lines == {
        key: next(i for i, line in enumerate(lines, 1) if line.startswith(f"{key}:"))
        for key in "abcd"
    }
    listing = root.values["b"]
    assert isinstance(listing, ListNode)
    assert [item.line for item in listing.items] == [5, 6]
    inner = listing.items[1]
    assert isinstance(inner, MapNode)
    numbers = inner.values["y"]
    assert isinstance(numbers, ListNode)
    assert [item.line for item in numbers.items] == [6, 7]


def test_windows_line_ends_and_byte_order_mark_are_welcome() -> None:
    root = parse_yaml(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n", "f").root
    assert plain(root) == {"a": "1", "b": "2"}
    assert root.key_lines == {"a": 1, "b": 2}


# The disk


def test_missing_file(tmp_path: Path) -> None:
    assert only_issue(read_yaml, tmp_path / "none.yaml").found == "no such file"


def test_folder(tmp_path: Path) -> None:
    assert only_issue(read_yaml, tmp_path).found == "a folder"


def test_path_through_a_file(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("a: 1")
    assert only_issue(read_yaml, tmp_path / "a" / "b.yaml").found == "not a directory"


def test_path_that_no_disk_can_hold(tmp_path: Path) -> None:
    assert only_issue(read_yaml, tmp_path / "a\x00b").hint
    assert "too long" in only_issue(read_yaml, tmp_path / ("a" * 5000)).found


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes and devices are of POSIX systems")
def test_pipe_and_device_are_not_opened(tmp_path: Path) -> None:
    """This test ensures that a pipe without a writer, and an endless device, never hang us."""
    os.mkfifo(tmp_path / "pipe.yaml")
    for path in (tmp_path / "pipe.yaml", Path("/dev/zero")):
        assert only_issue(read_yaml, path).found == "a device, pipe or socket"


def test_file_that_turns_into_a_device_while_it_is_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("a: 1")
    real = os.open
    monkeypatch.setattr(yaml_file.os, "open", lambda _path, flags: real(os.devnull, flags))
    assert only_issue(read_yaml, path).found == "a device, pipe or socket"


def test_unreadable_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("a: 1")
    path.chmod(0)
    if os.access(path, os.R_OK):  # the superuser may read it all the same

        def refuse(*_: object) -> int:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(yaml_file.os, "open", refuse)
    assert only_issue(read_yaml, path).found == "a file that may not be read"


def test_hundred_megabytes_are_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "big.yaml"
    with path.open("wb") as file:
        file.truncate(100 * 1024 * 1024)
    monkeypatch.setattr(yaml_file.os, "open", lambda *_: pytest.fail("the file was opened"))
    issue = only_issue(read_yaml, path)
    assert issue.found == "104857600 bytes"
    assert str(MAX_BYTES) in issue.allowed


def test_file_that_grows_while_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("a: " + "x" * (MAX_BYTES + 10))
    monkeypatch.setattr(yaml_file, "_check_regular", lambda *_: None)
    assert str(MAX_BYTES) in only_issue(read_yaml, path).allowed


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"%PDF-1.7\n\x00\x01", "a binary file"),
        ("a: 1".encode("utf-16"), "UTF-16 text"),
        ("a: é".encode("latin-1"), "the byte 0xe9, not UTF-8"),
        (b"a: 1\nb: \xed\xa0\x80", "the byte 0xed, not UTF-8"),
        (b"a: \x1b[0m", "the control character U+001B"),
        (b"a: 1\n\x0c", "the control character U+000C"),
        ("a: \x9b".encode(), "the control character U+009B"),
        ("a: \u2028b".encode(), "the control character U+2028"),
    ],
)
def test_bytes_that_are_no_text(data: bytes, found: str) -> None:
    issue = only_issue(parse_yaml, data, "f.yaml")
    assert issue.found == found
    assert issue.place.line in (0, data.count(b"\n") + 1)


# JSON

json_values = st.recursive(
    st.text(st.characters(blacklist_categories=("Cs",)), max_size=12) | st.booleans()
    | st.integers(-(10**30), 10**30),
    lambda inner: st.lists(inner, max_size=4)
    | st.dictionaries(st.text("abcd é☃\u202e😀", min_size=1, max_size=6), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@settings(max_examples=150, derandomize=True, deadline=None)
@given(
    st.dictionaries(st.sampled_from(["a", "b", "é", "😀"]), json_values, min_size=1),
    st.sampled_from([None, 1, "\t"]),
    st.booleans(),
)
def test_json_reads_as_a_json_reader_reads_it(
    value: dict[str, object], indent: int | str | None, ascii_only: bool
) -> None:
    """This test ensures that any JSON of ours means what the standard library says."""
    data = json.dumps(value, indent=indent, ensure_ascii=ascii_only).encode()
    if yaml_file._CONTROL.search(data.decode()):
        return  # raw DEL, C1 and line separators are JSON, but no text of ours
    expected = json.loads(data, parse_int=str)

    def as_text(item: object) -> object:
        if isinstance(item, dict):
            return {key: as_text(inner) for key, inner in item.items()}
        if isinstance(item, list):
            return [as_text(inner) for inner in item]
        return str(item).lower() if isinstance(item, bool) else item

    try:
        read = parse_yaml(data, "f.json", as_json=True).root
    except InputFault as fault:  # only two things of JSON are not ours
        assert any(w in str(fault) for w in ("no short word", "nested deeper"))  # noqa: PT017
        return
    assert plain(read) == as_text(expected)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('{\n"a": 1,\n}', 3, "JSON fault"),
        ("a: 1", 1, "JSON fault"),
        ('{"a": NaN}', 0, "NaN or Infinity"),
        ('{"a": 1, "a": 2}', 1, "a second time"),
        ('{"a": "\\ud800"}', 1, "half of an escaped character"),
        ("[" * 100_000, 1, "nested deeper"),
        ('{"a": "b\tc"}', 1, "JSON fault"),
        ('{"a": ' + "9" * 6000 + "}", 1, "fine"),
    ],
)
def test_json_faults(text: str, line: int, words: str) -> None:
    if words == "fine":
        assert parse_yaml(text.encode(), "f.json", as_json=True).root
        return
    issue = only_issue(parse_yaml, text.encode(), "f.json", as_json=True)
    assert issue.place.line == line
    assert words in str(issue)


# Time and messages


@pytest.mark.parametrize(
    "data",
    [
        b"a: [" + b"1," * 480_000 + b"]",
        b"a: " + b"x " * 490_000,
        b'a: "' + b"\\n" * 490_000 + b'"',
        b"{" * 900_000,
        b"- " * 490_000,
        b"? " * 490_000,
        b"a:\n" + b" -\n" * 300_000,
        b"a: &a [" + b"*a," * 300_000 + b"]",
        b"#" * 900_000,
        b"".join(b"k%d: 1\n" % n for n in range(60_000)),
        b"&a " * 300_000,
        b"!!x " * 240_000,
        b"%YAML " + b"9" * 900_000,
    ],
    ids=lambda data: data[:8].decode().strip().replace(" ", "_").replace(":", ""),
)
def test_hostile_megabyte_is_done_in_seconds(data: bytes) -> None:
    """This test ensures that the largest file allowed cannot hold us up, whatever it holds."""
    started = time.process_time()
    try:
        parse_yaml(data, "f.yaml")
    except InputFault as fault:
        assert len(str(fault)) < 500  # noqa: PT017
    assert time.process_time() - started < 10


def test_nine_levels_of_nine_aliases_build_nothing() -> None:
    levels = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    levels += [f"{n}: &{n} [{', '.join(['*' + p] * 9)}]" for p, n in zip("abcdefgh", "bcdefghi")]  # noqa: B905
    issue = only_issue(parse_yaml, "\n".join(levels).encode(), "f.yaml")
    assert issue.allowed == "no anchors or aliases"
    assert issue.place.line == 1


@given(st.text(max_size=200))
def test_quoted_text_is_one_bounded_printable_line(text: str) -> None:
    assert shown(text).isprintable()
    assert len(shown(text)) <= 40 * len("\\U00000000") + 2


def test_path_in_a_message_is_one_printable_line() -> None:
    assert shown_path(Path("a\nb\u202ec\x1b")) == "a\\nb\\u202ec\\x1b"


def test_scalar_without_a_value_is_empty_only_when_plain() -> None:
    root = parse_yaml(b"a:\nb: ''\nc: ~\nd: 'null'\ne: null\n", "f").root
    empty = [
        key for key, node in root.values.items() if isinstance(node, ScalarNode) and node.empty
    ]
    assert empty == ["a", "c", "e"]


def shipped_files() -> list[Path]:
    folders = (knowledge_folder(), data_folder("demo") / "units")
    return sorted(path for folder in folders for path in folder.glob("*.yaml"))


@pytest.mark.parametrize("path", shipped_files(), ids=lambda path: path.name)
def test_the_fast_parser_reads_a_shipped_file_as_the_strict_one_does(path: Path) -> None:
    assert read_yaml(path, ours=True) == read_yaml(path)
