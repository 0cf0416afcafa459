"""What to print next, so that each print halves what is left of the suspects. Entry point: `plan`."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate, islice
from typing import NamedTuple

from cfgaudit.history.blame.suspects import Suspect
from cfgaudit.history.git.line import Stop

LEAST = 0.001
"""What a suspect weighs at least, so that even the faintest is told apart from the rest."""
TRIED_AT_MOST = 3
"""What is looked at for one print, if the first choices are not fit to print."""


class Fitness(NamedTuple):
    """Whether a state may be printed with: the findings that speak against it."""

    dangers: int = 0
    errors: int = 0
    """Only those that the good print had not."""
    unreadable: str = ""
    """Why the state cannot be read at all; empty if it can."""

    @property
    def fit(self) -> bool:
        return not (self.dangers or self.errors or self.unreadable)


class Unfit(NamedTuple):
    """A state that would have been tried, and why it is not."""

    stop: Stop
    fitness: Fitness


class Verdict(NamedTuple):
    """What is left to suspect where no further print is planned; one, or what cannot be told apart here."""

    suspects: tuple[Suspect, ...]
    later: bool = False
    """Whether the plan merely stops here, and a new one can go on."""
    passed_over: tuple[Unfit, ...] = ()
    """States that would tell them apart, but are not fit to print."""


class Trial(NamedTuple):
    """One print: with the files of ``stop``, or with ``restored`` put back to what the good print had.

    A good print of a stop clears what it holds, a bad one what came after it; a good print with restored
    settings blames these, a bad one clears them.
    """

    stop: Stop | None
    restored: tuple[Suspect, ...]
    good: Outcome
    bad: Outcome
    passed_over: tuple[Unfit, ...] = ()
    fitness: Fitness = Fitness()
    """Of what would be printed with: a stop is fit, files with settings put back may not be."""

    @property
    def prints(self) -> int:
        """How many prints it takes at most from here, this one included."""
        return 1 + max(one.prints if isinstance(one, Trial) else 0 for one in (self.good, self.bad))


Outcome = Trial | Verdict


class BisectPlan(NamedTuple):
    """``first`` is where to begin. ``unplaced`` are suspects that no state between is known to bring."""

    first: Outcome
    unplaced: tuple[Suspect, ...] = ()
    restorable: bool = False
    """Whether the last state is the working tree, in which settings can be put back."""
    last: Unfit | None = None
    """That working tree, if it is not fit to print as it is."""

    @property
    def prints(self) -> int:
        """How many prints it takes at most."""
        return self.first.prints if isinstance(self.first, Trial) else 0


FitnessOf = Callable[[Stop], Fitness]
RestoredFitness = Callable[[Sequence[Suspect]], Fitness]
"""Of the last stop's files with these settings put back; unreadable where they cannot be put back."""


class _Group(NamedTuple):
    """The suspects that one stop brought; ``at`` is its index."""

    at: int
    suspects: tuple[Suspect, ...]


class _Planner(NamedTuple):
    stops: Sequence[Stop]
    fitness_of: FitnessOf
    restored_fitness: RestoredFitness | None
    """None where nothing can be put back."""
    tries: int
    """How many ways to put back a half are looked at for one that is fit."""

    def over_stops(self, groups: Sequence[_Group], depth: int) -> Outcome:
        """The plan for suspects of several stops, of which the last is known to be bad."""
        if len(groups) == 1:
            return self.within(groups[0].suspects, depth)
        if depth == 0:
            return Verdict(_suspects(groups), later=True)
        passed: list[Unfit] = []
        for cut in _cuts([_weight(group.suspects) for group in groups]):
            for index in self._between(groups[cut - 1].at, groups[cut].at):
                fitness = self.fitness_of(self.stops[index])
                if fitness.fit:
                    good = self.over_stops(groups[cut:], depth - 1)
                    bad = self.over_stops(groups[:cut], depth - 1)
                    return Trial(self.stops[index], (), good, bad, tuple(passed))
                passed.append(Unfit(self.stops[index], fitness))
        return self._blocked(groups, tuple(passed), depth)

    def within(self, suspects: Sequence[Suspect], depth: int) -> Outcome:
        """The plan for suspects of one stop: by putting halves of them back, if that can be done."""
        if len(suspects) < 2 or self.restored_fitness is None:
            return Verdict(tuple(suspects))
        if depth == 0:
            return Verdict(tuple(suspects), later=True)
        ordered = tuple(sorted(suspects, key=lambda one: -one.score))
        chosen = self._half(ordered, self.restored_fitness)
        if chosen is None:
            return Verdict(ordered)
        cut, fitness = chosen
        good, bad = self.within(ordered[:cut], depth - 1), self.within(ordered[cut:], depth - 1)
        return Trial(None, ordered[:cut], good, bad, fitness=fitness)

    def _half(self, ordered: Sequence[Suspect], fitness_of: RestoredFitness) -> tuple[int, Fitness] | None:
        """The best cut that leaves what is fit to print; if none of a few does, the best that can be made."""
        cuts = islice(_cuts([max(LEAST, one.score) for one in ordered]), TRIED_AT_MOST)
        made: list[tuple[int, Fitness]] = []
        for cut in cuts:
            fitness = fitness_of(ordered[:cut])
            if fitness.fit:
                return cut, fitness
            made += [] if fitness.unreadable else [(cut, fitness)]
            if len(made) == self.tries:
                break
        return made[0] if made else None

    def _blocked(self, groups: Sequence[_Group], passed: tuple[Unfit, ...], depth: int) -> Outcome:
        """No state between is fit to print."""
        return self.within(_suspects(groups), depth)._replace(passed_over=passed)

    def _between(self, left: int, right: int) -> range:
        """States that all hold the left group and not the right one."""
        return range(left, min(right, left + TRIED_AT_MOST))


def plan(
    suspects: Sequence[Suspect],
    stops: Sequence[Stop],
    *,
    fitness_of: FitnessOf = lambda _: Fitness(),
    restored_fitness: RestoredFitness = lambda _: Fitness(),
    depth: int = 64,
) -> BisectPlan:
    """Which of the stops to print with, by the suspects' scores.

    The state before the first stop is known to be good and the last one to be bad; one change is to blame.
    A suspect belongs to the last stop that touched it. With equal scores, and all stops fit to print, n
    suspects take at most ⌈log₂ n⌉ prints. ``depth`` is how many prints ahead are planned. A state that is
    not fit is never proposed: the nearest cut with one that is comes instead.
    """
    restorable = bool(stops) and stops[-1].revision.commit is None
    groups, unplaced = _grouped(suspects, stops)
    unfit = _unfit_last(stops, fitness_of) if restorable else None
    tries = TRIED_AT_MOST if unfit is None else 1  # what was not fit before is not mended by half of it
    planner = _Planner(stops, fitness_of, restored_fitness if restorable else None, tries)
    first = planner.over_stops(groups, depth) if groups else Verdict(())
    return BisectPlan(first, unplaced, restorable, unfit)


def _unfit_last(stops: Sequence[Stop], fitness_of: FitnessOf) -> Unfit | None:
    fitness = fitness_of(stops[-1])
    return None if fitness.fit else Unfit(stops[-1], fitness)


def _grouped(
    suspects: Sequence[Suspect], stops: Sequence[Stop]
) -> tuple[tuple[_Group, ...], tuple[Suspect, ...]]:
    index_of = {commit: index for index, stop in enumerate(stops) for commit in stop.brings}
    table: dict[int, list[Suspect]] = {}
    unplaced = []
    for one in suspects:
        held = [index_of[commit.id] for commit in one.change.commits if commit.id in index_of]
        is_last = bool(stops) and (one.change.uncommitted or len(stops) == 1)
        at = len(stops) - 1 if is_last else max(held, default=None)
        if at is None:
            unplaced.append(one)
        else:
            table.setdefault(at, []).append(one)
    return tuple(_Group(at, tuple(table[at])) for at in sorted(table)), tuple(unplaced)


def _suspects(groups: Sequence[_Group]) -> tuple[Suspect, ...]:
    return tuple(one for group in groups for one in group.suspects)


def _weight(suspects: Sequence[Suspect]) -> float:
    return sum(max(LEAST, one.score) for one in suspects)


def _cuts(weights: Sequence[float]) -> Iterator[int]:
    """Where to cut a row in two, the cut that leaves least on its heavier side first."""
    whole, left = sum(weights), list(accumulate(weights))
    middle = len(weights) / 2
    cuts = range(1, len(weights))
    return iter(
        sorted(cuts, key=lambda cut: (round(max(left[cut - 1], whole - left[cut - 1]), 9), abs(cut - middle)))
    )
