"""Symptoms: what a builder sees after a bad print, and the kinds of change that may cause it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from cfgaudit.data import data_folder
from cfgaudit.own_toml import read_own_toml

FOLDER = "symptoms"
UNKNOWN = "unknown"
"""Among a cause's roles: a setting whose role the words do not decide."""
DIRECTIONS = frozenset({"raised", "lowered", "changed", "unclear", "added", "removed", "any"})
TIMES = 10.0
"""A number that became so many times larger or smaller counts in full, unless a cause says otherwise."""


class Cause(NamedTuple):
    """One kind of change that may cause a symptom. An empty filter lets everything pass.

    With ``facts`` or ``rules`` it matches changes by what they come to, with ``roles`` single settings, else
    whole sections.
    """

    weight: float
    """0 to 1: how likely such a change is to blame if it is big and nothing else is known."""
    reason: str
    """One line, with placeholders."""
    source: str
    roles: frozenset[str] = frozenset()
    parts: frozenset[str] = frozenset()
    axes: frozenset[str] = frozenset()
    besides: frozenset[str] = frozenset()
    """Axes that are no matter here."""
    direction: frozenset[str] = frozenset({"any"})
    facts: tuple[str, ...] = ()
    """Globs over names of facts."""
    rules: frozenset[str] = frozenset()
    times: float = TIMES
    difference: float | None = None
    """In the role's base unit: a difference of so much counts in full, instead of a ratio."""


class Symptom(NamedTuple):
    """``name`` is what the command line calls it, ``about`` what the builder sees."""

    name: str
    title: str
    about: str
    causes: tuple[Cause, ...]
    besides: frozenset[str] = frozenset()
    """Axes on which it does not show."""

    def causes_on(self, axis: str | None) -> tuple[Cause, ...]:
        """The causes; without what belongs to axes on which it does not show, unless it is said to."""
        aside = self.besides - {axis}
        return (
            tuple(one._replace(besides=one.besides | aside) for one in self.causes) if aside else self.causes
        )


def symptom_names() -> tuple[str, ...]:
    """Every symptom that there is a table of, sorted."""
    return tuple(sorted(path.stem for path in _folder().glob("*.toml")))


@cache
def load_symptom(name: str) -> Symptom:
    """The symptom of that name. Raises KeyError if there is none."""
    if name not in symptom_names():
        raise KeyError(name)
    table = read_own_toml(_folder() / f"{name}.toml")
    causes = tuple(read_cause(one, table["source"]) for one in table["cause"])
    return Symptom(name, table["title"], table["about"], causes, frozenset(table.get("besides", ())))


def read_cause(table: Mapping[str, Any], source: str) -> Cause:
    """One ``[[cause]]`` table; ``source`` is the file's. Raises KeyError or TypeError if it is no cause."""
    several = {"roles", "parts", "axes", "besides", "rules"}
    kept: dict[str, Any] = {
        key: frozenset(value) if key in several else value for key, value in table.items()
    }
    direction = kept.get("direction", "any")
    kept["direction"] = frozenset([direction] if isinstance(direction, str) else direction)
    kept["facts"] = tuple(kept.get("facts", ()))
    return Cause(**{"source": source, **kept})


def _folder() -> Path:
    return data_folder("rules") / FOLDER
