"""Every check: importing the modules of this package's packages, one a concern, registers their functions.

Those that hold a configuration against what was measured are in ``evidence``, whatever their concern.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from cfgaudit.checks.finding import Check
from cfgaudit.checks.registry import CHECKS

CONCERNS = ("structure", "reference", "wiring", "heat", "motion", "probing", "link", "macro", "history")
PACKAGES = (*(concern for concern in CONCERNS if concern != "history"), "evidence")


@cache
def load_checks() -> Mapping[str, Check]:
    """The function of every function-form rule, by the rule's name."""
    for concern in PACKAGES:
        package = import_module(f"cfgaudit.checks.{concern}")
        for module in iter_modules(package.__path__):
            import_module(f"{package.__name__}.{module.name}")
    return CHECKS
