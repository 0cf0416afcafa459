"""pid-copied and pid-incomplete: the gains of a heater's control loop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.heated_place import heated_place
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Meaning, Part

GAINS = ("pid.p", "pid.i", "pid.d")
GAIN_WORDS = {"pid.p": "P", "pid.i": "I", "pid.d": "D"}


@check("pid-copied")
def pid_copied(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Two heaters with the same three gains: tuning two heaters never ends in the same digits."""
    tuned = [(heater, gains) for heater in subject.machine.kind("heater") if (gains := _gains(heater))]
    copied: set[int] = set()
    for (one, first), (other, second) in combinations(tuned, 2):
        same = [gain.amount for gain in first] == [gain.amount for gain in second]
        if not same or one.section is other.section or id(other) in copied:
            continue
        copied.add(id(other))
        place, related = at_later(subject.tree, first[0].place, second[0].place)
        later, earlier = (other, one) if place == second[0].place else (one, other)
        yield Problem(
            place,
            f"{later.title} has the same P, I and D as {earlier.title}: {_joined(second)}",
            subject=f"{one.title} {other.title}",
            related=related,
            severity=Severity.NOTE if _alike(subject, one, other) else None,
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


def _joined(gains: list[Meaning]) -> str:
    return ", ".join(gain.text.strip() for gain in gains)


@check("pid-incomplete")
def pid_incomplete(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A heater under PID control that has some of the three gains and not the others."""
    for heater in subject.machine.kind("heater"):
        kind = heater.get("control.kind")
        if kind is None or "pid" not in kind.text.casefold() or heater.unknown:
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


def _words(roles: Iterable[str], joiner: str = " and ") -> str:
    return joiner.join(GAIN_WORDS[role] for role in roles)
