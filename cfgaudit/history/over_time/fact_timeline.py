"""Every value that facts had, and the settings that these came from. Entry point: `fact_timelines`."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from fnmatch import fnmatchcase
from typing import NamedTuple

from cfgaudit.checks.finding import Subject
from cfgaudit.facts.fact import Amount, Fact
from cfgaudit.history.change import Written
from cfgaudit.history.comparing.sections import match_sections
from cfgaudit.history.over_time.passages import INHERITED, Key, section_key, setting_key
from cfgaudit.history.over_time.past import NOW, Past
from cfgaudit.history.over_time.touches import Difference, Values
from cfgaudit.history.over_time.tracker import Timeline, Tracker
from cfgaudit.machine.model import Meaning
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Number
from cfgaudit.vocabulary.catalogue import ROLES

AMOUNTS = frozenset({"number", "numbers", "ratio", "body"})
"""Shapes of values that lead to no other part: one that a fact does not come from hardly matters to it."""
SHARED = frozenset({"motion", "board", "supply"})
"""Kinds of parts that others depend on without naming them."""
WIDE = frozenset({"supply", "board"})
"""Kinds of parts whose facts are sums over all that they serve."""
DECIDING = frozenset({"volts"})
"""Amounts that decide what belongs together, and so matter to facts that do not come from them."""


class Computed(NamedTuple):
    """A fact, and the settings that it came from."""

    name: str
    value: Amount
    unit: str
    sources: tuple[Written, ...]


def fact_timelines(past: Past, pattern: str, since: str | None = None) -> tuple[Timeline[Computed], ...]:
    """A timeline for each fact whose name the pattern (``axis.*.travel``) fits now, or once did.

    Where a section was renamed, its facts are followed to their names before; ``since`` as for settings.
    """
    return _Facts(past, pattern).timelines(since)


class Inputs:
    """What some facts may depend on, as far as the states that were looked at tell.

    What comes or goes always may, and so may a pin, a name or a text that changes. An amount does if the
    facts come from it, or if it has such a role in a part that has to do with theirs.
    """

    def __init__(self) -> None:
        self._sources: set[Key] = set()
        self._source_roles: set[str] = set(DECIDING)
        self._near: set[str] = set()
        """Sections that have to do with those that the facts come from."""
        self._wide = False
        self._roles: dict[Key, set[str | None]] = {}

    @property
    def extent(self) -> int:
        """Grows with what was learnt."""
        return len(self._sources) + len(self._source_roles) + len(self._near) + self._wide

    def learn(self, subject: Subject, facts: Sequence[Fact]) -> None:
        """Take in one more state, and its facts."""
        for section in subject.reading.sections:
            for reading in section.readings:
                known = self._roles.setdefault((section.section.key, reading.setting.key), set())
                known |= {reading.role, *(sense.role for sense in reading.senses)}
        origins = [origin for one in facts for origin in one.origin]
        self._sources |= {(section_key(one.setting.section), one.setting.key) for one in origins}
        self._source_roles |= {one.role for one in origins}
        self._wide = self._wide or any(one.name.partition(".")[0] in WIDE for one in facts)
        self._near |= _neighbours(subject, {section_key(one.setting.section) for one in origins})

    def follow(self, fact: Computed) -> None:
        """Take in a fact that is followed although it goes by another name."""
        for one in fact.sources:
            key = section_key(one.section), setting_key(one.setting)
            self._sources.add(key)
            self._source_roles |= {role for role in self._roles.get(key, ()) if role is not None}
            self._near.add(key[0])

    def may_matter(self, key: Key, values: Values) -> bool:
        """Whether a setting that is written otherwise may change one of the facts."""
        if not values.old or not values.new or key[0] == INHERITED or key in self._sources:
            return True
        roles = self._roles.get(key, {None})
        if not all(_is_amount(role, values) for role in roles):
            return True
        relevant = any(role is None or role in self._source_roles for role in roles)
        return relevant and (self._wide or key[0] in self._near)


def _neighbours(subject: Subject, sections: Set[str]) -> set[str]:
    """Sections, and those that refer to them, that they refer to, of the same axis, or of a shared part."""
    axes = {one.axis for one in subject.reading.sections if one.section.key in sections} - {None}
    near = {
        one.section.key
        for one in subject.reading.sections
        if one.axis in axes or any(part.kind in SHARED for part in one.parts)
    }
    for link in subject.machine.references:
        if link.target is not None:
            ends = {link.origin.section.key, link.target.section.key}
            near |= ends if ends & sections else set()
    return near | sections


def _is_amount(role: str | None, values: Values) -> bool:
    """Whether a setting is an amount by its role; by its values where nobody knows the role."""
    if role is None:
        return all(isinstance(read_value(said.value), Number) for _, said in (*values.old, *values.new))
    spec = ROLES.get(role)
    return spec is not None and spec.shape in AMOUNTS


class _Facts(Tracker[str, Computed]):
    def __init__(self, past: Past, pattern: str) -> None:
        super().__init__(past)
        self._pattern = pattern
        self._kind, _, rest = pattern.partition(".")
        self._quantity = rest.rpartition(".")[2] or "*"
        self._inputs = Inputs()
        self._looked: dict[str, Mapping[str, Computed]] = {}
        self._look_at_all(NOW)

    def fits(self, name: str) -> bool:
        return fnmatchcase(name, self._pattern)

    def horizon(self) -> int:
        return len(self.others) + self._inputs.extent

    def concerns(self, difference: Difference) -> bool:
        return difference.structure or any(self._inputs.may_matter(*one) for one in difference.values.items())

    def look(self, state: str) -> Mapping[str, Computed]:
        held = self._look_at_all(state)
        for name in self.others & held.keys():
            self._inputs.follow(held[name])
        return {name: one for name, one in held.items() if self.fits(name) or name in self.others}

    def _look_at_all(self, state: str) -> Mapping[str, Computed]:
        """The facts of the same kind and quantity, which may be other names of those that are followed."""
        if state not in self._looked:
            subject = self.past.subject(state)
            self._looked[state] = {} if subject is None else self._learn(subject)
        return self._looked[state]

    def _learn(self, subject: Subject) -> Mapping[str, Computed]:
        facts = [one for one in subject.facts.facts if self._is_like(one.name)]
        self._inputs.learn(subject, [one for one in facts if self.fits(one.name) or one.name in self.others])
        return {one.name: _computed(one) for one in reversed(facts)}

    def _is_like(self, name: str) -> bool:
        kind, _, rest = name.partition(".")
        return fnmatchcase(kind, self._kind) and fnmatchcase(rest.rpartition(".")[2], self._quantity)

    def same(self, one: Computed, other: Computed) -> bool:
        numbers, others = list(_numbers(one.value)), list(_numbers(other.value))
        return (
            one.unit == other.unit
            and len(numbers) == len(others)
            and all(math.isclose(*pair, rel_tol=1e-9) for pair in zip(numbers, others, strict=True))
        )

    def former_names(self, parent: str, state: str) -> Mapping[str, str]:
        before, after = self.past.subject(parent), self.past.subject(state)
        if before is None or after is None:
            return {}
        sections = match_sections(before.reading, after.reading)
        old, new = self._look_at_all(parent), self._look_at_all(state)
        went = {_identity(one, sections): name for name, one in old.items() if name not in new}
        pairs = ((name, went.get(_identity(one, {}))) for name, one in new.items() if name not in old)
        return {name: former for name, former in pairs if former is not None}


def _computed(fact: Fact) -> Computed:
    return Computed(fact.name, fact.value, fact.unit, tuple(_written(fact.origin)))


def _written(origin: Iterable[Meaning]) -> Iterator[Written]:
    for one in origin:
        setting = one.setting
        yield Written(setting.section, setting.name, one.text, one.place, setting.effective.author)


def _numbers(amount: Amount) -> Iterator[float]:
    if isinstance(amount, tuple):
        for one in amount:
            yield from _numbers(one)
    else:
        yield amount


def _identity(one: Computed, sections: Mapping[str, str]) -> tuple[object, ...]:
    """What a fact keeps under another name: kind, quantity, and the settings it comes from."""
    keys = ((section_key(source.section), setting_key(source.setting)) for source in one.sources)
    origin = frozenset((sections.get(section, section), setting) for section, setting in keys)
    return (one.name.partition(".")[0], one.name.rpartition(".")[2], origin)
