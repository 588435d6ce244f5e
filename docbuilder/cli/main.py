"""The command `docbuilder`: parses, calls, prints; holds no rules.

Exit codes: 0 all built, 1 refused (a check, a missing translation, a missing glyph),
2 bad call or input, 3 a bug of ours. With several files the worst one counts.
"""

from __future__ import annotations

import click

from docbuilder import __version__
from docbuilder.cli.batch import batch
from docbuilder.cli.drawings import drawings
from docbuilder.cli.knowledge import explain, languages, protocols
from docbuilder.cli.options import Group
from docbuilder.cli.packs import build, check, demo
from docbuilder.cli.readability import readability
from docbuilder.cli.starter import new
from docbuilder.cli.translations import translations

__all__ = ["main"]


@click.group(
    cls=Group,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="""\b
Examples:
  docbuilder demo --out packs              build the invented clinic's packs
  docbuilder new rx.yaml                   start a prescription with comments
  docbuilder check rx.yaml                 what would be refused, and why
  docbuilder build rx.yaml --out packs --clinic our-clinic
  docbuilder batch tomorrow.csv --out packs --clinic our-clinic
  docbuilder explain rx.yaml settings.pulse_rate_hz
Shell completion (bash): eval "$(_DOCBUILDER_COMPLETE=bash_source docbuilder)"
  zsh: eval "$(_DOCBUILDER_COMPLETE=zsh_source docbuilder)"
  fish: _DOCBUILDER_COMPLETE=fish_source docbuilder | source
Exit codes: 0 built, 1 refused, 2 bad call or input, 3 a bug of docbuilder.""",
)
@click.version_option(__version__, prog_name="docbuilder")
def main() -> None:
    """Turn one short prescription for home stimulation into the patient's printed pack."""


for _command in (
    demo, new, check, build, batch, explain, protocols, drawings, readability, languages,
    translations,
):  # fmt: skip
    main.add_command(_command)
