"""Ids are opaque, short, safe in a file name and in a QR code, and hardly ever the same."""

from __future__ import annotations

import doctest
import re
from dataclasses import fields
from pathlib import Path

import pytest
from built_packs import DEMOS, desk
from hypothesis import given, settings
from hypothesis import strategies as st

from docbuilder.errors import InputFault
from docbuilder.language.registry import known_languages
from docbuilder.model.prescription import DOCUMENT_KINDS
from docbuilder.pack import bugs, identity
from docbuilder.pack.build import BuildOptions, identify
from docbuilder.pack.desk import Desk
from docbuilder.pack.identity import document_id, file_name, folder_digest, pack_id

QR_ALPHANUMERIC = re.compile(r"[0-9A-Z $%*+./:-]+")
"""ISO/IEC 18004, table 5: the characters of alphanumeric mode."""


@pytest.mark.parametrize("module", [identity, bugs])
def test_examples_in_the_docstrings_hold(module: object) -> None:
    result = doctest.testmod(module)  # type: ignore[arg-type]
    assert result.attempted
    assert not result.failed


@given(st.lists(st.text(), max_size=4), st.lists(st.text(), max_size=4))
@settings(max_examples=200, deadline=None)
def test_other_parts_give_another_id(one: list[str], two: list[str]) -> None:
    assert (pack_id(one) == pack_id(two)) == (one == two)


def test_ids_are_spread_over_their_room() -> None:
    """10,000 ids of 50 bits: no pair is alike, and each character takes every value."""
    ids = [pack_id([str(number)]) for number in range(10_000)]
    assert len(set(ids)) == len(ids)
    for place in range(10):
        assert len({one[place] for one in ids}) == 32
    assert not set("".join(ids)) & set("ILOU")  # letters that are misread


@pytest.mark.parametrize("kind", DOCUMENT_KINDS)
def test_document_ids_fit_the_qr_set_and_file_names_any_disk(kind: str) -> None:
    tags = [language.tag for language in known_languages()]
    for languages in [(tag,) for tag in tags] + [(tag, "en") for tag in tags]:
        name = document_id("7QX4M2KD9P", kind, languages)  # type: ignore[arg-type]
        assert QR_ALPHANUMERIC.fullmatch(name)
        file = file_name("7QX4M2KD9P", kind, languages)  # type: ignore[arg-type]
        assert re.fullmatch(r"[A-Za-z0-9+_.-]+\.pdf", file)
    every = {document_id("7QX4M2KD9P", one, (tag,)) for one in DOCUMENT_KINDS for tag in tags}
    assert len(every) == len(DOCUMENT_KINDS) * len(tags)


def test_folder_digest_sees_names_and_bytes_and_nothing_else(tmp_path: Path) -> None:
    def digest() -> str:
        return folder_digest(tmp_path, (".j2",))

    seen = {digest()}
    (tmp_path / "a.j2").write_bytes(b"1")
    seen.add(digest())
    (tmp_path / "a.j2").write_bytes(b"2")
    seen.add(digest())
    (tmp_path / "a.j2").rename(tmp_path / "b.j2")
    seen.add(digest())
    (tmp_path / "notes.txt").write_bytes(b"x")
    assert digest() in seen
    assert len(seen) == 4


@pytest.mark.parametrize("name", ["...yaml", ".hidden.yaml"])
@pytest.mark.parametrize("replace", [False, True])
def test_file_cannot_name_a_folder_outside_or_hidden(
    name: str, replace: bool, tmp_path: Path
) -> None:
    source = tmp_path / name
    source.write_bytes(DEMOS[-1].read_bytes())
    with pytest.raises(InputFault, match="begins with no dot"):
        desk().build(source, tmp_path / "out", BuildOptions(), replace=replace, name_by_file=True)
    assert sorted(path.name for path in tmp_path.iterdir()) == [name]


def test_an_upgraded_library_gives_another_pack(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else a batch would keep packs that the new fonts or the new shaper would draw otherwise."""
    source = next(path for path in DEMOS if path.stem == "urgency-tibial-en")
    options = BuildOptions()
    before = Desk(None).prepare(source, options)
    assert "uharfbuzz " in before.inputs["libraries"]
    assert "manimgx-fonts " in before.inputs["libraries"]
    monkeypatch.setattr(identity, "version", lambda name: "999")
    identity.libraries.cache_clear()
    try:
        after = Desk(None).prepare(source, options)
    finally:
        identity.libraries.cache_clear()
    assert after.id != before.id


def test_each_option_gives_another_pack_and_one_left_alone_counts_for_nothing() -> None:
    inputs = {"prescription": "a", "unit": "b"}
    chosen = [
        BuildOptions(),
        BuildOptions(languages=("es",)),
        BuildOptions(documents=("diary",)),
        BuildOptions(draft=True),
        BuildOptions(one_language_consent=True),
        BuildOptions(fillable=True),
    ]
    assert len(chosen) == len(fields(BuildOptions)) + 1
    assert len({identify(options, inputs) for options in chosen}) == len(chosen)
    assert identify(BuildOptions(), inputs) == pack_id(["prescription=a", "unit=b"])
