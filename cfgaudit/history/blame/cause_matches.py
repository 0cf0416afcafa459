"""Whether a change is of the kind that a cause speaks of, and how big it is."""

from __future__ import annotations

from collections.abc import Iterator
from fnmatch import fnmatchcase
from typing import NamedTuple

from cfgaudit.checks.finding import Finding
from cfgaudit.checks.rule import format_amount
from cfgaudit.facts.fact import Amount
from cfgaudit.history.blame.symptoms import UNKNOWN, Cause
from cfgaudit.history.change import Change, ChangeKind, Consequence, Side
from cfgaudit.history.comparing.difference import (
    Difference,
    difference_of_amounts,
    difference_of_values,
    said,
    says_number,
)
from cfgaudit.vocabulary.catalogue import ROLES

SAME_BUT_ELSEWHERE = frozenset({ChangeKind.RENAMED, ChangeKind.MOVED})
"""What these change has the same value and role: they matter by their facts and findings alone."""
RELATED = 0.6
"""What a new finding counts that stands elsewhere, and only has to do with the change."""
NOTHING = "nothing"
STANDS_FOR = {"added": "new", "removed": "gone"}


class Match(NamedTuple):
    """A cause that fits a change, with what its reason may say. ``strength`` is from 0.3 to 1."""

    cause: Cause
    strength: float
    axis: str | None
    before: str = ""
    after: str = ""
    relative: str = "different"
    fact: str = ""
    finding: str = ""


def matches(change: Change, cause: Cause) -> Iterator[Match]:
    """How a cause fits a change: not at all, once, or once for every fact or finding."""
    if cause.parts and change.part not in cause.parts:
        return
    if cause.rules:
        yield from _by_finding(change, cause)
    elif cause.facts:
        yield from _by_fact(change, cause)
    elif change.kind not in SAME_BUT_ELSEWHERE and _admits_axis(cause, change.axis):
        found = _by_setting(change, cause) if cause.roles else _by_section(change, cause)
        yield from () if found is None else (found,)


def _by_finding(change: Change, cause: Cause) -> Iterator[Match]:
    if _admits_axis(cause, change.axis) and (not cause.roles or _has_role(change, cause)):
        for one in change.findings:
            if one.rule in cause.rules:
                strength = 1.0 if _stands_at(one, change) else RELATED
                values = _text(change.before), _text(change.after)
                yield Match(cause, strength, change.axis, *values, finding=one.message)


def _stands_at(finding: Finding, change: Change) -> bool:
    """Whether a finding stands at the change itself, not only at something that has to do with it."""
    settings = change.after.settings if change.after is not None else ()
    places = [one.where for one in settings]
    return any(place.file == finding.where.file and place.line == finding.where.line for place in places)


def _by_fact(change: Change, cause: Cause) -> Iterator[Match]:
    for one in change.consequences:
        axis = axis_of_fact(one.fact)
        if _admits_axis(cause, axis) and any(fnmatchcase(one.fact, glob) for glob in cause.facts):
            difference = _moved(one)
            kind = "added" if one.before is None else "removed" if one.after is None else "changed"
            if _admits_direction(cause, kind, difference):
                yield Match(
                    cause,
                    _strength(difference, cause),
                    axis,
                    _amount(one.before, one.unit),
                    _amount(one.after, one.unit),
                    _relative(kind, difference, None),
                    one.fact,
                )


def _by_setting(change: Change, cause: Cause) -> Match | None:
    if not change.setting or not _has_role(change, cause):
        return None
    kind, difference = _kind(change), None
    if change.before is not None and change.after is not None:
        difference = difference_of_values(change.role, change.before.value, change.after.value)
    if not _admits_direction(cause, kind, difference):
        return None
    unit = ROLES[change.role].base_unit if change.role and cause.difference is not None else None
    return Match(
        cause,
        _strength(difference, cause),
        change.axis,
        _text(change.before),
        _text(change.after),
        _relative(kind, difference, unit),
    )


def _by_section(change: Change, cause: Cause) -> Match | None:
    kind = _kind(change)
    if change.setting or not cause.direction & {kind, "any"}:
        return None
    return Match(cause, 1.0, change.axis, relative=STANDS_FOR.get(kind, "different"))


def axis_of_fact(name: str) -> str | None:
    """The axis that a fact's name gives: ``axis.x.travel``."""
    kind, _, rest = name.partition(".")
    return rest.partition(".")[0] if kind == "axis" else None


def _has_role(change: Change, cause: Cause) -> bool:
    return bool(change.setting) and (change.role or UNKNOWN) in cause.roles


def _admits_axis(cause: Cause, axis: str | None) -> bool:
    return axis not in cause.besides and (not cause.axes or axis in cause.axes)


def _kind(change: Change) -> str:
    """``added``, ``removed``, ``changed``, or ``unclear`` where a number became none."""
    if change.before is None or change.after is None:
        return "added" if change.before is None else "removed"
    clear = [says_number(change.role, side.value) for side in (change.before, change.after)]
    return "unclear" if change.setting and clear == [True, False] else "changed"


def _admits_direction(cause: Cause, kind: str, difference: Difference | None) -> bool:
    directions = {kind, "any"}
    if kind in ("changed", "unclear"):
        directions |= {"changed", difference.direction if difference is not None else ""}
    return bool(cause.direction & directions)


def _strength(difference: Difference | None, cause: Cause) -> float:
    """What comes, goes, or is no number has no size: it counts in full."""
    return 1.0 if difference is None else difference.strength(cause.times, cause.difference)


def _relative(kind: str, difference: Difference | None, unit: str | None) -> str:
    return STANDS_FOR.get(kind, "different") if difference is None else said(difference, unit)


def _moved(one: Consequence) -> Difference | None:
    if one.before is None or one.after is None:
        return None
    return difference_of_amounts(one.before, one.after)


def _text(side: Side | None) -> str:
    return NOTHING if side is None else side.value or NOTHING


def _amount(amount: Amount | None, unit: str) -> str:
    """A fact's amount for people; of several numbers the smallest and the largest."""
    if amount is None:
        return NOTHING
    if unit in ("", "1") and isinstance(amount, float):
        return f"{amount * 100:.3g} %" if amount < 10 else format_amount(amount)
    unit = f"per {unit[2:]}" if unit.startswith("1/") else unit
    if not isinstance(amount, tuple):
        return format_amount(amount, unit)
    flat = [one for one in amount if isinstance(one, (int, float))]
    return f"{format_amount(flat[0])} to {format_amount(flat[-1], unit)}" if flat else f"{len(amount)} points"
