"""Changes made by hand, for tests of what is made of them."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.history.change import Change, ChangeKind, Commit, Consequence, Side, Written
from cfgaudit.syntax.document import Place

PLACE = Place("main.ini", 3, 1, 3, 9)


def side(section: str, setting: str, value: str) -> Side:
    """One setting as one side of a change."""
    return Side(section, PLACE, (Written(section, setting, value, PLACE, "hand"),))


def change(
    address: str,
    before: str | None,
    after: str | None,
    *,
    role: str | None = None,
    part: str = "",
    axis: str | None = None,
    kind: ChangeKind | None = None,
    **more: Any,
) -> Change:
    """A change of one setting, or of a section where the address names no setting."""
    section, _, setting = address.partition(":")
    if kind is None:
        kind = (
            ChangeKind.ADDED
            if before is None
            else ChangeKind.REMOVED
            if after is None
            else ChangeKind.CHANGED
        )
    return Change(
        kind,
        "motion",
        more.pop("severity", Severity.WARNING),
        section,
        setting,
        role,
        axis,
        part,
        None if before is None else side(section, setting, before),
        None if after is None else side(section, setting, after),
        **more,
    )


def accel(axis: str | None, before: str, after: str, **more: Any) -> Change:
    """A change of the top acceleration of an axis; of all where there is none."""
    section = f"axis {axis}" if axis else "motion"
    part = "axis" if axis else "motion"
    return change(f"{section}:accel", before, after, role="accel.max", part=part, axis=axis, **more)


def moves(fact: str, unit: str, before: Any, after: Any) -> Consequence:
    return Consequence(fact, unit, before, after)


def finding(rule: str, message: str = "it is so") -> Finding:
    return Finding(rule, Severity.ERROR, "motion", message, PLACE, (), "", rule)


def commit(number: int) -> Commit:
    """The commit of that number, with an id of 40 digits."""
    return Commit(f"{number:040x}", datetime(2026, 11, 1, tzinfo=UTC), "Noor", f"step {number}")
