"""Every value that settings had: when, by which commit, at which marks. Entry point: `setting_timelines`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fnmatch import fnmatchcase
from functools import lru_cache
from typing import NamedTuple

from cfgaudit.history.change import Written
from cfgaudit.history.over_time.former_names import former_names
from cfgaudit.history.over_time.passages import INHERITED, Key
from cfgaudit.history.over_time.past import Past
from cfgaudit.history.over_time.sparse import SparseParser
from cfgaudit.history.over_time.touches import Difference
from cfgaudit.history.over_time.tracker import Timeline, Tracker
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.names import fold_name


class SettingPattern(NamedTuple):
    """Names of settings, folded; globs are allowed."""

    section: str
    setting: str

    def fits(self, key: Key) -> bool:
        return fnmatchcase(key[1], self.setting) and fnmatchcase(key[0], self.section)


def read_pattern(address: str) -> SettingPattern:
    """``SECTION:SETTING`` as a pattern; brackets around the section are left out."""
    section, _, setting = address.rpartition(":")
    section = section.strip()
    if section.startswith("[") and section.endswith("]"):
        section = section[1:-1]
    return SettingPattern(fold_name(section), fold_name(setting))


def setting_timelines(
    past: Past, pattern: SettingPattern, since: str | None = None
) -> tuple[Timeline[Written], ...]:
    """A timeline for each setting that the pattern fits now, or once did; those that there still are first.

    Renames and moves to other sections and files are followed, so a line may begin under a name that the
    pattern does not fit. ``since`` is the full id of a commit: only what happened after it is told.
    """
    return _Settings(past, pattern).timelines(since)


class _Settings(Tracker[Key, Written]):
    def __init__(self, past: Past, pattern: SettingPattern) -> None:
        super().__init__(past)
        self._pattern = pattern
        self._parsers: tuple[frozenset[str] | None, SparseParser | None] = (None, None)
        self._headers_matter = any(
            section == INHERITED for state in past.line for one in state.against for section, _ in one.values
        )
        """Whether files say settings whose section stands in the file that includes them."""

    def fits(self, name: Key) -> bool:
        return self._pattern.fits(name)

    def concerns(self, difference: Difference) -> bool:
        return difference.structure or any(self._may_matter(*key) for key in difference.values)

    def _may_matter(self, section: str, setting: str) -> bool:
        if not setting:
            return self._headers_matter
        if section == INHERITED:
            others = (one for _, one in self.others)
            return fnmatchcase(setting, self._pattern.setting) or setting in others
        return self._pattern.fits((section, setting)) or (section, setting) in self.others

    def look(self, state: str) -> Mapping[Key, Written]:
        tree = self.past.tree_with(state, self._parser())
        return {} if tree is None else dict(self._found(tree))

    def _parser(self) -> SparseParser:
        """One that reads only what may be followed: another one as soon as that is more."""
        others = frozenset(setting for _, setting in self.others)
        if self._parsers[0] != others:
            pattern = self._pattern.setting
            wants = lru_cache(None)(lambda key: key in others or fnmatchcase(key, pattern))
            self._parsers = others, SparseParser(self.past.texts.reader, wants)
        parser = self._parsers[1]
        assert parser is not None
        return parser

    def _found(self, tree: ConfigTree) -> Iterator[tuple[Key, Written]]:
        for section in tree.sections:
            for one in section.settings:
                key = (section.key, one.key)
                if key in self.others or self._pattern.fits(key):
                    author = one.effective.author
                    yield key, Written(section.name, one.name, one.value, one.place, author)

    def same(self, one: Written, other: Written) -> bool:
        return one.value == other.value

    def former_names(self, parent: str, state: str) -> Mapping[Key, Key]:
        before, after = self.past.subject(parent), self.past.subject(state)
        return {} if before is None or after is None else former_names(before, after)
