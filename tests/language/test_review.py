"""A signature stands for exactly what was signed, and lapses by itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from catalogue_files import write_po

from docbuilder.errors import InputFault
from docbuilder.language.catalogue import load_catalogue
from docbuilder.language.review import (
    read_signatures,
    review_files,
    review_state,
    sign,
    text_digest,
    write_signatures,
)
from docbuilder.language.words import load_words

SPANISH = """
msgctxt "safety"
msgid "Stop."
msgstr "Pare."

msgctxt "consent"
msgid "I agree."
msgstr "Acepto."

msgid "Hello."
msgstr "Hola."
"""
STOP, AGREE, HELLO = ("safety", "Stop."), ("consent", "I agree."), ("", "Hello.")
DAY = date(2026, 11, 25)


def entries_of(folder, body=SPANISH):
    return load_catalogue("es", write_po(folder, "es", body))


def signed(entries, message_set="all", state="revised", kind="linguistic"):
    return sign(entries, message_set, state, "Nora Example", "qualified translator", DAY, kind)


def test_nothing_signed_is_a_draft(tmp_path):
    state = review_state(entries_of(tmp_path), [], [STOP, HELLO])
    assert (state.total, state.reviewed, state.unreviewed, state.lapsed) == (2, 0, 2, 0)
    assert state.lowest == "draft"
    assert not state.complete


def test_a_signature_covers_its_set_only(tmp_path):
    entries = entries_of(tmp_path)
    state = review_state(entries, [signed(entries, "safety")], [STOP, AGREE, HELLO])
    assert (state.reviewed, state.unreviewed, state.lowest) == (1, 2, "draft")
    assert review_state(entries, [signed(entries, "safety")], [STOP]).complete


def test_the_lowest_state_of_the_messages_counts(tmp_path):
    entries = entries_of(tmp_path)
    signatures = [signed(entries, "all", "human translated"), signed(entries, "consent", "revised")]
    assert review_state(entries, signatures, [STOP, AGREE]).lowest == "human translated"
    assert review_state(entries, signatures, [AGREE]).lowest == "revised"


@pytest.mark.parametrize("changed", ["Pare .", "Para.", "Pare"])
def test_a_changed_translation_lapses_alone(tmp_path, changed):
    signature = signed(entries_of(tmp_path / "a"))
    later = entries_of(tmp_path / "b", SPANISH.replace("Pare.", changed))
    state = review_state(later, [signature], [STOP, AGREE, HELLO])
    assert (state.reviewed, state.lapsed) == (2, 1)
    assert state.lowest == "draft"


def test_a_changed_source_is_unreviewed(tmp_path):
    signature = signed(entries_of(tmp_path / "a"))
    later = entries_of(tmp_path / "b", SPANISH.replace('"Stop."', '"Stop now."'))
    state = review_state(later, [signature], [("safety", "Stop now."), HELLO])
    assert (state.reviewed, state.unreviewed) == (1, 1)


def test_a_text_changed_back_is_reviewed_again(tmp_path):
    signature = signed(entries_of(tmp_path / "a"))
    assert review_state(entries_of(tmp_path / "c"), [signature], [STOP]).complete


def test_a_fuzzy_translation_loses_its_review(tmp_path):
    signature = signed(entries_of(tmp_path / "a"))
    fuzzy = SPANISH.replace('msgctxt "safety"', '#, fuzzy\nmsgctxt "safety"')
    state = review_state(entries_of(tmp_path / "b", fuzzy), [signature], [STOP])
    assert (state.reviewed, state.lapsed) == (0, 1)


def test_a_clinical_reader_does_not_vouch_for_the_language(tmp_path):
    entries = entries_of(tmp_path)
    assert review_state(entries, [signed(entries, kind="clinical")], [STOP]).reviewed == 0


def test_moving_a_word_between_fields_changes_the_digest(tmp_path):
    entry = entries_of(tmp_path)[HELLO]
    glued = replace(entry, msgid="Hello", plural=".")
    assert text_digest(glued) != text_digest(entry)
    assert text_digest(replace(entry, texts=("Ho", "la."))) != text_digest(entry)


def test_composed_and_decomposed_text_have_one_digest(tmp_path):
    entry = entries_of(tmp_path)[HELLO]
    composed, decomposed = replace(entry, texts=("é",)), replace(entry, texts=("e\u0301",))
    assert text_digest(composed) == text_digest(decomposed)


@pytest.mark.parametrize(("by", "state"), [("", "revised"), ("  ", "revised"), ("Nora", "draft")])
def test_a_signature_needs_a_name_and_a_state(tmp_path, by, state):
    with pytest.raises(ValueError, match="signature"):
        sign(entries_of(tmp_path), "all", state, by, "translator", DAY)


def test_signatures_survive_the_file(tmp_path):
    entries = entries_of(tmp_path)
    path = tmp_path / "es" / "reviewed.yaml"
    signatures = (signed(entries, "safety"), signed(entries, "consent", "back-translated"))
    write_signatures(path, signatures)
    assert read_signatures(path) == signatures
    assert read_signatures(tmp_path / "none.yaml") == ()


@pytest.mark.parametrize(
    "damage",
    [("state: revised", "state: perfect"), ("date: 2026-11-25", "date: soon"),
     ("by: Nora", "bye: N"),
     ("signatures:", "signatures: ["), ("set: all", "set: some")],
)  # fmt: skip
def test_a_damaged_signature_file_stops(tmp_path, damage):
    path = tmp_path / "reviewed.yaml"
    write_signatures(path, [signed(entries_of(tmp_path))])
    text = path.read_text(encoding="utf-8")
    assert damage[0] in text
    path.write_text(text.replace(*damage), encoding="utf-8")
    with pytest.raises(InputFault):
        read_signatures(path)


def test_words_report_the_review_of_what_they_used(tmp_path):
    entries = entries_of(tmp_path)
    write_signatures(review_files("es", tmp_path)[-1], [signed(entries, "safety")])
    words = load_words("es", "US", tmp_path)
    words.pgettext("safety", "Stop.")
    assert words.review().complete
    words.gettext("Hello.")
    assert words.review().unreviewed == 1
    assert load_words("en", "US").review() is None
