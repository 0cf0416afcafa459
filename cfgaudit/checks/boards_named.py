"""The boards that a section may name, in words that need not be understood."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cached_property

from cfgaudit.machine.model import Machine, Part
from cfgaudit.tree.config_tree import Section
from cfgaudit.tree.names import fold_name

LABEL = re.compile(r"[^\s.:/\"'\[\]]+")
LONGEST = 60
"""Characters; a longer text names no board."""


class BoardNames:
    """The names that boards have, or may have, collected when they are first asked for."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine

    def named_in(self, section: Section) -> frozenset[str]:
        """What the section's values name that is a board, or may be one, by its folded name.

        Whatever nobody understands and has no pins may be a board.
        """
        values = (fold_name(setting.value) for setting in section.settings if len(setting.value) < LONGEST)
        return frozenset(self._meant[value] for value in values if value in self._meant)

    @cached_property
    def _meant(self) -> Mapping[str, str]:
        parts = self._machine.kind("board", "other")
        return {name: part.section.key for part in parts for name in _names(part)}


def _names(part: Part) -> Iterator[str]:
    """The part's name, its section's, and the last word of that: none for a part with pins."""
    labels = LABEL.findall(part.section.name)
    if labels and not any(True for _ in part.all("pin.")):
        yield from (part.section.key, fold_name(labels[-1]))
        if part.name:
            yield fold_name(part.name)
