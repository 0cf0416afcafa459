"""The values of a rule's limits, by the type that its function needs."""

from __future__ import annotations

from cfgaudit.checks.finding import Limits


def number(limits: Limits, name: str) -> float:
    """A limit that is one number; the first where the user gave several."""
    return numbers(limits, name)[0]


def numbers(limits: Limits, name: str) -> tuple[float, ...]:
    """A limit that is one or several numbers."""
    value = limits[name].value
    several = value if isinstance(value, tuple) else (value,)
    return tuple(one for one in several if not isinstance(one, str))


def words(limits: Limits, name: str) -> tuple[str, ...]:
    """A limit that is several words."""
    value = limits[name].value
    return tuple(one for one in value if isinstance(one, str)) if isinstance(value, tuple) else ()
