"""What would be lost: edits that no commit has, on top of changes that one has."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.checks.finding import Subject
from cfgaudit.history.change import Change
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.pairing import pair_machines
from cfgaudit.history.comparing.touched import touched
from cfgaudit.history.states.states import States
from cfgaudit.source import MissingFile, Source, SourceError


class Conflicts(NamedTuple):
    """``edited``: changes whose present value is in no commit and is not the only thing since the mark.
    ``staged``: files that are staged with a content that neither the last commit nor the disk has.
    ``stale``: files whose staged content, which stays, is what is being undone."""

    edited: tuple[Change, ...] = ()
    staged: tuple[str, ...] = ()
    stale: tuple[str, ...] = ()


def find_conflicts(
    states: States, before: Subject, after: Subject, changes: Sequence[Change], files: Iterable[str]
) -> Conflicts:
    """What putting ``changes`` back in ``files`` would lose. Reads the last commit and the index."""
    head = states.repository.head()
    tree: Source | None = None
    committed: Subject | None = None
    if head is not None:
        try:
            snapshot = states.at(head)
            tree, committed = snapshot.source, states.subject(snapshot)
        except SourceError:  # the last commit has no such main file
            pass
    edited = tuple(changes) if committed is None else _edited(before, committed, after, changes)
    staged, stale = _staged(states, tree, {path: after.tree.documents[path].data() for path in files})
    return Conflicts(edited, staged, stale)


def _edited(
    before: Subject, committed: Subject, after: Subject, changes: Sequence[Change]
) -> tuple[Change, ...]:
    """The changes of which one part is committed and another is not."""
    uncommitted = compare_machines(committed, after)
    if not uncommitted:
        return ()
    made = compare_machines(before, committed)
    to_head = pair_machines(before, committed).pairs
    since = pair_machines(committed, after).pairs
    whole = pair_machines(before, after).pairs
    back = {new: old for old, new in to_head.items()}
    committed_names = touched(made, to_head)
    loose_names = {(back.get(section, section), one) for section, one in touched(uncommitted, since)}
    both = committed_names & loose_names
    return tuple(one for one in changes if touched([one], whole) & both)


def _staged(
    states: States, head: Source | None, files: Mapping[str, bytes]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The files that are staged and neither as committed nor as on disk, and those staged as on disk."""
    index = states.staged().source
    third, stale = list[str](), list[str]()
    for path, data in files.items():
        kept, last, now = _read(index, path), _read(head, path), _unix(data)
        if kept is None or kept == last:
            continue
        (stale if kept == now else third).append(path)
    return tuple(third), tuple(stale)


def _read(source: Source | None, path: str) -> bytes | None:
    try:
        return None if source is None else _unix(source.read(path))
    except MissingFile:
        return None


def _unix(data: bytes) -> bytes:
    """Without what git may make of line ends between the index and the disk."""
    return data.replace(b"\r\n", b"\n")
