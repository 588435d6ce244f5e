"""The template engine: Jinja in its sandbox, with the rules that keep documents whole.

* Every undefined name is an error.
* Letters may stand only inside `{% trans %}` or `_()`: nothing can print that no
  translator has seen. This is checked when a template is compiled.
* Only sentences and facts print; a raw value is an error.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from jinja2 import (
    Environment,
    FileSystemLoader,
    StrictUndefined,
    TemplateNotFound,
    TemplateSyntaxError,
    Undefined,
    nodes,
)
from jinja2.sandbox import SandboxedEnvironment

from docbuilder.caching import kept
from docbuilder.content.tokens import Fact, Picture, Prose, TemplateFault
from docbuilder.paths import shipped

__all__ = ["TemplateEnvironment", "make_environment", "template_folders"]


class _Loader(FileSystemLoader):
    """Finds a template anew at each call: it is compiled again when anything else is found.

    The file's date would not do: a clinic's own template that is laid beside ours leaves the
    date of ours, and copying can leave the date of any.
    """

    def get_source(
        self, environment: Environment, template: str
    ) -> tuple[str, str, Callable[[], bool]]:
        find = super().get_source
        text, file, _ = find(environment, template)

        def unchanged() -> bool:
            try:
                return find(environment, template)[:2] == (text, file)
            except TemplateNotFound:
                return False

        return text, file, unchanged


class TemplateEnvironment(SandboxedEnvironment):
    """The sandbox, refusing text that bypasses the catalogues."""

    def _generate(
        self, source: nodes.Template, name: str | None, filename: str | None, *args: Any, **kw: Any
    ) -> str:
        for output in source.find_all(nodes.Output):
            for node in output.nodes:
                _refuse_bare_text(node, name, filename)
        return super()._generate(source, name, filename, *args, **kw)


def _refuse_bare_text(node: nodes.Expr, name: str | None, filename: str | None) -> None:
    if isinstance(node, nodes.TemplateData):
        text = node.data
    elif isinstance(node, nodes.Const):
        text = str(node.value)
    else:
        return
    if any(char.isalpha() for char in text):
        line = node.lineno + text[: len(text) - len(text.lstrip())].count("\n")
        raise TemplateSyntaxError(
            f"text outside {{% trans %}}: {text.strip()[:60]!r}", line, name, filename
        )


def template_folders(clinic_folder: Path | None) -> tuple[Path, ...]:
    """Return where templates are looked for, the clinic's own first."""
    own = (clinic_folder / "templates",) if clinic_folder is not None else ()
    return (*own, shipped("templates"))


@kept(16)
def make_environment(clinic_folder: Path | None = None) -> TemplateEnvironment:
    """Return the environment for a clinic; templates stay compiled until their file changes.

    The gettext functions come with each rendering (`assemble`), so one environment
    serves every language.
    """
    environment = TemplateEnvironment(
        loader=_Loader(template_folders(clinic_folder)),
        undefined=StrictUndefined,
        extensions=["jinja2.ext.i18n", "jinja2.ext.do"],
        finalize=_printable,
        lstrip_blocks=True,
        autoescape=False,
    )
    environment.policies["ext.i18n.trimmed"] = True
    environment.newstyle_gettext = True  # type: ignore[attr-defined]
    return environment


def _printable(value: object) -> str:
    if isinstance(value, Prose | Fact | Picture | Undefined):
        return str(value)
    raise TemplateFault(
        f"a bare {type(value).__name__} would print; say it with text(), day(), count() ..."
    )
