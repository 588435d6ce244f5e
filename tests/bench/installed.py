"""The environment of an installed command.

An installer compiles what it installs. A command that must not write compiled files, from
sources edited since, compiles them at each start: half a second that no user waits.
"""

import os

__all__ = ["AS_INSTALLED"]

AS_INSTALLED = {
    name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"
}
