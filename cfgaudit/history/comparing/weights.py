"""What changes weigh, as ``rules/changes.toml`` says: by role, part and direction."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, NamedTuple

from cfgaudit.checks.finding import Severity
from cfgaudit.data import data_folder
from cfgaudit.own_toml import read_own_toml

FILE = "changes.toml"
DIRECTIONS = ("raised", "lowered", "inverted", "marked", "changed", "added", "removed")


class Much(NamedTuple):
    """From where on a number is raised or lowered much: ``by`` in the base unit, or so many ``times``."""

    severity: Severity
    why: str
    source: str
    by: float | None = None
    times: float | None = None

    def reached(self, before: float, after: float) -> bool:
        if self.by is not None and abs(after - before) < self.by * (1 - 1e-9):
            return False
        return self.times is None or _times(before, after) >= self.times * (1 - 1e-9)


class Weight(NamedTuple):
    """What one direction of a change comes to. ``why`` may hold ``{part}`` and ``{heater}``."""

    severity: Severity
    why: str = ""
    much: tuple[Much, ...] = ()
    """The gravest first."""

    def reached(self, before: float | None, after: float | None) -> tuple[Severity, str]:
        """Severity and words for these two numbers."""
        if before is not None and after is not None:
            for one in self.much:
                if one.reached(before, after):
                    return one.severity, one.why
        return self.severity, self.why


class Weights(NamedTuple):
    """The whole table."""

    concerns: Mapping[str, str]
    """By role."""
    part_concerns: Mapping[tuple[str, str], str]
    """By role and kind of part, where that is another one."""
    settings: Mapping[tuple[str, str, str], Weight]
    """By role, kind of part (empty for any) and direction."""
    section_concerns: Mapping[str, str]
    sections: Mapping[tuple[str, str], Weight]
    """By kind of part and direction."""
    whole: Mapping[str, tuple[str, ...]]
    """By kind of part: the roles with which a section is all of the part."""
    off: frozenset[str]
    """Roles that nothing as a value switches off."""
    inverting_marks: frozenset[str]
    inverting_words: frozenset[str]
    words: Mapping[str, str]
    lacking: Mapping[str, frozenset[str]]
    """By rule: the kinds of parts, and the roles, of which its finding misses one."""

    def concern(self, role: str, kinds: Iterable[str]) -> str | None:
        """The concern of a role for the first of the kinds that has one of its own, else for any part."""
        own = (self.part_concerns.get((role, kind)) for kind in kinds)
        return next((one for one in own if one is not None), self.concerns.get(role))

    def of(self, role: str, kinds: Iterable[str], direction: str) -> Weight | None:
        """The weight for the first of the kinds that has one, else the one for any part.

        A direction that has none weighs as ``changed`` does.
        """
        for wanted in (direction, "changed"):
            for kind in (*kinds, ""):
                found = self.settings.get((role, kind, wanted))
                if found is not None:
                    return found
        return None


@cache
def load_weights() -> Weights:
    """The table that comes with the program."""
    return make_weights(read_own_toml(data_folder("rules") / FILE))


def make_weights(tables: Mapping[str, Any]) -> Weights:
    """The table from its TOML."""
    concerns: dict[str, str] = {}
    part_concerns: dict[tuple[str, str], str] = {}
    settings: dict[tuple[str, str, str], Weight] = {}
    for entry in tables["setting"]:
        for role in entry["roles"]:
            if "concern" in entry and "parts" not in entry:
                concerns[role] = entry["concern"]
            for part in entry.get("parts", [""]):
                if part and "concern" in entry:
                    part_concerns[role, part] = entry["concern"]
                for direction, weight in _directions(entry).items():
                    settings[role, part, direction] = weight
    section_concerns: dict[str, str] = {}
    sections: dict[tuple[str, str], Weight] = {}
    for entry in tables["section"]:
        for kind in entry["parts"]:
            section_concerns[kind] = entry["concern"]
            for direction, weight in _directions(entry).items():
                sections[kind, direction] = weight
    signs = tables["inversion"]
    marks, words = frozenset(signs["marks"]), frozenset(signs["words"])
    whole = {
        kind: tuple(entry["whole"])
        for entry in tables["section"]
        if "whole" in entry
        for kind in entry["parts"]
    }
    off = frozenset(tables["off"]["roles"])
    lacking = {rule: frozenset(missed) for rule, missed in tables["lacking"].items()}
    return Weights(
        concerns=concerns,
        part_concerns=part_concerns,
        settings=settings,
        section_concerns=section_concerns,
        sections=sections,
        whole=whole,
        off=off,
        inverting_marks=marks,
        inverting_words=words,
        words=tables["words"],
        lacking=lacking,
    )


def _directions(entry: Mapping[str, Any]) -> dict[str, Weight]:
    return {one: _weight(entry[one]) for one in DIRECTIONS if one in entry}


def _weight(table: Mapping[str, Any]) -> Weight:
    much, why = table.get("much", []), table.get("why", "")
    bounds = [_much(one, why) for one in (much if isinstance(much, list) else [much])]
    ranked = sorted(bounds, key=lambda one: one.severity.rank)
    return Weight(Severity(table["severity"]), why, tuple(ranked))


def _much(table: Mapping[str, Any], why: str) -> Much:
    severity = Severity(table["severity"])
    return Much(severity, table.get("why", why), table["source"], table.get("by"), table.get("times"))


def _times(before: float, after: float) -> float:
    """How many times the greater is the smaller; without end where one is nothing or has another sign."""
    low, high = sorted((abs(before), abs(after)))
    return float("inf") if low == 0 or before * after < 0 else high / low
