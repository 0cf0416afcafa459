"""Following things through all states of a configuration: what settings and facts have in common."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from typing import Generic, NamedTuple, TypeVar

from cfgaudit.history.change import Commit, Mark
from cfgaudit.history.over_time.past import NOW, Past, State
from cfgaudit.history.over_time.threads import Followed, Thread, follow
from cfgaudit.history.over_time.touches import Difference

Held = TypeVar("Held")
Name = TypeVar("Name", bound=Hashable)


class Moment(NamedTuple, Generic[Held]):
    """A value, from the commit on that brought it; of the files on disk there is no commit."""

    commit: Commit | None
    held: Held | None
    """What it was from then on; None where it went."""
    before: Held | None
    """What it was until then; None where it came."""
    marks: tuple[Mark, ...] = ()
    """The marks at which it held, newest first."""


class Timeline(NamedTuple, Generic[Held]):
    """Everything that happened to one thing, newest first."""

    moments: tuple[Moment[Held], ...]
    now: Held | None
    """What it is on disk; None where it is no more."""


class Tracker(ABC, Generic[Name, Held]):
    """Looks for what a pattern fits, and for what that was called before and after.

    Only states that differ from their parents in what may matter are looked at.
    """

    def __init__(self, past: Past) -> None:
        self.past = past
        self.others: set[Name] = set()
        """Names that the pattern does not fit, and that are followed."""
        self._renames: dict[tuple[str, str], Mapping[Name, Name]] = {}

    @abstractmethod
    def fits(self, name: Name) -> bool:
        """Whether it is asked for by this name."""

    @abstractmethod
    def concerns(self, difference: Difference) -> bool:
        """Whether anything that is followed may differ where this does."""

    @abstractmethod
    def look(self, state: str) -> Mapping[Name, Held]:
        """All that is followed in one state, with its value."""

    @abstractmethod
    def same(self, one: Held, other: Held) -> bool:
        """Whether two values are one."""

    @abstractmethod
    def former_names(self, parent: str, state: str) -> Mapping[Name, Name]:
        """For names of a state what they were in its parent, where that was another name."""

    def horizon(self) -> int:
        """Grows as long as what was looked at teaches where else to look."""
        return len(self.others)

    def timelines(self, since: str | None = None) -> tuple[Timeline[Held], ...]:
        """What the pattern fits, or once did: first what there is, in its order, then what ended last.

        With ``since``, the full id of a commit, only what happened after it, and what was in force then.
        """
        holdings = self._hold_all()
        line = [(state.id, state.parents) for state in self.past.line]
        found = follow(line, holdings, self.same, self._renames)
        wanted = [
            number
            for number, one in enumerate(found.threads)
            if any(self.fits(event.name) for event in one.events)
        ]
        timelines = _timelines(self.past, found, wanted, holdings)
        if since is None:
            return tuple(timelines.values())
        points = found.points.get(since, {}).values()
        in_force = {point.thread: point.event for point in points}
        older = self.past.ancestors(since)
        cut = (_after(one, older, in_force.get(number)) for number, one in timelines.items())
        return tuple(one for one in cut if one is not None)

    def _hold_all(self) -> Mapping[str, Mapping[Name, Held]]:
        while True:
            horizon = self.horizon()
            holdings = hold(self.past.line, self.concerns, self.look)
            self.others |= {one for one in self._other_names(holdings) if not self.fits(one)}
            if self.horizon() == horizon:
                return holdings

    def _other_names(self, holdings: Mapping[str, Mapping[Name, Held]]) -> Iterator[Name]:
        """What is followed is called otherwise where it comes or goes."""
        for state in self.past.line:
            for parent, difference in zip(state.parents, state.against, strict=False):
                came, went = _came_and_went(holdings, parent, state.id)
                if (came or went) and _may_rename(difference):
                    former = self._former(parent, state.id)
                    yield from (former[name] for name in came if name in former)
                    yield from (new for new, old in former.items() if old in went)

    def _former(self, parent: str, state: str) -> Mapping[Name, Name]:
        pair = (parent, state)
        if pair not in self._renames:
            self._renames[pair] = self.former_names(parent, state)
        return self._renames[pair]


def hold(
    line: Iterable[State],
    concerns: Callable[[Difference], bool],
    look: Callable[[str], Mapping[Name, Held]],
) -> dict[str, Mapping[Name, Held]]:
    """What is held in each state: what a parent held, unless it differs from that in what ``concerns``."""
    found: dict[str, Mapping[Name, Held]] = {}
    for state in line:
        pairs = zip(state.parents, state.against, strict=False)
        alike = (found[one] for one, difference in pairs if one in found and not concerns(difference))
        held = next(alike, None)
        found[state.id] = look(state.id) if held is None else held
    return found


def _came_and_went(
    holdings: Mapping[str, Mapping[Name, Held]], parent: str, state: str
) -> tuple[set[Name], set[Name]]:
    old, new = holdings.get(parent), holdings[state]
    if old is None or old is new:
        return set(), set()
    return set(new) - set(old), set(old) - set(new)


def _may_rename(difference: Difference) -> bool:
    """Whether a difference has settings that went as well as such that came."""
    values = difference.values.values()
    return any(one.old and not one.new for one in values) and any(one.new and not one.old for one in values)


def _timelines(
    past: Past,
    found: Followed[Name, Held],
    wanted: Sequence[int],
    holdings: Mapping[str, Mapping[Name, Held]],
) -> Mapping[int, Timeline[Held]]:
    """The timelines of the wanted threads, by their numbers."""
    order = {state.id: rank for rank, state in enumerate(past.line)}
    now = {point.thread: name for name, point in found.points[NOW].items()}
    ranks = {thread: rank for rank, thread in enumerate(now)}
    last = {number: order[found.threads[number].events[-1].state] for number in wanted}
    marks = _marks(past, found)
    commits = {state.id: state.commit for state in past.line}
    return {
        number: Timeline(
            tuple(_moments(number, found.threads[number], commits, marks)),
            holdings[NOW][now[number]] if number in now else None,
        )
        for number in sorted(wanted, key=lambda one: (ranks.get(one, len(ranks)), -last[one]))
    }


def _after(timeline: Timeline[Held], older: frozenset[str], in_force: int | None) -> Timeline[Held] | None:
    """What happened in none of the ``older`` commits, and what was in force before; None if nothing did."""
    last = len(timeline.moments) - 1
    kept = tuple(
        one
        for at, one in enumerate(timeline.moments)
        if one.commit is None or one.commit.id not in older or last - at == in_force
    )
    happened = len(kept) - (in_force is not None)
    return timeline._replace(moments=kept) if happened else None


def _moments(
    number: int,
    thread: Thread[Name, Held],
    commits: Mapping[str, Commit | None],
    marks: Mapping[tuple[int, int], tuple[Mark, ...]],
) -> Iterator[Moment[Held]]:
    for at, event in reversed(list(enumerate(thread.events))):
        yield Moment(commits[event.state], event.held, event.before, marks.get((number, at), ()))


def _marks(past: Past, found: Followed[Name, Held]) -> Mapping[tuple[int, int], tuple[Mark, ...]]:
    """The marks at which each event of each thread was in force."""
    held: dict[tuple[int, int], tuple[Mark, ...]] = {}
    for mark in past.states.marks():
        for point in found.points.get(mark.commit, {}).values():
            held[point] = (*held.get(point, ()), mark)
    return held
