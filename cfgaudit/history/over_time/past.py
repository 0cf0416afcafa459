"""All states that one configuration ever had, from its first commit to the files on disk."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.audit import understand
from cfgaudit.history.change import Commit, Revision
from cfgaudit.history.git.commit_trees import CommitTrees
from cfgaudit.history.git.commits import Step, read_steps
from cfgaudit.history.git.sources import GitTree
from cfgaudit.history.over_time.touches import Difference, Texts, read_history
from cfgaudit.history.over_time.unsaved import Files, difference_of, files_of
from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.history.states.states import States
from cfgaudit.paths import join
from cfgaudit.source import SourceError
from cfgaudit.syntax.parse import Parser, parse
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.resolve import TreeOptions, resolve

if TYPE_CHECKING:
    from cfgaudit.checks.finding import Subject

NOW = ""
"""The id of the state on disk."""
DOCUMENTS = 400
"""Parsed files that are kept at a time."""
NEIGHBOURS = 3
"""Trees and machines that are kept at a time: those that are compared, and the ones after."""


class State(NamedTuple):
    """One commit; or the files on disk, which come after HEAD and have no commit."""

    id: str
    commit: Commit | None
    parents: tuple[str, ...]
    against: tuple[Difference, ...]
    """From each parent; one difference from nothing where there is no parent."""


class Past:
    """The states that HEAD comes from, and the working tree."""

    def __init__(self, states: States) -> None:
        self.states = states
        self._head = states.repository.head()
        self._steps = () if self._head is None else read_steps(states.repository, self._head)
        self._mains = _main_files(states, self._steps)
        self.texts = Texts(states.repository, states.project.traits)
        self._trees = CommitTrees(self._steps)
        self._parse = lru_cache(DOCUMENTS)(parse)
        self.tree = lru_cache(NEIGHBOURS)(self._tree)
        self.subject = lru_cache(NEIGHBOURS)(self._subject)

    @cached_property
    def line(self) -> tuple[State, ...]:
        """Every state, parents before children; the files on disk come last."""
        start = {*self._mains.values(), self._main_now}
        history = read_history(self.texts, self._steps, start, str(self.states.repository.root))
        pairs = zip(self._steps, history.touches, strict=True)
        past = (State(one.commit.id, one.commit, one.commit.parents, touch.against) for one, touch in pairs)
        return (*past, self._present())

    def ancestors(self, commit: str) -> frozenset[str]:
        """A commit (its full id) and all that it comes from."""
        parents = {state.id: state.parents for state in self.line}
        found: set[str] = set()
        ahead = [commit]
        while ahead:
            one = ahead.pop()
            if one not in found:
                found.add(one)
                ahead += parents.get(one, ())
        return frozenset(found)

    def holds(self, commit: str) -> bool:
        """Whether HEAD comes from a commit (its full id), or is it."""
        return any(step.commit.id == commit for step in self._steps)

    def snapshot(self, state: str) -> Snapshot:
        """The files of a state. Raises SourceError where there was no such main file."""
        if state == NOW:
            return self.states.working_tree()
        if self._mains.get(state, self._main_now) != self._main_now:
            return self.states.at(state)
        repository, allowed = self.states.repository, self.states.allowed
        label, blobs = f"commit {state[:7]}", self._trees.at(state).items()
        tree = GitTree(repository, blobs, label, allowed, read=self.texts.data)
        return Snapshot(Revision(label, state), tree, self.states.main)

    def tree_with(self, state: str, parser: Parser) -> ConfigTree | None:
        """What the files of a state come to; None where there was no main file, or none that is a text."""
        options = TreeOptions(traits=self.states.project.traits, strangers=False, parse=parser)
        try:
            snapshot = self.snapshot(state)
            return resolve(snapshot.source, snapshot.main, options)
        except SourceError:
            return None

    def _tree(self, state: str) -> ConfigTree | None:
        """As `tree_with`, with everything that the files say."""
        return self.tree_with(state, self._parse)

    def _subject(self, state: str) -> Subject | None:
        """What the files of a state mean; None as for `tree_with`."""
        try:
            snapshot = self.snapshot(state)
            project, library = self.states.project, self.states.library
            return understand(snapshot.source, snapshot.main, project, library, self._parse)
        except SourceError:
            return None

    @property
    def _main_now(self) -> str:
        return join(self.states.repository.prefix, self.states.main)

    def _present(self) -> State:
        parents = () if self._head is None else (self._head,)
        difference = difference_of(self._files(*parents) if parents else {}, self._files(NOW), self.texts)
        return State(NOW, None, parents, (difference,))

    def _files(self, state: str) -> Files:
        tree = self.tree(state)
        return {} if tree is None else files_of(self.states, self.snapshot(state), tree)


def _main_files(states: States, steps: tuple[Step, ...]) -> Mapping[str, str]:
    """The main file's path in each commit, from the repository's root: followed back from the last one."""
    names: dict[str, str] = {}
    if steps:
        names[steps[-1].commit.id] = _name_at(
            states, steps[-1].commit.id, join(states.repository.prefix, states.main)
        )
    for step in reversed(steps):
        name = names.get(step.commit.id, "")
        for parent, changes in zip(step.commit.parents, step.against, strict=False):
            came = any(one.path == name and one.old is None for one in changes)
            names.setdefault(parent, _name_at(states, parent, name) if came else name)
    return names


def _name_at(states: States, commit: str, otherwise: str) -> str:
    """The main file's path in a commit; ``otherwise`` where there was none."""
    try:
        snapshot = states.at(commit)
    except SourceError:
        return otherwise
    assert isinstance(snapshot.source, GitTree)
    return join(snapshot.source.prefix, snapshot.main)
