"""pid-copied and pid-incomplete: the gains of a heater's control loop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.heated_place import heated_place
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Meaning, Part
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Number
from cfgaudit.tree.config_tree import Setting

GAINS = ("pid.p", "pid.i", "pid.d")
GAIN_WORDS = {"pid.p": "P", "pid.i": "I", "pid.d": "D"}


@check("pid-copied")
def pid_copied(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Two heaters with the same three gains: tuning two heaters never ends in the same digits."""
    first_with: dict[tuple[float | None, ...], Part] = {}
    for heater in subject.machine.kind("heater"):
        gains = _gains(heater)
        if gains is None:
            continue
        first = first_with.setdefault(tuple(gain.amount for gain in gains), heater)
        if first.section is not heater.section:
            yield _copied(subject, first, heater)


def _copied(subject: Subject, *heaters: Part) -> Problem:
    """The problem of two heaters, at the P that is read last."""
    by_place = {gain.place: heater for heater in heaters if (gain := heater.get("pid.p")) is not None}
    place, related = at_later(subject.tree, *by_place)
    later, earlier = by_place[place], by_place[related[0]]
    gains = ", ".join(gain.text.strip() for gain in _gains(later) or ())
    return Problem(
        place,
        f"{later.title} has the same P, I and D as {earlier.title}: {gains}",
        subject=" ".join(heater.title for heater in heaters),
        related=related,
        severity=Severity.NOTE if _alike(subject, *heaters) else None,
    )


def _gains(heater: Part) -> list[Meaning] | None:
    """P, I and D where all three are numbers and at least two of them are not zero."""
    gains = [gain for role in GAINS if (gain := heater.get(role)) is not None]
    amounts = [gain.amount for gain in gains]
    if len(gains) < len(GAINS) or None in amounts or sum(1 for amount in amounts if amount) < 2:
        return None
    return gains


def _alike(subject: Subject, one: Part, other: Part) -> bool:
    """Two hot ends of one build may well share their gains."""
    place = heated_place(subject, one)
    return place is not None and place == heated_place(subject, other)


@check("pid-incomplete")
def pid_incomplete(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A heater under PID control that has some of the three gains and not the others."""
    for heater in subject.machine.kind("heater"):
        kind = heater.get("control.kind")
        if kind is None or "pid" not in kind.text.casefold() or any(map(_may_be_gain, heater.unknown)):
            continue
        written = {role: gain for role in GAINS if (gain := heater.get(role)) is not None}
        if not written or len(written) == len(GAINS) or any(gain.amount is None for gain in written.values()):
            continue
        place, related = at_later(subject.tree, *(gain.place for gain in written.values()))
        yield Problem(
            place,
            f"{heater.title} is controlled by {kind.text.strip()} and has {_words(written)}, but no "
            f"{_words((role for role in GAINS if role not in written), ' and no ')}",
            subject=heater.title,
            related=(*related, kind.place),
        )


def _may_be_gain(setting: Setting) -> bool:
    """Whether a setting that nobody understands holds a bare number, as a gain is."""
    value = read_value(setting.value)
    return isinstance(value, Number) and not value.unit


def _words(roles: Iterable[str], joiner: str = " and ") -> str:
    return joiner.join(GAIN_WORDS[role] for role in roles)
