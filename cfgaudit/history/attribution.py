"""Which commits made each change. Entry point: `attribute`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.history.change import Change, ChangeKind, Commit, Revision
from cfgaudit.history.commits import read_steps
from cfgaudit.history.git import GitTree
from cfgaudit.history.passages import INHERITED, Key, Passage, section_key, setting_key
from cfgaudit.history.snapshot import Snapshot
from cfgaudit.history.states import States
from cfgaudit.history.touches import Texts, Touch, Values, differs, read_history, values_of
from cfgaudit.paths import join
from cfgaudit.source import SourceError
from cfgaudit.tree.resolve import TreeOptions, resolve

RENAMINGS = (ChangeKind.RENAMED, ChangeKind.MOVED)
Files = Mapping[str, bytes]
"""The files of one state, by path from the repository's root."""


def attribute(
    changes: Sequence[Change], states: States, before: Revision, after: Revision
) -> tuple[Change, ...]:
    """The changes with the commits that made them, oldest first, and whether any of it is in no commit yet.

    Commits are those that ``after`` has (HEAD for the working tree and the index) and ``before`` has not;
    where ``before`` is no ancestor, also those that only ``before`` has: they made the difference, too.
    """
    if not changes:
        return ()
    head = states.repository.head()
    last = after.commit or head
    texts = Texts(states.repository, states.project.traits)
    files = [_files(states, _snapshot(states, one)) for one in (before, after)]
    steps = (
        read_steps(states.repository, f"{before.commit}...{last}")
        if before.commit and last and before.commit != last
        else ()
    )
    history = read_history(texts, steps, {*files[0], *files[1]})
    unsaved: Mapping[Key, Values] = {}
    if after.commit is None:
        unsaved = _uncommitted(_committed(states, before, head, files[0]), files[1], texts)
    return tuple(_attributed(one, history.touches, unsaved) for one in changes)


def _snapshot(states: States, revision: Revision) -> Snapshot:
    if revision.commit is not None:
        return states.at(revision.commit)
    working_tree = states.working_tree()
    return working_tree if revision.label == working_tree.revision.label else states.staged()


def _files(states: States, snapshot: Snapshot) -> Files:
    """The files that make a configuration."""
    source = snapshot.source
    prefix = source.prefix if isinstance(source, GitTree) else states.repository.prefix
    options = TreeOptions(traits=states.project.traits, strangers=False, parse=states.parse)
    tree = resolve(source, snapshot.main, options)
    return {join(prefix, path): document.data() for path, document in tree.documents.items()}


def _committed(states: States, before: Revision, head: str | None, files: Files) -> Files:
    """The files of HEAD, which may be those of ``before``; none where HEAD has no such main file."""
    if head is None or head == before.commit:
        return files if head else {}
    try:
        return _files(states, states.at(head))
    except SourceError:
        return {}


def _uncommitted(committed: Files, files: Files, texts: Texts) -> Mapping[Key, Values]:
    """What the files say otherwise than the last commit."""
    paths = sorted({*committed, *files})
    changed = [path for path in paths if committed.get(path) != files.get(path)]
    return values_of((path, _said(committed, path, texts), _said(files, path, texts)) for path in changed)


def _said(files: Files, path: str, texts: Texts) -> tuple[Passage, ...]:
    return texts.reader.read(files[path], path) if path in files else ()


class _Names(NamedTuple):
    """What a change goes by, before and after."""

    sections: frozenset[str]
    """Of a change of whole sections: the keys of these."""
    keys: frozenset[Key]
    renaming: bool


def _attributed(change: Change, touches: Sequence[Touch], unsaved: Mapping[Key, Values]) -> Change:
    names = _names(change)
    uncommitted = _made(unsaved, names)
    commits = _commits(touch for touch in touches if _made(touch.values, names))
    if not commits and not uncommitted:
        commits = _commits(touch for touch in touches if _may_have_made(touch, names))
    return change._replace(commits=commits, uncommitted=uncommitted)


def _commits(touches: Iterator[Touch]) -> tuple[Commit, ...]:
    return tuple(touch.commit for touch in touches)


def _made(values: Mapping[Key, Values], names: _Names) -> bool:
    """Whether what is written otherwise makes the change.

    A whole section came, or went, by its header and all its settings; a renaming is made where one of the
    names comes or goes; of a value that stood under several names in turn, all of them together count.
    """
    if names.sections:
        return any(one.differ for key, one in values.items() if key[0] in names.sections)
    if names.renaming:
        return any(values[key].differ for key in names.keys if key in values)
    return differs(values, names.keys)


def _may_have_made(touch: Touch, names: _Names) -> bool:
    """Whether another of several values may count now, although all of them are written as before."""
    return touch.structure or any(key in touch.values for key in names.keys)


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
