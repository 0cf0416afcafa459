"""Every check: importing the modules ``<concern>_<topic>`` of this package registers their functions.

Those that hold a configuration against what was measured are named ``evidence_<topic>``, whatever their
concern.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from pkgutil import iter_modules

import cfgaudit.checks
from cfgaudit.checks.finding import Check
from cfgaudit.checks.registry import CHECKS

CONCERNS = ("structure", "reference", "wiring", "heat", "motion", "probing", "link", "macro", "history")
EVIDENCE = "evidence"


@cache
def load_checks() -> Mapping[str, Check]:
    """The function of every function-form rule, by the rule's name."""
    for module in iter_modules(cfgaudit.checks.__path__):
        if module.name.partition("_")[0] in (*CONCERNS, EVIDENCE) and "_" in module.name:
            import_module(f"cfgaudit.checks.{module.name}")
    return CHECKS
