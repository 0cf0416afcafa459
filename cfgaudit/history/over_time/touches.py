"""Which settings each commit touched: told from what its files say, each version of a file read once."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.history.change import Commit
from cfgaudit.history.git.commits import FileChange, Step
from cfgaudit.history.git.repository import Repository
from cfgaudit.history.over_time.passages import Key, Passage, PassageReader, Said
from cfgaudit.history.over_time.relevant import Relevant
from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.piecewise import Cut

HEADER = Said("", "hand")
"""Stands for the header of a section, whoever wrote it."""
Written = tuple[str, Said]
"""A file and what stands in it."""


class Values(NamedTuple):
    """All that the changed stretches of files say of one setting, in the order of files and lines."""

    old: tuple[Written, ...] = ()
    new: tuple[Written, ...] = ()

    @property
    def differ(self) -> bool:
        """Whether more happened than that entries moved to another file."""
        return self.swapped or _said(self.old) != _said(self.new)

    @property
    def swapped(self) -> bool:
        """Whether one file has the same values in another order."""
        return _said(self.old) == _said(self.new) and any(
            [one for path, one in self.old if path == file] != [one for path, one in self.new if path == file]
            for file in {path for path, _ in self.old} & {path for path, _ in self.new}
        )


class Difference(NamedTuple):
    """What is written otherwise in two states: every setting that was written, rewritten or moved."""

    values: Mapping[Key, Values]
    structure: bool = False
    """Whether include directives or the set of files changed: values may count that did not before."""


class Touch(NamedTuple):
    """What one commit changed."""

    commit: Commit
    against: tuple[Difference, ...]
    """From each parent, in their order; of a root from nothing."""

    @property
    def values(self) -> Mapping[Key, Values]:
        """Of a merge only what is in none of its parents."""
        first, *others = self.against
        if not others:
            return first.values
        return {key: one for key, one in first.values.items() if all(key in other.values for other in others)}

    @property
    def structure(self) -> bool:
        return all(one.structure for one in self.against)


def differs(values: Mapping[Key, Values], keys: Iterable[Key]) -> bool:
    """Whether what is written under any of these names differs, all of them taken for one setting.

    So a value that only went from one name to the other is no difference.
    """
    found = [values[key] for key in keys if key in values]
    if len(found) == 1:
        return found[0].differ
    old = Counter(one for each in found for one in _said(each.old).elements())
    new = Counter(one for each in found for one in _said(each.new).elements())
    return old != new or any(one.swapped for one in found)


def _said(written: Iterable[Written]) -> Counter[Said]:
    return Counter(said for _, said in written)


class Texts:
    """What blobs say, each read and parsed once."""

    def __init__(self, repository: Repository, traits: Traits) -> None:
        self._repository = repository
        self.reader = PassageReader(traits)
        self._known: dict[str, tuple[Passage, ...]] = {}
        self._cuts: dict[str, Cut] = {}

    def load(self, blobs: Mapping[str, str]) -> Mapping[str, tuple[Passage, ...]]:
        """What every blob says that has been asked for so far; ``blobs`` are ids, each with a path."""
        missing = [name for name in blobs if name not in self._known]
        for name, data in self._repository.blobs(missing):
            cut = self.reader.cut(data, blobs[name])
            if cut is None:
                self._known[name] = self.reader.whole(data, blobs[name])
            else:
                self._known[name], self._cuts[name] = self.reader.of(cut), cut
        return self._known

    def of(self, name: str | None) -> tuple[Passage, ...]:
        """What one blob says; nothing where there is none."""
        return self._known.get(name, ()) if name is not None else ()

    def data(self, name: str, path: str) -> bytes:
        """As `Repository.blob`; from memory if it can be."""
        cut = self._cuts.get(name)
        if cut is None:
            return self._repository.blob(name, path)
        return cut.text.encode("utf-8", "surrogateescape")


class History(NamedTuple):
    """The commits of a stretch, parents before children, and what each touched of one configuration."""

    steps: tuple[Step, ...]
    touches: tuple[Touch, ...]
    files: frozenset[str]
    """Paths, from the repository's root, that were ever part of it."""


def read_history(texts: Texts, steps: Sequence[Step], start: Iterable[str], root: str = "") -> History:
    """What each step touched of the configuration that the files ``start`` lead to, now or once."""
    steps = tuple(steps)
    versions: defaultdict[str, dict[str, None]] = defaultdict(dict)
    links: dict[str, None] = {}
    for change in (one for step in steps for changes in step.against for one in changes):
        versions[change.path] |= dict.fromkeys(one for one in (change.old, change.new) if one is not None)
        if change.link:
            links[change.path] = None
    files = Relevant(versions, links, texts, root).closure(start)
    return History(steps, tuple(touch_of(step, files, texts) for step in steps), files)


def touch_of(step: Step, files: frozenset[str], texts: Texts) -> Touch:
    """What one commit touched in the given files."""
    against = ([one for one in changes if one.path in files] for changes in step.against)
    return Touch(
        step.commit,
        tuple(
            Difference(values_of(_versions(changes, texts)), _restructures(changes, texts))
            for changes in against
        ),
    )


Version = tuple[str, tuple[Passage, ...], tuple[Passage, ...]]
"""A path, and what the file says before and after."""


def _versions(changes: Iterable[FileChange], texts: Texts) -> Iterator[Version]:
    for one in sorted(changes):
        yield one.path, texts.of(one.old), texts.of(one.new)


def values_of(versions: Iterable[Version]) -> Mapping[Key, Values]:
    """What is written otherwise in some files, by setting; what did not change at all is left out."""
    old: defaultdict[Key, list[Written]] = defaultdict(list)
    new: defaultdict[Key, list[Written]] = defaultdict(list)
    for path, before, after in versions:
        first, last = _common(before, after)
        for table, passages in ((old, before), (new, after)):
            for passage in passages[first : len(passages) - last]:
                for header in passage.headers:
                    table[header, ""].append((path, HEADER))
                for key, said in passage.entries:
                    table[key].append((path, said))
    pairs = ((key, Values(tuple(old.get(key, ())), tuple(new.get(key, ())))) for key in {**old, **new})
    return {key: values for key, values in pairs if values.old != values.new}


def _common(before: Sequence[Passage], after: Sequence[Passage]) -> tuple[int, int]:
    """How many passages are the same at the beginning, and at the end."""
    most = min(len(before), len(after))
    first = next((at for at in range(most) if before[at] is not after[at]), most)
    rest = range(1, most - first + 1)
    last = next((at - 1 for at in rest if before[-at] is not after[-at]), most - first)
    return first, last


def _restructures(changes: Iterable[FileChange], texts: Texts) -> bool:
    """Whether files came or went, or include others than before."""
    return any(
        one.old is None
        or one.new is None
        or one.link
        or [target for passage in texts.of(one.old) for target in passage.includes]
        != [target for passage in texts.of(one.new) for target in passage.includes]
        for one in changes
    )
