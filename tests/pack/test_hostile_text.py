"""Whatever stands in a text field: it prints as it is, or is refused in words. Never markup,
never a template, never a traceback.
"""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest
import yaml
from built_packs import DEMOS, desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from docbuilder.errors import DocbuilderError
from docbuilder.pack.build import BuildOptions, Pack

TIBIAL = next(path for path in DEMOS if path.stem == "urgency-tibial-en")
HANDOUT = BuildOptions(documents=("handout",))
CONSENT = BuildOptions(documents=("consent",))
PRINTED = [
    "**bold** and _thin_ and `code`",
    "# A heading",
    "1. a list",
    "- a list",
    "> a quote",
    "[a link](https://example.org/x)",
    "https://example.org/x",
    "{{ 7 * 7 }}",
    "{% include 'x' %}",
    "{# gone #}",
    "%(name)s %s %d %%",
    "<b>bold</b> <para>x</para>",
    "<img src=x onerror=alert(1)>",
    "&amp; &lt; &#65;",
    "\\u0041 \\n \\",
    "$x^2$ ~~struck~~",
    "=1+1",
    "@SUM(1,2)",
    "'; DROP TABLE packs; --",
    "../../../etc/passwd",
    "C:\\con\\nul",
    "null",
    "true",
    "0042",
    "1e400",
    "a  b   c",
    "!!python/object:os.system",
    "{page} of {pages}",
    "/Type /Page (x) 12 0 R endobj stream",
    "FEFF0041>",
    'O\'Brien-Smith, Dr. "Jo"',
    "Ünï çødé Łódź Žižek Đặng",
    "x" * 300,
    "W" * 120,
]
REFUSED_OR_PRINTED = [
    "مرحبا abc ١٢٣",
    "שלום",
    "हिन्दी ਪੰਜਾਬੀ বাংলা",
    "中文 한국어",
    "e\u0301\u0302\u0303\u0304\u0305" * 20,
    "\U0001f600 \U0001f469\u200d\U0001f52c",
    "\u200b\u200d\u200c",
    "\u202eevil\u202c",
    "\u2066open",
    "a\u2028b",
    "\u00ad\u00ad\u00ad",
    "\ufdfd",
    "\U00013000",
    "\U000e0041",
    "\ue000",
    "a\u0000b",
    "\x1b[31mred",
]


def written(folder: Path, text: str, *fields: str) -> Path:
    """Write the prescription as JSON with *text* in *fields*."""
    rx = _typed(yaml.load(TIBIAL.read_text(encoding="utf-8"), Loader=yaml.BaseLoader))
    for field in fields:
        *path, last = field.split(".")
        branch = rx
        for part in path:
            branch = branch[part]
        branch[last] = text
    source = folder / "rx.json"
    source.write_text(json.dumps(rx), encoding="utf-8")
    return source


def _typed(value: Any) -> Any:
    """Numbers and words stay as the reader of YAML wants them: JSON's plain literals."""
    if isinstance(value, dict):
        return {key: _typed(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_typed(one) for one in value]
    if isinstance(value, str) and value.lstrip("-").replace(".", "", 1).isdigit():
        return float(value) if "." in value else int(value)
    return {"true": True, "false": False}.get(value, value) if isinstance(value, str) else value


def outcome(source: Path, options: BuildOptions) -> Pack | DocbuilderError:
    try:
        return desk().make(desk().prepare(source, options), options)
    except DocbuilderError as refused:
        return refused


def text_of(data: bytes) -> str:
    with pymupdf.open("pdf", data) as document:
        return "".join("".join(page.get_text() for page in document).split())


def links_of(data: bytes) -> set[str]:
    with pymupdf.open("pdf", data) as document:
        return {link.get("uri", "") for page in document for link in page.get_links()}


@pytest.mark.parametrize("text", PRINTED, ids=range(len(PRINTED)))
def test_goal_prints_as_it_was_written(text: str, tmp_path: Path) -> None:
    source = tmp_path / "rx.yaml"
    lines = TIBIAL.read_text(encoding="utf-8").splitlines()
    quoted = yaml.dump(text, default_style='"', width=9999, allow_unicode=True)
    source.write_text(
        "\n".join(f"goal: {quoted.strip()}" if one.startswith("goal:") else one for one in lines),
        encoding="utf-8",
    )
    pack = outcome(source, HANDOUT)
    assert isinstance(pack, Pack), pack
    handout = next(file.data for file in pack.files if file.kind == "handout")
    assert "".join(text.split()) in text_of(handout)
    usual = {uri for uri in links_of(handout) if uri.startswith(("tel:", "mailto:"))}
    assert links_of(handout) == usual
    with pikepdf.open(BytesIO(handout)) as pdf:
        assert pdf.check_pdf_syntax() == []


NAMES = (
    "patient.name", "patient.record_number", "clinician.name", "clinician.role", "goal",
)  # fmt: skip


@pytest.mark.parametrize("text", PRINTED + REFUSED_OR_PRINTED)
def test_names_print_or_are_refused_in_words(text: str, tmp_path: Path) -> None:
    pack = outcome(written(tmp_path, text, *NAMES), CONSENT)
    if isinstance(pack, DocbuilderError):
        assert pack.issues
        assert all(issue.found and issue.allowed for issue in pack.issues)
        assert not set("\x1b\u202e\0") & set(str(pack))
        return
    for file in pack.files:
        assert "/" not in file.name
        if file.name.endswith(".pdf"):
            with pikepdf.open(BytesIO(file.data)) as pdf:
                assert pdf.check_pdf_syntax() == []


@given(text=st.text(min_size=1, max_size=60))
@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_any_text_at_all_prints_or_is_refused(text: str, tmp_path: Path) -> None:
    pack = outcome(written(tmp_path, text, "patient.name", "goal"), CONSENT)
    assert pack.files if isinstance(pack, Pack) else pack.issues
