"""The engine's rules: nothing undefined, nothing untranslated, nothing raw."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from document_text import text_of
from example_plans import ISSUE, example_plan
from jinja2 import TemplateSyntaxError

from docbuilder.content import assemble as assemble_module
from docbuilder.content.assemble import assemble
from docbuilder.content.environment import make_environment, template_folders
from docbuilder.content.job import Job
from docbuilder.errors import Refused
from docbuilder.language.words import load_words
from docbuilder.paths import shipped

TITLE = "# {% trans %}Title{% endtrans %}\n\n"


def built(folder: Path, source: str, **changes: object) -> str:
    place = folder / "templates" / "diary"
    place.mkdir(parents=True)
    (place / "document.md.j2").write_text(TITLE + source, encoding="utf-8")
    plan = example_plan(folder=folder, **changes)
    return text_of(assemble("diary", plan, load_words("en", "GB"), issue=ISSUE))


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("{{ nonsense }}", "nonsense"),
        ("{{ plan.nonsense }}", "nonsense"),
        ("{{ nonsense() }}", "nonsense"),
        ("Words that nobody translates.", "outside {% trans %}"),
        ('{{ "words" }}', "outside {% trans %}"),
        ("{{ patient.name }}", "bare str"),
        ("{{ patient.born }}", "bare date"),
        ("{{ patient }}", "bare Patient"),
        ("{% trans name=patient.name %}Hello {{ name }}{% endtrans %}", "bare str"),
        ("{{ plan.__class__ }}", "unsafe"),
        ("{{ say(plan.why).__init__.__globals__ }}", "unsafe"),
        ('{% include "shared/nothing.md.j2" %}', "no template 'shared/nothing.md.j2'"),
        ('{% include "../clinic.yaml" %}', "no template"),
        ("{% trans %}Soft *words*{% endtrans %}", "<em>"),
        ('{% call panel("loud", _("Title")) %}{% endcall %}', "'loud'"),
        ("{% call columns() %}{% endcall %}", "next_column()"),
        ("{% call steps() %}{% endcall %}", "one step a line"),
        ('{% call steps() %}{{ picture("dog") }} {{ _("Pat it.") }}{% endcall %}', "'dog'"),
        ('{{ picture("pad_on") }}', "outside a step"),
        ('{{ signatures(_("Yes"), ["king"]) }}', "king"),
        ('{{ day(schedule.starts_on, "loud") }}', "'loud'"),
        ("# {% trans %}Second title{% endtrans %}", "no single title"),
    ],
)
def test_a_template_fault_is_refused_with_its_place(tmp_path, source, found):
    with pytest.raises(Refused) as caught:
        built(tmp_path, source)
    (issue,) = caught.value.issues
    assert found in issue.found
    assert "document.md.j2" in issue.place.file


def test_the_line_of_a_fault_is_named(tmp_path):
    with pytest.raises(Refused) as caught:
        built(tmp_path, "\n\n{{ nonsense }}\n")
    assert str(caught.value).startswith("templates/diary/document.md.j2:5: ")


def test_a_fault_never_tells_the_patient(tmp_path):
    with pytest.raises(Refused) as caught:
        built(tmp_path, "{{ patient.name }}")
    assert "Ada" not in str(caught.value)


def test_the_clinics_template_wins_and_may_use_the_shipped_parts(tmp_path):
    text = built(tmp_path, '{% include "shared/when.md.j2" %}')
    assert "Title" in text
    assert "37 sessions in all." in text
    assert "My TENS diary" not in text


def test_a_kind_without_a_template_is_refused_with_the_places_searched(tmp_path):
    with pytest.raises(Refused) as caught:
        assemble("letter", example_plan(folder=tmp_path), load_words("en", "GB"), issue=ISSUE)
    assert str(tmp_path / "templates") in str(caught.value)
    assert str(shipped("templates")) in str(caught.value)


def test_one_environment_serves_all_documents_of_a_clinic(tmp_path):
    assert make_environment(tmp_path) is make_environment(tmp_path)
    assert template_folders(tmp_path)[0] == tmp_path / "templates"


def test_every_shipped_template_compiles():
    environment = make_environment(None)
    names = environment.list_templates(extensions=["j2"])
    assert len(names) >= 8
    for name in names:
        environment.get_template(name)


def test_bare_text_is_found_wherever_it_hides():
    environment = make_environment(None)
    with pytest.raises(TemplateSyntaxError, match="Hidden"):
        environment.from_string("{% if a %}\n{% for b in c %}Hidden{% endfor %}{% endif %}")


def test_the_guide_for_template_authors_names_every_piece_and_no_other():
    guide = (shipped("templates") / "README.md").read_text(encoding="utf-8")
    told = set(re.findall(r"^\| `(\w+)", guide, re.MULTILINE))
    context = assemble_module._context(
        Job("handout", example_plan(), load_words("en", "GB"), ISSUE)
    )
    gettext = {"gettext", "ngettext", "pgettext", "npgettext"}
    assert told == set(context) - gettext
