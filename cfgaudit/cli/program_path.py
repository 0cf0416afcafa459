"""How another program starts this one again."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from cfgaudit.cli.main import PROGRAM


def program() -> tuple[str, ...]:
    """The words that start this program from any folder: its installed script, else its interpreter.

    ``-P``: of a folder that happens to be the current one, nothing is imported.
    """
    script = os.path.abspath(sys.argv[0])
    if Path(script).name == PROGRAM and os.path.isfile(script) and os.access(script, os.X_OK):
        return (script,)
    return (sys.executable, "-P", "-m", PROGRAM)
