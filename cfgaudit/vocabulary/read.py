"""A tree to its reading: every section's parts and every setting's role."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.units import amount_as, unit_meaning
from cfgaudit.syntax.value import Dimension, Items, Number, Opaque, Text, Value
from cfgaudit.tree.config_tree import ConfigTree, Section, Setting
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import AXES, NO_ROLE, ROLES
from cfgaudit.vocabulary.decide import Decision, Judge
from cfgaudit.vocabulary.infer import infer_kind, settle_kind
from cfgaudit.vocabulary.reading import PartName, Reading, SectionReading, TreeReading
from cfgaudit.vocabulary.sections import EXTRUDER, SectionKind, kinds_of, read_section_name
from cfgaudit.vocabulary.senses import further_senses, range_ends
from cfgaudit.vocabulary.shapes import Fit, Resolves, first_piece, fit
from cfgaudit.vocabulary.stated import STATED, stated_role
from cfgaudit.vocabulary.words import Words

SEVERAL = 4
"""Settings: fewer outvote no section's name."""
SENSING = frozenset({"pin.sensor", "ref.sensor"})
LONGEST_NAME = 60
"""Characters; a longer text names no part."""
UNNAMED = frozenset({"other"})
NO_KINDS: frozenset[str] = frozenset()


def read_roles(tree: ConfigTree, words: Words) -> TreeReading:
    """What every section and setting of a tree means, in the tree's order."""
    judge = Judge(words)
    named = (read_section_name(section, words) for section in tree.sections)
    values = cache(lambda: frozenset(fold_name(first_piece(setting.value)) for setting in tree.settings()))
    kinds = [
        settle_kind(section, kind, judge, values) for section, kind in zip(tree.sections, named, strict=True)
    ]
    reader = Reader(judge, _resolver(tree.sections, kinds, words))
    return TreeReading(
        tree,
        tuple(
            _read_section(section, kind, judge, reader)
            for section, kind in zip(tree.sections, kinds, strict=True)
        ),
    )


def _resolver(sections: Iterable[Section], kinds: Iterable[SectionKind], words: Words) -> Resolves:
    """A name, a label, a section's name, or a kind and a label in either order, to the kinds that have it."""
    known: dict[str, frozenset[str]] = {}
    for section, kind in zip(sections, kinds, strict=True):
        for name in (section.name, kind.name):
            known[fold_name(name)] = known.get(fold_name(name), NO_KINDS) | kinds_of(kind.head)
        if kind.head == "alias":
            for setting in section.settings:
                known[setting.key] = known.get(setting.key, NO_KINDS) | {"alias"}
    known.pop("", None)

    def resolves(text: str) -> frozenset[str]:
        found = known.get(fold_name(text))
        if found is None:
            found = NO_KINDS if is_chip_pin(text) else _by_kind_and_label(text, known, words)
        return found

    return cache(resolves)


def _by_kind_and_label(text: str, known: Mapping[str, frozenset[str]], words: Words) -> frozenset[str]:
    """``bed heater`` where a section ``heater bed``, or ``thermal bed``, is known as the heater ``bed``."""
    if len(text) > LONGEST_NAME:
        return NO_KINDS
    for word in words.lexicon.words(text):
        if word.concept in words.rank:
            kinds = known.get(fold_name(text[: word.start] + text[word.end :]), NO_KINDS)
            if word.concept in kinds:
                return frozenset({word.concept})
    return NO_KINDS


def _read_section(section: Section, kind: SectionKind, judge: Judge, reader: Reader) -> SectionReading:
    readings = reader.readings(section, kind)
    if _mostly_unknown(kind, readings):
        other = infer_kind(section, kind._replace(name=section.name), judge)
        if other.head not in ("", kind.head):
            kind = other
            readings = reader.readings(section, kind)
    readings = _with_principal_pin(kind, readings, judge.words)
    parts = kind.fixed or tuple(_parts(kind, readings, judge.words))
    readings = _possible(parts, readings)
    return SectionReading(section, parts, _stated_axis(readings) or kind.axis, readings, kind.why)


def _possible(parts: tuple[PartName, ...], readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """The readings without the roles that no part of the section can have; what a builder states stays."""
    kinds = frozenset(part.kind for part in parts) or UNNAMED
    return tuple(one if one.role is None or one.why == STATED else _within(kinds, one) for one in readings)


def _within(kinds: frozenset[str], reading: Reading) -> Reading:
    if reading.senses:
        senses = tuple(sense for sense in reading.senses if ROLES[sense.role].parts & kinds)
        reading = reading._replace(senses=senses)
    if reading.role is None or ROLES[reading.role].parts & kinds:
        return reading
    role = "pin.other" if is_chip_pin(first_piece(reading.setting.value)) else None
    why = f"no part of this section can have {reading.role}"
    return reading._replace(role=role, why=why, fits=True, senses=())


def _with_principal_pin(
    kind: SectionKind, readings: tuple[Reading, ...], words: Words
) -> tuple[Reading, ...]:
    """The readings, the only pin left being the one that the part cannot do without."""
    role = words.principal.get(kind.head)
    left = [one for one in readings if one.role == "pin.other" and one.value != Opaque(one.setting.value)]
    if role is None or len(left) != 1 or any(one.role == role for one in readings):
        return readings
    if kind.head == "heater" and not _roles(readings) & SENSING:
        return readings
    why = f"the only pin left, and a {kind.head} needs one"
    return tuple(one._replace(role=role, why=why) if one is left[0] else one for one in readings)


def _mostly_unknown(kind: SectionKind, readings: tuple[Reading, ...]) -> bool:
    """Whether the kind that a section's name says leaves most of several settings without a role."""
    if kind.fixed or not kind.head or kind.head == "alias":
        return False
    known = sum(_is_own(one.role, kind) for one in readings)
    return not known if len(readings) < SEVERAL else known * 2 < len(readings)


def _is_own(role: str | None, kind: SectionKind) -> bool:
    """Whether a role is one of the kind itself, not of another that its sections may hold, too."""
    return role not in (None, "pin.other") and bool(ROLES[role].parts & kinds_of(kind.head))


def _stated_axis(readings: tuple[Reading, ...]) -> str | None:
    """The axis that a section names in a setting (``axis = x``)."""
    for one in readings:
        if one.role == "ref.axis" and one.setting.value.strip().lower() in AXES:
            return one.setting.value.strip().lower()
    return None


def _roles(readings: tuple[Reading, ...]) -> frozenset[str]:
    return frozenset(one.role for one in readings if one.role is not None and one.fits)


class Reader:
    """Reads settings of one tree. What a name and a value say in sections of one kind is worked out once."""

    def __init__(self, judge: Judge, resolves: Resolves) -> None:
        self._judge, self._resolves = judge, resolves
        self._words = judge.words
        self._read: dict[tuple[str, str, str, frozenset[str]], Reading] = {}
        self._of_pins: dict[tuple[str, str, frozenset[str]], Decision] = {}

    def readings(self, section: Section, kind: SectionKind) -> tuple[Reading, ...]:
        """Every setting of a section, taken to be of this kind."""
        if kind.head == "alias":
            return tuple(_alias(setting) for setting in section.settings)
        return tuple(self._reading(setting, kind) for setting in section.settings)

    def _reading(self, setting: Setting, kind: SectionKind) -> Reading:
        stated = stated_role(setting, self._words) if self._words.overrides.roles else None
        if stated is not None:
            return self._carry_out(self._as_stated(stated, setting), setting, kind)
        at = (setting.name, setting.value, kind.head, kind.own)
        known = self._read.get(at)
        if known is not None:
            return known._replace(setting=setting)
        reading = self._read[at] = self._carry_out(self._decide(setting, kind), setting, kind)
        return reading

    def _as_stated(self, stated: str, setting: Setting) -> Decision:
        if stated == NO_ROLE:
            return Decision(None, None, "no role, as cfgaudit.toml states")
        role, _, axis = stated.partition(" ")
        text = setting.value
        fitting = fit(role, text, read_value(text), ROLES[role], self._resolves)
        return Decision(role, axis or None, STATED, fitting is not Fit.NO)

    def _decide(self, setting: Setting, kind: SectionKind) -> Decision:
        """To the words one pin is like any other: what they say of it is decided once."""
        name, text = setting.name, setting.value
        value = read_value(text)
        if not self._is_only_pin(text, value) or kind.head == "macro":
            return self._judge.decide(name, text, value, kind, self._resolves)
        at = (name, kind.head, kind.own)
        if at not in self._of_pins:
            self._of_pins[at] = self._judge.decide(name, text, value, kind, self._resolves)
        return self._of_pins[at]

    def _is_only_pin(self, text: str, value: Value) -> bool:
        """Whether a value is one chip's pin and nothing more, and no part or alias has it for a name."""
        lone = isinstance(value, Text) and first_piece(text) == text
        return lone and is_chip_pin(text) and not self._resolves(text)

    def _carry_out(self, decision: Decision, setting: Setting, kind: SectionKind) -> Reading:
        text = setting.value
        value = read_value(text)
        if decision.role is None:
            return Reading(setting, value, None, decision.axis, decision.why)
        value = _in_unit_of_name(decision.role, value, self._judge.said(setting.name).unit)
        value, ends = range_ends(decision.role, text, value)
        value = _in_unit_of(decision.role, value) if decision.fits else value
        senses = ends or tuple(further_senses(decision.role, text, value, kind, self._judge, self._resolves))
        return Reading(setting, value, decision.role, decision.axis, decision.why, decision.fits, senses)


def _alias(setting: Setting) -> Reading:
    return Reading(setting, read_value(setting.value), None, None, "a name for a pin")


def _in_unit_of_name(role: str, value: Value, unit: str) -> Value:
    """Bare numbers in the unit that the setting's name ends with, if it measures what the role asks for."""
    dimension, (times, by) = unit_meaning(unit)
    if dimension is Dimension.NONE or dimension is not ROLES[role].dimension:
        return value
    if isinstance(value, Items):
        return value._replace(items=tuple(_in_unit_of_name(role, item, unit) for item in value.items))
    if isinstance(value, Number) and not value.unit:
        return value._replace(amount=value.amount * times / by, unit=unit, dimension=dimension)
    return value


def _in_unit_of(role: str, value: Value) -> Value:
    """A number whose letter has two uses in the trade, in the unit that its role asks for."""
    wanted = ROLES[role].dimension
    if not isinstance(value, Number) or value.dimension in (wanted, Dimension.NONE):
        return value
    amount = amount_as(value, wanted)
    return value if amount is None else value._replace(amount=amount, dimension=wanted)


def _parts(kind: SectionKind, readings: tuple[Reading, ...], words: Words) -> Iterator[PartName]:
    """The head, then every further part that the section's roles show.

    An extruder is whatever its roles show: a motor, a heater, both, or only what binds these together.
    """
    roles = _roles(readings)
    further = [part for part, signs in words.signatures.get(kind.head, {}).items() if roles & signs]
    if kind.head == EXTRUDER:
        further = further or ["other"]
    elif kind.head:
        further = [kind.head, *(part for part in further if part != kind.head)]
    for part in further:
        yield PartName(part, kind.name)
