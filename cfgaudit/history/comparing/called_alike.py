"""What findings are about, in a form that is equal in two states where only names are others.

The subject of a finding is a text of names. Here each section, part, alias, file and setting that both
states have becomes one token, whatever either calls it. What only one has equals nothing of the other.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from typing import NamedTuple

from cfgaudit.checks.finding import Finding, Subject
from cfgaudit.facts.fact import fact_name
from cfgaudit.history.comparing.name_users import key_of
from cfgaudit.history.comparing.pairing import Loose, Pairing
from cfgaudit.history.comparing.renames import renamed_settings
from cfgaudit.machine.forms import Renames
from cfgaudit.syntax.document import Place
from cfgaudit.tree.config_tree import Setting

Line = tuple[str, int]
"""A file, and a line of it."""
Token = Hashable


class Named(NamedTuple):
    """One state: its names, each with what it stands for."""

    tokens: Mapping[str, Token]
    pattern: re.Pattern[str]
    keys: Mapping[Line, Mapping[str, Token]]
    """The keys of settings that have another key in the other state, by the lines at which these stand."""

    def about(self, finding: Finding) -> Hashable:
        """What a finding is about. Where that is several parts, their order says only which is read first."""
        tokens = list(self._tokens(finding))
        several = sum(isinstance(one, tuple) for one in tokens) > 1
        return frozenset(Counter(tokens).items()) if several else tuple(tokens)

    def _tokens(self, finding: Finding) -> Iterator[Token]:
        places = (finding.where, *finding.related)
        keys = {key: token for place in places for key, token in self._keys_at(place)}
        at = 0
        for match in self.pattern.finditer(finding.subject):
            yield from (keys.get(word, word) for word in finding.subject[at : match.start()].split())
            yield self.tokens[match.group()]
            at = match.end()
        yield from (keys.get(word, word) for word in finding.subject[at:].split())

    def _keys_at(self, place: Place) -> Iterator[tuple[str, Token]]:
        for number in range(place.line, place.end_line + 1):
            yield from self.keys.get((place.file, number), {}).items()


def named_alike(pairing: Pairing) -> tuple[Named, Named]:
    """Both states of a pairing, with one token for what both have."""
    files = _files(pairing)
    couples = [(left, right, ("setting", *key_of(right))) for left, right in _renamed_settings(pairing)]
    before = _State(
        pairing.before,
        lambda key: pairing.pairs.get(key, ("gone", key)),
        lambda path: files.get(path, ("gone", path)),
        pairing.renames,
    )
    after = _State(pairing.after, str, str, pairing.renames.reflected())
    return (
        before.named((left, token) for left, _, token in couples),
        after.named((right, token) for _, right, token in couples),
    )


class _State(NamedTuple):
    """One of two states. What the functions and ``renames`` give is the same for what both have."""

    subject: Subject
    section: Callable[[str], Token]
    file: Callable[[str], Token]
    renames: Renames

    def named(self, renamed: Iterable[tuple[Setting, Token]]) -> Named:
        tokens = self._tokens()
        longest = sorted(tokens, key=len, reverse=True)
        pattern = "|".join(map(re.escape, longest)) or r"(?!)"
        return Named(tokens, re.compile(rf"(?<![\w./-])(?:{pattern})(?![\w-])"), _keys_by_line(renamed))

    def _tokens(self) -> Mapping[str, Token]:
        """Every name that stands for one thing; one of several things is but a text."""
        found: defaultdict[str, set[Token]] = defaultdict(set)
        for own in self._sections():
            for name, token in own.items():
                found[name].add(token)
        for alias in self.subject.machine.aliases:
            found[alias.name].add(("alias", self.renames.of(alias.name)))
        for path in self.subject.tree.documents:
            found[path].add(("file", self.file(path)))
        return {
            name: next(iter(tokens)) if len(tokens) == 1 else name for name, tokens in found.items() if name
        }

    def _sections(self) -> Iterator[Mapping[str, Token]]:
        """For each section what it and its parts are called, in messages, facts and by others.

        A section is its head, whose title it often is.
        """
        names: defaultdict[str, dict[str, Token]] = defaultdict(dict)
        for part in self.subject.machine.parts:
            own, token = names[part.section.key], (part.kind, self.section(part.section.key))
            own.setdefault(part.title, token)
            own.setdefault(fact_name(part, "").removesuffix("."), token)
            if self.renames.knows(part.name):
                own.setdefault(part.name, ("label", self.renames.of(part.name)))
        for section, parts, *_ in self.subject.reading.sections:
            head = parts[0].kind if parts else ""
            own, token = names[section.key], (head, self.section(section.key))
            own |= {section.name: token, section.key: token}
        yield from names.values()


def _keys_by_line(renamed: Iterable[tuple[Setting, Token]]) -> Mapping[Line, Mapping[str, Token]]:
    found: defaultdict[Line, dict[str, Token]] = defaultdict(dict)
    for setting, token in renamed:
        for one in setting.occurrences:
            for number in range(one.place.line, one.place.end_line + 1):
                found[one.file, number][setting.key] = token
    return found


def _renamed_settings(pairing: Pairing) -> Iterator[tuple[Setting, Setting]]:
    """The settings that say the same under another key of one section."""
    for before, after in pairing.matched():
        old, new = ({one.setting.key: one for one in side.readings} for side in (before, after))
        gone = [Loose(before, one) for key, one in old.items() if key not in new]
        came = [Loose(after, one) for key, one in new.items() if key not in old]
        for couple in renamed_settings(gone, came, pairing):
            yield couple.left.setting, couple.right.setting


def _files(pairing: Pairing) -> Mapping[str, str]:
    """The files that both have; a name that is gone is the one new one where its sections now stand."""
    old, new = pairing.before.tree, pairing.after.tree
    found = {path: path for path in old.documents if path in new.documents} | {old.main: new.main}
    now = {section.key: section for section in new.sections}
    homes: defaultdict[str, set[str]] = defaultdict(set)
    for section in (one for one in old.sections if one.key in pairing.pairs):
        for path in {one.document.path for one in section.openings} - found.keys():
            homes[path] |= {one.document.path for one in now[pairing.pairs[section.key]].openings}
    came = {path: {one for one in at if one not in old.documents} for path, at in homes.items()}
    taken = Counter(one for at in came.values() for one in at)
    alone = {path: next(iter(at)) for path, at in came.items() if len(at) == 1}
    return found | {path: at for path, at in alone.items() if taken[at] == 1}
