"""What the files on disk, or in the index, say otherwise than a commit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfgaudit.history.git.sources import GitTree
from cfgaudit.history.over_time.passages import Passage
from cfgaudit.history.over_time.touches import Difference, Texts, values_of
from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.history.states.states import States
from cfgaudit.paths import join
from cfgaudit.source import Source
from cfgaudit.tree.config_tree import ConfigTree

Files = Mapping[str, bytes]
"""The files of one state, by path from the repository's root."""


def files_of(states: States, snapshot: Snapshot, tree: ConfigTree) -> Files:
    """The files that make a configuration; ``tree`` is what those of the snapshot come to."""
    prefix = _prefix(states, snapshot.source)
    return {join(prefix, path): document.data() for path, document in tree.documents.items()}


def paths_of(states: States, snapshot: Snapshot, tree: ConfigTree) -> Iterator[str]:
    """The files that make a configuration, from the repository's root, and what links among them lead to."""
    source = snapshot.source
    prefix = _prefix(states, source)
    for path in tree.documents:
        yield join(prefix, path)
        if isinstance(source, GitTree):
            yield join(prefix, source.real(path))


def _prefix(states: States, source: Source) -> str:
    return source.prefix if isinstance(source, GitTree) else states.repository.prefix


def difference_of(committed: Files, files: Files, texts: Texts) -> Difference:
    """What is written otherwise in the second."""
    paths = sorted({*committed, *files})
    changed = [path for path in paths if committed.get(path) != files.get(path)]
    versions = ((path, _said(committed, path, texts), _said(files, path, texts)) for path in changed)
    return Difference(values_of(versions), structure=bool(changed))


def _said(files: Files, path: str, texts: Texts) -> tuple[Passage, ...]:
    return texts.reader.read(files[path], path) if path in files else ()
