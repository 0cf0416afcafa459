"""Look-up tables over a machine's parts and references, each built when it is first asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import AXES

if TYPE_CHECKING:
    from cfgaudit.machine.model import Meaning, Part, Reference

Key = TypeVar("Key")
Item = TypeVar("Item")

AXIS_KINDS = frozenset({"axis", "motor", "driver", "endstop"})
LINKED_TO_AXIS = AXIS_KINDS | {"shaper", "accelerometer"}
AXIS_ROLES = ("steps.", "travel.", "home.", "speed.", "accel.")
"""What these say of an axis letter shows that the machine has the axis."""


def axis_of_text(text: str) -> str | None:
    """The axis letter that a reference's text is, if it is one."""
    letter = text.strip().casefold()
    return letter if letter in AXES else None


def _grouped(pairs: Iterable[tuple[Key, Item]]) -> Mapping[Key, Sequence[Item]]:
    groups: defaultdict[Key, list[Item]] = defaultdict(list)
    for key, item in pairs:
        groups[key].append(item)
    return dict(groups)


class MachineIndex:
    """Sections count by identity, as parts do. Every table keeps the order of the parts or references."""

    def __init__(self, parts: Sequence[Part], references: Sequence[Reference]) -> None:
        self._parts = parts
        self._references = references
        self._of_kinds: dict[tuple[str, ...], Sequence[Part]] = {}

    def of_kinds(self, kinds: tuple[str, ...]) -> Sequence[Part]:
        """The parts of any of these kinds, in their order."""
        if len(kinds) == 1:
            return self.by_kind.get(kinds[0], ())
        known = self._of_kinds.get(kinds)
        if known is None:
            known = self._of_kinds[kinds] = [part for part in self._parts if part.kind in kinds]
        return known

    @cached_property
    def by_kind(self) -> Mapping[str, Sequence[Part]]:
        return _grouped((part.kind, part) for part in self._parts)

    @cached_property
    def by_title(self) -> Mapping[str, Sequence[Part]]:
        """By what they are called, folded: ``fanleft``."""
        return _grouped((fold_name(part.title), part) for part in self._parts)

    @cached_property
    def by_name(self) -> Mapping[str, Sequence[Part]]:
        """By their label alone, folded: ``left``."""
        return _grouped((fold_name(part.name), part) for part in self._parts if part.name)

    @cached_property
    def by_role(self) -> Mapping[str, Sequence[tuple[Part, Meaning]]]:
        """Every meaning with its part, once for each part that holds it."""
        return _grouped((one.role, (part, one)) for part in self._parts for one in part.meanings)

    @cached_property
    def by_section(self) -> Mapping[int, Sequence[Part]]:
        return _grouped((id(part.section), part) for part in self._parts)

    @cached_property
    def made_by_section(self) -> Mapping[int, Sequence[Reference]]:
        return _grouped((id(one.origin.section), one) for one in self._references)

    @cached_property
    def made_to_part(self) -> Mapping[Part, Sequence[Reference]]:
        return _grouped((one.target, one) for one in self._references if one.target is not None)

    @cached_property
    def by_axis(self) -> Mapping[str, Sequence[Part]]:
        """The parts of each axis: by their section's name, or by a reference between axis and part."""
        return _grouped((letter, part) for part in self._parts for letter in sorted(self._letters_of(part)))

    @cached_property
    def letters(self) -> frozenset[str]:
        """Every axis that a moving part, or a setting about motion, names."""
        named = {
            letter for part in self._parts if part.kind in AXIS_KINDS for letter in self._letters_of(part)
        }
        for kind in (*AXIS_KINDS, "motion"):
            for part in self.by_kind.get(kind, ()):
                named.update(
                    one.axis for one in part.meanings if one.axis and one.role.startswith(AXIS_ROLES)
                )
        return frozenset(named)

    @cached_property
    def written(self) -> Mapping[tuple[str, str], Meaning]:
        """The meaning that counts for (role, axis): an axis part's before a motor's before any other's."""
        table: dict[tuple[str, str], Meaning] = {}
        for part in sorted(self._parts, key=_rank):
            for meaning in part.meanings:
                letters = (meaning.axis,) if meaning.axis else self._letters_of(part)
                for letter in letters:
                    table.setdefault((meaning.role, letter), meaning)
        return table

    def _letters_of(self, part: Part) -> frozenset[str]:
        own = frozenset((part.axis,)) if part.axis else frozenset()
        return own | self._linked.get(id(part.section), frozenset()) if part.kind in LINKED_TO_AXIS else own

    @cached_property
    def _linked(self) -> Mapping[int, frozenset[str]]:
        """The axes that references give to a section: two rounds, for a driver of a motor of an axis."""
        links: dict[int, frozenset[str]] = {}
        for _ in range(2):
            for section, letters in self._links(dict(links)):
                links[section] = links.get(section, frozenset()) | letters
        return links

    def _links(self, known: Mapping[int, frozenset[str]]) -> Iterator[tuple[int, frozenset[str]]]:
        for one in self._references:
            origin, target = one.origin, one.target
            if origin.kind not in LINKED_TO_AXIS or one.kind not in ("axis", "motor"):
                continue
            if one.kind == "axis" and (letter := axis_of_text(one.text)):
                yield id(origin.section), frozenset(letter)
            elif target is not None and one.kind == "motor" and origin.kind == "axis":
                yield id(target.section), _letters(origin, known)
            elif target is not None and target.kind in AXIS_KINDS:
                yield id(origin.section), _letters(target, known)


def _letters(part: Part, known: Mapping[int, frozenset[str]]) -> frozenset[str]:
    own = frozenset((part.axis,)) if part.axis else frozenset()
    return own | known.get(id(part.section), frozenset())


def _rank(part: Part) -> int:
    if part.kind == "axis":
        return 0
    if part.kind in AXIS_KINDS:
        return 1
    return 2 if part.kind == "motion" else 3
