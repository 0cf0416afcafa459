"""Every value that settings had: when, by which commit, at which marks. Entry point: `setting_timelines`."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from fnmatch import fnmatchcase
from typing import Generic, NamedTuple, TypeVar

from cfgaudit.history.change import Commit, Mark, Written
from cfgaudit.history.former_names import former_names
from cfgaudit.history.passages import INHERITED, Key
from cfgaudit.history.past import NOW, Past, State
from cfgaudit.history.threads import Followed, Thread, follow
from cfgaudit.history.touches import Difference
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.names import fold_name

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


class SettingPattern(NamedTuple):
    """Names of settings, folded; globs are allowed."""

    section: str
    setting: str

    def fits(self, key: Key) -> bool:
        return fnmatchcase(key[0], self.section) and fnmatchcase(key[1], self.setting)

    def may_fit(self, key: Key) -> bool:
        """As `fits`, for a file that does not say the section."""
        return self.fits(key) or (key[0] == INHERITED and fnmatchcase(key[1], self.setting))


def read_pattern(address: str) -> SettingPattern:
    """``SECTION:SETTING`` as a pattern; brackets around the section are left out."""
    section, _, setting = address.rpartition(":")
    section = section.strip()
    if section.startswith("[") and section.endswith("]"):
        section = section[1:-1]
    return SettingPattern(fold_name(section), fold_name(setting))


def setting_timelines(past: Past, pattern: SettingPattern) -> tuple[Timeline[Written], ...]:
    """A timeline for each setting that the pattern fits now, or once did; those that there still are first.

    Renames and moves to other sections and files are followed, so a line may begin under a name that the
    pattern does not fit.
    """
    search = _Search(past, pattern)
    found = search.run()
    wanted = [one for one in found.threads if any(pattern.fits(event.name) for event in one.events)]
    return timelines(past, found, wanted, search.holdings)


class _Search:
    """Looks for the settings that a pattern fits, and for those that they were called before and after."""

    def __init__(self, past: Past, pattern: SettingPattern) -> None:
        self._past = past
        self._pattern = pattern
        self._others: set[Key] = set()
        """Names that the pattern does not fit, and that are followed."""
        self._renames: dict[tuple[str, str], Mapping[Key, Key]] = {}
        self._headers_matter = any(
            section == INHERITED for state in past.line for one in state.against for section, _ in one.values
        )
        self.holdings: dict[str, Mapping[Key, Written]] = {}

    def run(self) -> Followed[Key, Written]:
        while True:
            self.holdings = hold(self._past.line, self._concerns, self._held)
            others = set(self._other_names())
            if others <= self._others:
                break
            self._others |= others
        line = [(state.id, state.parents) for state in self._past.line]
        return follow(line, self.holdings, _same, self._renames)

    def _concerns(self, difference: Difference) -> bool:
        return difference.structure or any(self._may_matter(key) for key in difference.values)

    def _may_matter(self, key: Key) -> bool:
        if not key[1]:
            return self._headers_matter
        return self._pattern.may_fit(key) or key in self._others or self._is_other_inherited(key)

    def _is_other_inherited(self, key: Key) -> bool:
        return key[0] == INHERITED and any(key[1] == setting for _, setting in self._others)

    def _held(self, state: str) -> Mapping[Key, Written]:
        tree = self._past.tree(state)
        return {} if tree is None else dict(self._settings(tree))

    def _settings(self, tree: ConfigTree) -> Iterator[tuple[Key, Written]]:
        for section in tree.sections:
            for one in section.settings:
                key = (section.key, one.key)
                if self._pattern.fits(key) or key in self._others:
                    author = one.effective.author
                    yield key, Written(section.name, one.name, one.value, one.place, author)

    def _other_names(self) -> Iterator[Key]:
        """What followed settings are called where they come or go."""
        for state in self._past.line:
            for parent, difference in zip(state.parents, state.against, strict=False):
                came, went = _came_and_went(self.holdings, parent, state.id)
                if (came or went) and _may_rename(difference):
                    former = self._former(parent, state.id)
                    yield from (former[key] for key in came if key in former)
                    yield from (new for new, old in former.items() if old in went)

    def _former(self, parent: str, state: str) -> Mapping[Key, Key]:
        pair = (parent, state)
        if pair not in self._renames:
            before, after = self._past.subject(parent), self._past.subject(state)
            self._renames[pair] = {} if before is None or after is None else former_names(before, after)
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
    holdings: Mapping[str, Mapping[Key, Written]], parent: str, state: str
) -> tuple[set[Key], set[Key]]:
    old, new = holdings.get(parent), holdings[state]
    if old is None or old is new:
        return set(), set()
    return set(new) - set(old), set(old) - set(new)


def _may_rename(difference: Difference) -> bool:
    """Whether a difference has settings that went as well as such that came."""
    values = difference.values.values()
    return any(one.old and not one.new for one in values) and any(one.new and not one.old for one in values)


def _same(one: Written, other: Written) -> bool:
    return one.value == other.value


def timelines(
    past: Past,
    found: Followed[Name, Held],
    wanted: Sequence[Thread[Name, Held]],
    holdings: Mapping[str, Mapping[Name, Held]],
) -> tuple[Timeline[Held], ...]:
    """The wanted threads as timelines: in the order of what there is now, then what ended, the newest first."""
    order = {state.id: rank for rank, state in enumerate(past.line)}
    now = {point.thread: name for name, point in found.points[NOW].items()}
    ranks = {thread: rank for rank, thread in enumerate(now)}
    index = {id(one): number for number, one in enumerate(found.threads)}

    def rank(thread: Thread[Name, Held]) -> tuple[int, int]:
        return ranks.get(index[id(thread)], len(ranks)), -order[thread.events[-1].state]

    marks = _marks(past, found)
    commits = {state.id: state.commit for state in past.line}
    return tuple(
        Timeline(
            tuple(
                Moment(commits[event.state], event.held, event.before, marks.get((number, at), ()))
                for at, event in reversed(list(enumerate(thread.events)))
            ),
            holdings[NOW][now[number]] if number in now else None,
        )
        for thread in sorted(wanted, key=rank)
        for number in (index[id(thread)],)
    )


def _marks(past: Past, found: Followed[Name, Held]) -> Mapping[tuple[int, int], tuple[Mark, ...]]:
    """The marks at which each event of each thread was in force."""
    held: dict[tuple[int, int], tuple[Mark, ...]] = {}
    for mark in past.states.marks():
        for point in found.points.get(mark.commit, {}).values():
            held[point] = (*held.get(point, ()), mark)
    return held
