"""The command `docbuilder`: parses, calls, prints; holds no rules.

Exit codes: 0 all built, 1 refused (a check, a missing translation, a missing glyph),
2 bad call or input, 3 a bug of ours. With several files the worst one counts.
"""

from __future__ import annotations

from importlib import import_module

import click

from docbuilder import __version__
from docbuilder.cli.options import Group
from docbuilder.pack.garbage import without_collector

__all__ = ["main"]

_HOMES = {
    "demo": "packs", "new": "starter", "check": "packs", "build": "packs", "batch": "batch",
    "explain": "knowledge", "protocols": "knowledge", "drawings": "drawings",
    "readability": "readability", "languages": "knowledge", "translations": "translations",
}  # fmt: skip
"""The commands in the order of the work, each with the module of this package that holds it."""


class _Commands(Group):
    """Loads a command when it is asked for: `build` starts without what only others need."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands, in the order of the work."""
        return list(_HOMES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command by its name; None if there is none of that name."""
        if cmd_name in _HOMES and cmd_name not in self.commands:
            with without_collector():
                home = import_module(f"docbuilder.cli.{_HOMES[cmd_name]}")
            self.add_command(getattr(home, cmd_name))
        return super().get_command(ctx, cmd_name)


@click.group(
    cls=_Commands,
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
