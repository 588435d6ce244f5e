"""The translations commands: status, checks, sign-off, and files that come back."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET

import pytest
from click.testing import CliRunner

from docbuilder.cli.translations import translations
from docbuilder.errors import InputFault, Refused
from docbuilder.language.catalogue import load_catalogue, read_catalogue
from docbuilder.language.extract import Extracted
from docbuilder.language.merge import make_template
from docbuilder.language.review import read_signatures
from docbuilder.language.words import load_words
from docbuilder.language.xliff import read_xliff
from docbuilder.pack import catalogue_tool

MESSAGES = [
    Extracted("Stop now.", "a.py", 1, "safety", comments=("Reader: the patient.",)),
    Extracted("Call %(phone)s & rest.", "a.py", 2),
    Extracted("%(n)s day", "a.py", 3, plural="%(n)s days"),
    Extracted("I agree.", "a.py", 4, "consent"),
]


@pytest.fixture
def project(tmp_path, monkeypatch):
    """A small project with its own locales folder and four messages."""
    (tmp_path / "locales").mkdir()
    for module in ("language.catalogue", "language.review", "pack.catalogue_tool"):
        monkeypatch.setattr(f"docbuilder.{module}.shipped", lambda name: tmp_path / name)
    monkeypatch.setattr(catalogue_tool, "project_messages", lambda: iter(MESSAGES))
    catalogue_tool.refresh(("pl",))
    return tmp_path


def run(*arguments, ok=True):
    result = CliRunner().invoke(translations, [str(one) for one in arguments])
    if ok and result.exception is not None:
        raise result.exception
    return result


def translate(project):
    """Fill the Polish catalogue by way of an XLIFF file, as a translator would."""
    out = project / "pl.xlf"
    run("export", "pl", "--out", out)
    text = out.read_text(encoding="utf-8")
    for source, target in {
        "Stop now.": "Przestań teraz.",
        "Call %(phone)s &amp; rest.": "Zadzwoń %(phone)s i odpocznij &amp; śpij.",
        "%(n)s day": "%(n)s dzień",
        "I agree.": "Zgadzam się.",
    }.items():
        text = text.replace(
            f'<source xml:space="preserve">{source}</source>',
            f'<source xml:space="preserve">{source}</source>'
            f'<target xml:space="preserve">{target}</target>',
        )
    text = text.replace(
        '<source xml:space="preserve">%(n)s days</source>',
        '<source xml:space="preserve">%(n)s days</source><target>%(n)s dni</target>',
    )
    out.write_text(text.replace('state="initial"', 'state="translated"'), encoding="utf-8")
    return out


def po(project):
    return project / "locales" / "pl" / "LC_MESSAGES" / "docbuilder.po"


def test_status_counts_what_is_done(project):
    row = json.loads(run("status", "pl", "--json").output)[0]
    assert (row["total"], row["translated"], row["missing"]) == (4, 0, 4)
    run("import", "pl", translate(project))
    row = json.loads(run("status", "pl", "--json").output)[0]
    assert (row["total"], row["translated"], row["missing"]) == (4, 4, 0)
    assert row["safety"] == {"total": 1, "reviewed": 0, "lapsed": 0, "lowest": "draft"}
    assert "4/4" in run("status", "pl").output


def test_xliff_there_and_back(project):
    run("import", "pl", translate(project))
    entries = load_catalogue("pl")
    assert entries[("safety", "Stop now.")].texts == ("Przestań teraz.",)
    assert entries[("", "Call %(phone)s & rest.")].texts == (
        "Zadzwoń %(phone)s i odpocznij & śpij.",
    )
    assert entries[("", "%(n)s day")].texts == ("%(n)s dzień", "%(n)s dni", "%(n)s dni")
    again = project / "again.xlf"
    run("export", "pl", "--out", again)
    tag, units = read_xliff(again)
    assert tag == "pl"
    assert {unit.context for unit in units.values()} == {"", "safety", "consent"}
    assert len(units) == 6


def test_the_exported_file_is_xliff_2_0_with_context_and_notes(project):
    out = project / "pl.xlf"
    run("export", "pl", "--out", out)
    root = ET.parse(out).getroot()
    space = "{urn:oasis:names:tc:xliff:document:2.0}"
    assert root.tag == f"{space}xliff"
    assert root.attrib == {"version": "2.0", "srcLang": "en", "trgLang": "pl"}
    first = root.find(f"{space}file/{space}unit")
    assert [child.tag for child in first] == [f"{space}notes", f"{space}segment"]
    notes = {note.get("category"): note.text for note in first.iter(f"{space}note")}
    assert notes == {"context": "safety", "description": "Reader: the patient."}
    ids = [unit.get("id") for unit in root.iter(f"{space}unit")]
    assert len(ids) == len(set(ids))


def test_a_file_made_for_an_older_source_is_taken_not_at_all(project, monkeypatch):
    out = translate(project)
    changed = [Extracted("Stop at once.", "a.py", 1, "safety"), *MESSAGES[1:]]
    monkeypatch.setattr(catalogue_tool, "project_messages", lambda: iter(changed))
    catalogue_tool.refresh(("pl",))
    before = po(project).read_bytes()
    with pytest.raises(InputFault) as fault:
        run("import", "pl", out)
    assert [issue.field for issue in fault.value.issues] == ["Stop now."]
    assert po(project).read_bytes() == before


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('trgLang="pl"', 'trgLang="ro"'),
        ('version="2.0"', 'version="1.2"'),
        ("<xliff ", '<!DOCTYPE x [<!ENTITY a "b">]><xliff '),
        ("</xliff>", ""),
        ("<?xml version='1.0' encoding='utf-8'?>", "<?xml version='1.0' encoding='utf-h'?>"),
        ("Zadzwoń %(phone)s", "Zadzwoń %(telefon)s"),
    ],
)
def test_a_file_that_does_not_fit_is_refused(project, old, new):
    out = translate(project)
    text = out.read_text(encoding="utf-8")
    assert old in text
    out.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputFault):
        run("import", "pl", out)
    assert load_catalogue("pl") == {}


@pytest.mark.parametrize("tag", ["xx", "../../etc", "en"])
@pytest.mark.parametrize("command", ["status", "check", "export", "import"])
def test_a_language_that_there_is_not_is_a_bad_call(project, command, tag):
    more = {"export": ["--out", project / "x.po"], "import": [project / "x.po"]}
    if (command, tag) == ("status", "en"):
        return  # the source counts as whole
    with pytest.raises(InputFault) as caught:
        run(command, tag, *more.get(command, ()))
    assert caught.value.issues[0].field.lower() == "language"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be", "cp037"])
def test_no_encoding_hides_a_document_type_declaration(project, encoding):
    out = translate(project)
    text = out.read_text(encoding="utf-8").replace("'utf-8'", f"'{encoding}'")
    hidden = text.replace("<xliff ", '<!DOCTYPE x [<!ENTITY a "b">]><xliff ', 1)
    out.write_bytes(hidden.encode(encoding, "xmlcharrefreplace"))
    with pytest.raises(InputFault, match="UTF-8"):
        run("import", "pl", out)


def test_po_there_and_back(project):
    run("import", "pl", translate(project))
    out = project / "handed.po"
    run("export", "pl", "--out", out)
    text = out.read_text(encoding="utf-8").replace("Zgadzam się.", "Wyrażam zgodę.")
    out.write_text(text, encoding="utf-8")
    assert "1 translations taken in" in run("import", "pl", out).output
    assert load_catalogue("pl")[("consent", "I agree.")].texts == ("Wyrażam zgodę.",)


def test_a_po_file_with_unknown_messages_is_refused(project):
    out = project / "other.po"
    run("export", "pl", "--out", out)
    text = out.read_text(encoding="utf-8")
    out.write_text(f'{text}\nmsgid "Foreign."\nmsgstr "Obcy."\n', encoding="utf-8")
    with pytest.raises(InputFault, match=r"Foreign\."):
        run("import", "pl", out)


def test_export_of_what_is_missing_or_unreviewed(project):
    run("import", "pl", translate(project))
    out = project / "part.po"
    run("export", "pl", "--only", "missing", "--out", out)
    assert len(read_catalogue(out, "pl")) == 0
    sign("safety")
    run("export", "pl", "--only", "unreviewed", "--out", out)
    assert len(read_catalogue(out, "pl")) == 3


def sign(message_set, *more):
    return run(
        "sign", "pl", "--set", message_set, "--state", "revised", "--by", "Nora Example",
        "--role", "qualified translator", "--on", "2026-11-25", *more,
    )  # fmt: skip


def test_signing_and_lapsing(project):
    run("import", "pl", translate(project))
    assert "signed 4 messages" in sign("all").output
    row = json.loads(run("status", "pl", "--json").output)[0]
    assert row["all"] == {"total": 4, "reviewed": 4, "lapsed": 0, "lowest": "revised"}
    path = po(project)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("Przestań teraz.", "Przestań."), encoding="utf-8")
    row = json.loads(run("status", "pl", "--json").output)[0]
    assert row["all"] == {"total": 4, "reviewed": 3, "lapsed": 1, "lowest": "draft"}
    words = load_words("pl", "GB")
    words.pgettext("consent", "I agree.")
    assert words.review().complete


def test_an_incomplete_set_cannot_be_signed(project):
    with pytest.raises(Refused, match=r"Stop now\."):
        sign("safety")
    assert read_signatures(project / "locales" / "pl" / "reviewed.yaml") == ()


def test_check_ends_with_1_when_anything_is_found(project):
    result = run("check", "pl", ok=False)
    assert result.exit_code == 1
    assert "4 found" in result.output
    run("import", "pl", translate(project))
    found = json.loads(run("check", "pl", "--json", ok=False).output)
    assert found == []


def test_a_language_that_is_the_source_or_unknown_is_refused(project):
    for tag in ("en", "xx"):
        with pytest.raises(InputFault):
            run("status", tag)


def test_the_clinics_own_translations_stay_in_its_folder(project, tmp_path):
    run("import", "pl", translate(project))
    ours = po(project).read_bytes()
    clinic, out = tmp_path / "clinic", project / "own.po"
    run("export", "pl", "--out", out, "--clinic", clinic)
    text = out.read_text(encoding="utf-8").replace("Zgadzam się.", "Zgoda.")
    out.write_text(text, encoding="utf-8")
    assert "1 translations taken in" in run("import", "pl", out, "--clinic", clinic).output
    own = clinic / "locales" / "pl" / "LC_MESSAGES" / "docbuilder.po"
    assert [m.string for m in read_catalogue(own, "pl") if m.id] == ["Zgoda."]
    assert load_words("pl", "GB", clinic).pgettext("consent", "I agree.") == "Zgoda."
    assert load_words("pl", "GB").pgettext("consent", "I agree.") == "Zgadzam się."
    assert po(project).read_bytes() == ours
    run("export", "pl", "--out", out, "--clinic", clinic)
    assert "Zgoda." in out.read_text(encoding="utf-8")


def test_a_clinic_signs_its_own_wording(project, tmp_path):
    test_the_clinics_own_translations_stay_in_its_folder(project, tmp_path)
    clinic = tmp_path / "clinic"
    sign("consent", "--clinic", clinic)
    words = load_words("pl", "GB", clinic)
    words.pgettext("consent", "I agree.")
    assert words.review().complete
    shipped = load_words("pl", "GB")
    shipped.pgettext("consent", "I agree.")
    assert not shipped.review().complete


def test_a_place_that_cannot_be_written_is_said(project):
    with pytest.raises(InputFault, match="no such file or directory"):
        run("export", "pl", "--out", project / "nowhere" / "pl.po")


def test_refreshing_twice_changes_nothing(project):
    run("import", "pl", translate(project))
    before = po(project).read_bytes()
    counts = catalogue_tool.refresh(("pl",))
    assert po(project).read_bytes() == before
    assert counts["pl"].complete


def test_a_message_without_translation_is_counted(project):
    template = make_template([*MESSAGES, Extracted("New.", "a.py", 9)])
    count = catalogue_tool.count_catalogue(read_catalogue(po(project), "pl"), template)
    assert (count.total, count.absent, count.empty) == (5, 1, 4)
