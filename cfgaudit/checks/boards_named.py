"""The boards that a section may name, in words that need not be understood."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.machine.model import Machine, Part
from cfgaudit.tree.config_tree import Section
from cfgaudit.tree.names import fold_name

LABEL = re.compile(r"[^\s.:/\"'\[\]]+")
LONGEST = 60
"""Characters; a longer text names no board."""


def boards_named(machine: Machine, section: Section) -> frozenset[str]:
    """What the section's values name that is a board, or may be one, by its folded name.

    Whatever nobody understands and has no pins may be a board.
    """
    meant = {name: part.section.key for part in machine.kind("board", "other") for name in _names(part)}
    values = (fold_name(setting.value) for setting in section.settings if len(setting.value) < LONGEST)
    return frozenset(meant[value] for value in values if value in meant)


def _names(part: Part) -> Iterator[str]:
    """The part's name, its section's, and the last word of that: none for a part with pins."""
    labels = LABEL.findall(part.section.name)
    if labels and not any(True for _ in part.all("pin.")):
        yield from (part.section.key, fold_name(labels[-1]))
        if part.name:
            yield fold_name(part.name)
