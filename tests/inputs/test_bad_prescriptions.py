"""Every refusal has a file in cases/bad that says, on its first lines, what it expects.

`# expect: LINE FIELD: words` - one such line for each issue, and no issue besides.
"""

from pathlib import Path

import pytest

from docbuilder.errors import ExitCode, InputFault
from docbuilder.inputs.prescription import read_prescription

BAD = sorted((Path(__file__).parent / "cases" / "bad").glob("*.yaml"))
KNOWN = {
    "known_indications": ["urgency", "urge_leakage", "pelvic_pain"],
    "known_devices": ["demo-duo", "demo-solo"],
    "known_languages": ["ar", "en", "es", "fr"],
    "known_screening": ["pregnancy", "epilepsy"],
}


def expectations(path: Path) -> list[tuple[int, str, str]]:
    found = []
    for line in path.read_bytes().decode().split("\n"):
        if not line.startswith("# expect: "):
            break
        where, words = line.removeprefix("# expect: ").split(": ", 1)
        number, field = where.split(" ", 1)
        found.append((int(number), field, words))
    return found


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_bad_file_is_refused_as_it_says(path: Path) -> None:
    """This test ensures that each bad file gives exactly its issues, each with a hint."""
    with pytest.raises(InputFault) as caught:
        read_prescription(path, **KNOWN)
    expected = expectations(path)
    assert expected
    issues = caught.value.issues
    assert [(i.place.line, i.field) for i in issues] == [(n, f) for n, f, _ in expected]
    for issue, (_, _, words) in zip(issues, expected, strict=True):
        assert words in str(issue)
        assert issue.found
        assert issue.allowed
        assert issue.hint
        assert issue.place.file.endswith(path.name)
    assert caught.value.exit_code == ExitCode.BAD_INPUT


def test_the_common_base_of_the_bad_files_is_good(tmp_path: Path) -> None:
    """This test ensures that the bad files are bad by their marked lines only."""
    text = (Path(__file__).parent / "cases" / "good.yaml").read_text(encoding="utf-8")
    path = tmp_path / "good.yaml"
    path.write_text(text, encoding="utf-8")
    assert read_prescription(path, **KNOWN).indication == "urgency"
    assert len(BAD) > 100
