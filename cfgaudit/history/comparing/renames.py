"""Settings that have another key, or another section, and say the same."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence

from cfgaudit.history.comparing.pairing import Couple, Loose, Pairing, said_by
from cfgaudit.machine.model import Machine
from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.value import Items, Number, Text
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.reading import SectionReading

LONG_TEXT = 6
"""A text of so many letters hardly stands under two keys of one section by chance."""

KIN = (
    frozenset({"heater", "sensor", "guard"}),
    frozenset({"axis", "motor", "driver", "endstop", "shaper", "motion"}),
    frozenset({"probe", "mesh", "level", "servo"}),
)
"""Kinds of parts between which settings are split in one way or another."""

Grave = Callable[[Loose], bool]


def renamed_settings(gone: Sequence[Loose], came: Sequence[Loose], pairing: Pairing) -> Iterator[Couple]:
    """Of one section: the settings that say the same under another key."""
    yield from _only_pairs(
        ((_said_and_form(one, pairing.old.of(one.reading)), one) for one in gone),
        ((_said_and_form(one, pairing.new.of(one.reading)), one) for one in came),
    )


def replaced_settings(gone: Sequence[Loose], came: Sequence[Loose]) -> Iterator[Couple]:
    """Of one section: the settings that play the role of one that is gone, with another value."""
    yield from _only_pairs(
        ((said_by(one.reading, one.section), one) for one in gone if one.reading.role is not None),
        ((said_by(one.reading, one.section), one) for one in came if one.reading.role is not None),
    )


def moved_settings(
    gone: Sequence[Loose], came: Sequence[Loose], pairing: Pairing, is_grave: Grave
) -> Iterator[Couple]:
    """The settings that say the same in another section.

    What is grave to lose counts as moved only to a section that has to do with the old one.
    """
    if not gone or not came:
        return
    wanted = {said_by(one.reading, one.section) for one in gone}
    wanted &= {said_by(one.reading, one.section) for one in came}
    lefts = [one for one in gone if said_by(one.reading, one.section) in wanted]
    rights = [one for one in came if said_by(one.reading, one.section) in wanted]
    ties = _Ties(pairing)
    whole = {id(one.reading) for one in (*lefts, *rights) if one.whole}
    for couple in _only_pairs(
        (((said_by(one.reading, one.section), pairing.old.of(one.reading)), one) for one in lefts),
        (((said_by(one.reading, one.section), pairing.new.of(one.reading)), one) for one in rights),
    ):
        both_whole = id(couple.left) in whole and id(couple.right) in whole
        unknown = couple.left.role is None and not _are_aliases(couple)
        if not (both_whole or unknown or is_grave(Loose(couple.before, couple.left))) or ties.tied(couple):
            yield couple


def _are_aliases(couple: Couple) -> bool:
    """Whether a name for a pin moved from one section of such names to another."""
    return all([part.kind for part in one.parts[:1]] == ["alias"] for one in (couple.before, couple.after))


def _said_and_form(one: Loose, form: Hashable) -> Hashable:
    """Without a role only what hardly stands there twice by chance tells that two are one."""
    role, axis = said_by(one.reading, one.section)
    if one.reading.role is not None:
        return (role, axis, form)
    return ("", form) if _is_distinctive(one) else ("", one.reading.setting.key, form)


def _is_distinctive(one: Loose) -> bool:
    reading = one.reading
    if is_chip_pin(reading.setting.value) or isinstance(reading.value, Items):
        return True
    if isinstance(reading.value, Number):
        return bool(reading.value.unit)
    return isinstance(reading.value, Text) and len(reading.setting.value) >= LONG_TEXT


def _only_pairs(
    gone: Iterable[tuple[Hashable, Loose]], came: Iterable[tuple[Hashable, Loose]]
) -> Iterator[Couple]:
    """Those that are the only ones of their kind on both sides."""
    lefts, rights = _grouped(gone), _grouped(came)
    for key, old in lefts.items():
        new = rights.get(key, ())
        if len(old) == len(new) == 1:
            yield Couple(old[0].reading, new[0].reading, old[0].section, new[0].section)


def _grouped(pairs: Iterable[tuple[Hashable, Loose]]) -> dict[Hashable, list[Loose]]:
    groups: defaultdict[Hashable, list[Loose]] = defaultdict(list)
    for key, one in pairs:
        groups[key].append(one)
    return dict(groups)


class _Ties:
    """Which sections have to do with one another: by name, by axis, or because one refers to the other."""

    def __init__(self, pairing: Pairing) -> None:
        self._pairs = pairing.pairs
        self._links = {*_links(pairing.after.machine, {}), *_links(pairing.before.machine, pairing.pairs)}

    def tied(self, couple: Couple) -> bool:
        """Of parts that do different jobs, only a pin or a name is the same thing in both sections."""
        before, after = couple.before, couple.after
        proper = (couple.left.role or "").startswith(("pin.", "ref."))
        return (proper or _are_kin(before, after)) and self._linked(before, after)

    def _linked(self, before: SectionReading, after: SectionReading) -> bool:
        here, there = self._pairs.get(before.section.key, before.section.key), after.section.key
        if (here, there) in self._links or (there, here) in self._links:
            return True
        if before.axis is not None and before.axis == after.axis:
            return True
        names = {fold_name(part.name) for part in before.parts if part.name}
        return any(fold_name(part.name) in names for part in after.parts)


def _are_kin(before: SectionReading, after: SectionReading) -> bool:
    kinds = {part.kind for part in before.parts}, {part.kind for part in after.parts}
    return bool(kinds[0] & kinds[1]) or any(one & kinds[0] and one & kinds[1] for one in KIN)


def _links(machine: Machine, renamed: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    for one in machine.references:
        if one.target is not None:
            here, there = one.origin.section.key, one.target.section.key
            yield renamed.get(here, here), renamed.get(there, there)
