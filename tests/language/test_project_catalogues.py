"""The project's own catalogues: in step with the sources, and free of findable faults."""

from __future__ import annotations

import re

import pytest

from docbuilder.content.assemble import assemble
from docbuilder.content.job import IssueInfo
from docbuilder.language.catalogue import (
    catalogue_paths,
    message_ids,
    message_key,
    read_catalogue,
)
from docbuilder.language.checks import check_file
from docbuilder.language.extract import literal_gaps
from docbuilder.language.marks import check_isolates, check_placeholders, placeholders_in
from docbuilder.language.merge import merge_catalogue, po_bytes
from docbuilder.language.pairs import Pair
from docbuilder.language.registry import find_language, known_languages
from docbuilder.language.words import load_words
from docbuilder.model.prescription import DOCUMENT_KINDS
from docbuilder.pack.catalogue_tool import current_template, template_path
from docbuilder.pack.desk import Desk
from docbuilder.paths import data_folder

MEND = "run: python -m docbuilder.pack.catalogue_tool"
PACKAGE = data_folder("").parent
TAGS = [language.tag for language in known_languages() if language.tag != "en"]
GAPS = ("empty", "fuzzy", "missing")
"""Said by the counts of each language; here only what is wrong in what is there."""
DEMOS = [
    path
    for path in sorted((data_folder("demo") / "prescriptions").glob("*.yaml"))
    if not path.stem.endswith("-refused")
]


@pytest.fixture(scope="module")
def template():
    return current_template()


def test_the_template_is_in_step_with_the_sources(template):
    assert template_path().read_bytes() == po_bytes(template), MEND


@pytest.mark.parametrize("tag", TAGS)
def test_a_language_is_in_step_with_the_template(tag, template):
    path = catalogue_paths(tag)[0][0]
    merged = merge_catalogue(read_catalogue(path, tag), template, tag)
    assert path.read_bytes() == po_bytes(merged), MEND


@pytest.mark.parametrize("tag", TAGS)
def test_no_check_finds_a_fault_in_what_is_translated(tag, template):
    issues = check_file(catalogue_paths(tag)[0][0], tag, template)
    faults = [str(one) for one in issues if one.field.split(":")[0] not in GAPS]
    assert faults == []


def test_messages_that_cannot_be_extracted_come_from_the_knowledge_files_alone():
    gaps = {
        path.relative_to(PACKAGE).as_posix()
        for path in PACKAGE.rglob("*.py")
        if list(literal_gaps(path))
    }
    assert all(name.startswith("inputs/knowledge") for name in gaps), gaps


def test_the_sources_are_sound(template):
    english = find_language("es")
    for message in template:
        if not message.id:
            continue
        msgid, plural = message_ids(message)
        for text in (msgid, plural):
            pair = Pair(english, "", text, text)
            assert [*check_placeholders(pair), *check_isolates(pair)] == [], text
            assert "  " not in text, text
            assert text == text.strip(), text
        if plural:
            assert placeholders_in(msgid) - placeholders_in(plural) == {}, msgid


def test_safety_and_consent_have_contexts_and_all_has_readers(template):
    contexts = {message.context for message in template if message.id}
    assert contexts == {None, "safety", "consent"}


@pytest.mark.parametrize("source", DEMOS, ids=lambda path: path.stem)
def test_every_message_that_prints_is_in_the_template(source, template):
    known = {message_key(message) for message in template if message.id}
    desk = Desk(DEMOS[0].parent.parent)
    plan = desk.plan(source)
    for kind in DOCUMENT_KINDS:
        words = load_words("pl", plan.clinic.territory)
        issue = IssueInfo("id", plan.prescription.prescribed_on, awaiting_review=True)
        assemble(kind, plan, words, issue=issue, templates=desk.templates)
        assert words.used
        assert words.used <= known, words.used - known


def test_own_rule_names_are_the_only_ones_accepted():
    from docbuilder.language.checks import RULES

    for tag in TAGS:
        for message in read_catalogue(catalogue_paths(tag)[0][0], tag):
            for comment in message.user_comments:
                if comment.startswith("accept"):
                    match = re.fullmatch(r"accept (\w+): *(\S.*)", comment)
                    assert match, comment
                    assert match[1] in RULES, comment
