"""Threads: what something was called and what it was, from state to state, over branches and renames.

The engine knows nothing of settings or facts: it gets what was held in each state, by name, and follows it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Generic, NamedTuple, TypeVar

Held = TypeVar("Held")
"""What is followed: something with a value."""
Name = TypeVar("Name", bound=Hashable)


class Event(NamedTuple, Generic[Name, Held]):
    """Something became another value, got another name, came or went: in a state that differs so from all
    of its parents."""

    state: str
    name: Name
    """Its name from then on; the last one where it went."""
    held: Held | None
    """None where it went."""
    before: Held | None = None
    """What it was in the parent; None where it came."""


@dataclass(slots=True)
class Thread(Generic[Name, Held]):
    """Everything that happened to one thing, parents before children."""

    events: list[Event[Name, Held]] = field(default_factory=list)


class Point(NamedTuple):
    """Where a name stands in a state: the thread that it belongs to, and the event that is in force."""

    thread: int
    event: int


class Followed(NamedTuple, Generic[Name, Held]):
    """All threads, and for each state its names with where they stand."""

    threads: Sequence[Thread[Name, Held]]
    points: Mapping[str, Mapping[Name, Point]]


Holdings = Mapping[str, Mapping[Name, Held]]
"""By state and name. States that hold the same have the same object."""
Renames = Mapping[tuple[str, str], Mapping[Name, Name]]
"""For a parent and a state: names in the state, and what these were called in the parent."""


def follow(
    line: Sequence[tuple[str, tuple[str, ...]]],
    holdings: Holdings[Name, Held],
    same: Callable[[Held, Held], bool],
    renames: Renames[Name],
) -> Followed[Name, Held]:
    """The threads through a history: ``line`` holds each state with its parents, parents before children."""
    run = _Run(holdings, same, renames)
    for state, parents in line:
        run.advance(state, parents)
    return Followed(run.threads, run.points)


class _Run(Generic[Name, Held]):
    def __init__(
        self, holdings: Holdings[Name, Held], same: Callable[[Held, Held], bool], renames: Renames[Name]
    ) -> None:
        self._holdings = holdings
        self._same = same
        self._renames = renames
        self.threads: list[Thread[Name, Held]] = []
        self.points: dict[str, Mapping[Name, Point]] = {}
        self._by_name: dict[Name, int] = {}

    def advance(self, state: str, parents: tuple[str, ...]) -> None:
        """Take one more state, whose parents were taken before."""
        known = [one for one in parents if one in self.points]
        holding = self._holdings[state]
        for parent in known:
            if self._holdings[parent] is holding:
                self.points[state] = self.points[parent]
                return
        points: dict[Name, Point] = {}
        for name, held in holding.items():
            points[name] = self._continued(state, known, name, held) or self._begun(state, name, held)
        self.points[state] = points
        self._end(state, known, points)

    def _continued(self, state: str, parents: Sequence[str], name: Name, held: Held) -> Point | None:
        """Where a name stands that a parent had, perhaps as another; None if none had."""
        former = [(parent, self._former(parent, state, name)) for parent in parents]
        found = [
            (self.points[parent][one], parent, one)
            for parent, one in former
            if one is not None and one in self.points[parent]
        ]
        for point, parent, one in found:
            if one == name and self._same(self._holdings[parent][one], held):
                return point
        if not found:
            return None
        point, parent, one = found[0]
        self._by_name[name] = point.thread
        return self._add(point.thread, Event(state, name, held, self._holdings[parent][one]))

    def _former(self, parent: str, state: str, name: Name) -> Name | None:
        """What a name of a state was called in a parent."""
        if name in self._holdings[parent]:
            return name
        former = self._renames.get((parent, state), {}).get(name)
        return None if former is None or former in self._holdings[state] else former

    def _begun(self, state: str, name: Name, held: Held) -> Point:
        """A name that no parent had: a new thread, or one that ended before under this name."""
        thread = self._by_name.get(name)
        if thread is None or self.threads[thread].events[-1].name != name:
            self.threads.append(Thread())
            thread = self._by_name[name] = len(self.threads) - 1
        return self._add(thread, Event(state, name, held))

    def _end(self, state: str, parents: Sequence[str], points: Mapping[Name, Point]) -> None:
        """What every parent had, and what is neither here nor anywhere else by another name, went."""
        if not parents:
            return
        alive = {point.thread for point in points.values()}
        first, *others = parents
        for name, point in self.points[first].items():
            if point.thread not in alive and all(name in self.points[one] for one in others):
                self._add(point.thread, Event(state, name, None, self._holdings[first][name]))

    def _add(self, thread: int, event: Event[Name, Held]) -> Point:
        self.threads[thread].events.append(event)
        return Point(thread, len(self.threads[thread].events) - 1)
