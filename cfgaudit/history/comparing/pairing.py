"""Two machines side by side: which section and setting of one is which of the other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from cfgaudit.checks.finding import Subject
from cfgaudit.history.comparing.alias_pairs import renamed_aliases
from cfgaudit.history.comparing.equal import Forms
from cfgaudit.history.comparing.sections import match_sections, renames_of
from cfgaudit.machine.forms import Renames
from cfgaudit.machine.model import Meaning
from cfgaudit.syntax.value import Opaque
from cfgaudit.tree.config_tree import Section
from cfgaudit.vocabulary.reading import Reading, SectionReading

NOTHING = SectionReading(Section("", "", (), ()), (), None, (), "")


class Loose(NamedTuple):
    """A setting that only one side has, in its section. ``whole``: the other side has no such section."""

    section: SectionReading
    reading: Reading
    whole: bool = False


class Couple(NamedTuple):
    """A setting of both sides, each in its section."""

    left: Reading
    right: Reading
    before: SectionReading
    after: SectionReading


class Difference(NamedTuple):
    """What a setting, or a piece of it, means before and after; None on the side that lacks it."""

    role: str
    axis: str | None
    left: Meaning | None
    right: Meaning | None


@dataclass(frozen=True, eq=False)
class Pairing:
    """Two machines, and the key of each section of ``before`` to the one that it has after."""

    before: Subject
    after: Subject
    pairs: Mapping[str, str]

    @cached_property
    def renames(self) -> Renames:
        """What sections, parts and aliases of the machine before are called after."""
        found = renames_of(self.before.reading, self.after.reading, self.pairs)
        aliases = renamed_aliases(self.before.machine.aliases, self.after.machine.aliases, found)
        return replace(found, labels={**found.labels, **aliases}) if aliases else found

    @cached_property
    def old(self) -> Forms:
        return Forms(self.before.machine, self.renames)

    @cached_property
    def new(self) -> Forms:
        return Forms(self.after.machine, self.renames.reflected())

    def same(self, left: Reading, right: Reading) -> bool:
        """Whether two settings say the same; equal texts always do, whatever names in them lead to."""
        return left.setting.value == right.setting.value or self.old.of(left) == self.new.of(right)

    def differences(self, left: Reading | None, right: Reading | None) -> Iterator[Difference]:
        """The meanings that are not the same on both sides, matched by role and axis in their order."""
        before = self.old.meanings(left) if left is not None else ()
        after = self.new.meanings(right) if right is not None else ()
        if len(before) == len(after) == 1 and _is_guess(before[0], after[0]):
            told = before[0] if isinstance(after[0].value, Opaque) else after[0]
            yield Difference(told.role, told.axis, before[0], after[0])
            return
        old, new = _by_role(before), _by_role(after)
        for key in {**new, **old}:
            lefts, rights = old.get(key, []), new.get(key, [])
            for rank in range(max(len(lefts), len(rights))):
                one = lefts[rank] if rank < len(lefts) else None
                other = rights[rank] if rank < len(rights) else None
                if one is None or other is None or not self.same_meaning(one, other):
                    yield Difference(*key, one, other)

    def same_meaning(self, left: Meaning, right: Meaning) -> bool:
        """Whether two meanings are the same, as `same` says of settings."""
        return left.text == right.text or self.same_place(left, right)

    def same_place(self, left: Meaning, right: Meaning) -> bool:
        """Whether two meanings are the same and what they name is where it was."""
        return self.old.of_meaning(left) == self.new.of_meaning(right)

    def matched(self) -> Iterator[tuple[SectionReading, SectionReading]]:
        """The sections that both have; what stands before any header is one even where it is empty."""
        after = {one.section.key: one for one in self.after.reading.sections}
        before = {one.section.key: one for one in self.before.reading.sections}
        for key, one in before.items():
            if key in self.pairs:
                yield one, after[self.pairs[key]]
            elif not one.section.name:
                yield one, NOTHING
        if "" in after and "" not in before:
            yield NOTHING, after[""]

    def gone(self) -> Iterator[SectionReading]:
        for one in self.before.reading.sections:
            if one.section.key not in self.pairs and one.section.name:
                yield one

    def came(self) -> Iterator[SectionReading]:
        taken = set(self.pairs.values())
        for one in self.after.reading.sections:
            if one.section.key not in taken and one.section.name:
                yield one


def pair_machines(before: Subject, after: Subject) -> Pairing:
    """Two machines with their sections matched."""
    return Pairing(before, after, match_sections(before.reading, after.reading))


def _by_role(meanings: Iterable[Meaning]) -> dict[tuple[str, str | None], list[Meaning]]:
    found: defaultdict[tuple[str, str | None], list[Meaning]] = defaultdict(list)
    for one in meanings:
        found[one.role, one.axis].append(one)
    return found


def _is_guess(left: Meaning, right: Meaning) -> bool:
    """Whether the roles differ only because a template stands on one side, which may be of any role."""
    opaque = isinstance(left.value, Opaque) != isinstance(right.value, Opaque)
    return opaque and left.role != right.role


def said_by(reading: Reading, section: SectionReading) -> tuple[Hashable, str | None]:
    """What a setting is about: role and axis, or the key where nobody understands it."""
    return reading.role or ("", reading.setting.key), reading.axis or section.axis
