"""Which commits made each change. Entry point: `attribute`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.history.change import Change, ChangeKind, Commit, Revision
from cfgaudit.history.git.commits import read_steps
from cfgaudit.history.over_time.passages import INHERITED, Key, section_key, setting_key
from cfgaudit.history.over_time.touches import Difference, Texts, Touch, Values, differs, read_history
from cfgaudit.history.over_time.unsaved import Files, difference_of, files_of, paths_of
from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.history.states.states import States
from cfgaudit.source import SourceError
from cfgaudit.tree.resolve import TreeOptions, resolve

RENAMINGS = (ChangeKind.RENAMED, ChangeKind.MOVED)
NOTHING = Difference({})


def attribute(
    changes: Sequence[Change], states: States, before: Revision, after: Revision
) -> tuple[Change, ...]:
    """The changes with the commits that made them, oldest first, and whether any of it is in no commit yet.

    Commits are those that ``after`` has (HEAD for the working tree and the index) and ``before`` has not;
    where ``before`` is no ancestor, also those that only ``before`` has: they made the difference, too.
    """
    if not changes:
        return ()
    texts = Texts(states.repository, states.project.traits)
    snapshots = [_snapshot(states, one) for one in (before, after)]
    made = _Makers(_touches(states, before, after, snapshots, texts))
    unsaved = NOTHING if after.commit else _unsaved(states, before, snapshots, texts)
    return tuple(_attributed(one, made, unsaved.values) for one in changes)


def _snapshot(states: States, revision: Revision) -> Snapshot:
    if revision.commit is not None:
        return states.at(revision.commit)
    working_tree = states.working_tree()
    return working_tree if revision.label == working_tree.revision.label else states.staged()


def _touches(
    states: States, before: Revision, after: Revision, snapshots: Iterable[Snapshot], texts: Texts
) -> Sequence[Touch]:
    last = after.commit or states.repository.head()
    if before.commit is None or last is None or before.commit == last:
        return ()
    start = {path for one in snapshots for path in paths_of(states, one, states.subject(one).tree)}
    steps = read_steps(states.repository, f"{before.commit}...{last}")
    return read_history(texts, steps, start, str(states.repository.root)).touches


def _unsaved(states: States, before: Revision, snapshots: Sequence[Snapshot], texts: Texts) -> Difference:
    """What the files say otherwise than the last commit, which may be ``before``."""
    old, new = (files_of(states, one, states.subject(one).tree) for one in snapshots)
    head = states.repository.head()
    return difference_of(old if head == before.commit else _committed(states, head), new, texts)


def _committed(states: States, commit: str | None) -> Files:
    """The files of a commit; none where it has no such main file."""
    if commit is None:
        return {}
    options = TreeOptions(traits=states.project.traits, strangers=False, parse=states.parse)
    try:
        snapshot = states.at(commit)
        return files_of(states, snapshot, resolve(snapshot.source, snapshot.main, options))
    except SourceError:
        return {}


class _Names(NamedTuple):
    """What a change goes by, before and after."""

    sections: frozenset[str]
    """Of a change of whole sections: the keys of these."""
    keys: frozenset[Key]
    renaming: bool


class _Makers:
    """The commits that touched something, by what they touched."""

    def __init__(self, touches: Sequence[Touch]) -> None:
        self._touches = touches
        self._values = [touch.values for touch in touches]
        self._by_key: defaultdict[Key, list[int]] = defaultdict(list)
        self._by_section: defaultdict[str, dict[int, None]] = defaultdict(dict)
        for number, values in enumerate(self._values):
            for key in values:
                self._by_key[key].append(number)
                self._by_section[key[0]][number] = None

    def of(self, names: _Names) -> tuple[Commit, ...]:
        """The commits that made a change."""
        return self._commits(one for one in self._near(names) if _is_made(self._values[one], names))

    def possible(self, names: _Names) -> tuple[Commit, ...]:
        """The commits by which another of several values may count, although all are written as before."""
        structure = {number for number, touch in enumerate(self._touches) if touch.structure}
        return self._commits(structure | self._near(names))

    def _near(self, names: _Names) -> set[int]:
        near = {number for section in names.sections for number in self._by_section.get(section, ())}
        return near | {number for key in names.keys for number in self._by_key.get(key, ())}

    def _commits(self, numbers: Iterable[int]) -> tuple[Commit, ...]:
        return tuple(self._touches[number].commit for number in sorted(numbers))


def _attributed(change: Change, made: _Makers, unsaved: Mapping[Key, Values]) -> Change:
    names = _names(change)
    uncommitted = _is_made(unsaved, names)
    commits = made.of(names)
    if not commits and not uncommitted:
        commits = made.possible(names)
    return change._replace(commits=commits, uncommitted=uncommitted)


def _is_made(values: Mapping[Key, Values], names: _Names) -> bool:
    """Whether what is written otherwise makes the change.

    A whole section came, or went, by its header and all its settings; a renaming is made where one of the
    names comes or goes; of a value that stood under several names in turn, all of them together count.
    """
    if names.sections:
        return any(one.differ for key, one in values.items() if key[0] in names.sections)
    if names.renaming:
        return any(values[key].differ for key in names.keys if key in values)
    return differs(values, names.keys)


def _names(change: Change) -> _Names:
    sides = [side for side in (change.before, change.after) if side is not None]
    renaming = change.kind in RENAMINGS
    sections = frozenset(section_key(side.section) for side in sides)
    if not change.setting:
        headers = frozenset((section, "") for section in sections)
        return _Names(frozenset(), headers, renaming) if renaming else _Names(sections, headers, renaming)
    keys = {setting_key(one.setting) for side in sides for one in side.settings}
    pairs = {(section, key) for section in (*sections, INHERITED) for key in keys}
    return _Names(frozenset(), frozenset(pairs), renaming)
