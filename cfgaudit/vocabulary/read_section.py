"""A section to its reading: its parts, and what its settings say together."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.value import Opaque
from cfgaudit.tree.config_tree import Section
from cfgaudit.vocabulary.catalogue import AXES, ROLES
from cfgaudit.vocabulary.reader import Reader
from cfgaudit.vocabulary.reading import PartName, Reading, SectionReading
from cfgaudit.vocabulary.sections import EXTRUDER, OTHER, SectionKind
from cfgaudit.vocabulary.shapes import first_piece
from cfgaudit.vocabulary.stated import STATED
from cfgaudit.vocabulary.words import Words

SENSING = frozenset({"pin.sensor", "ref.sensor"})


def read_section(section: Section, kind: SectionKind, words: Words, reader: Reader) -> SectionReading:
    """What a section of this kind describes."""
    readings = _with_principal_pin(kind, reader.readings(section, kind), words)
    parts = tuple(_stated_parts(kind, readings, words) if kind.fixed else _parts(kind, readings, words))
    readings = _possible(parts, readings)
    return SectionReading(section, parts, _stated_axis(readings) or kind.axis, readings, kind.why)


def _possible(parts: tuple[PartName, ...], readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """The readings without the roles that no part of the section can have; what a builder states stays."""
    kinds = frozenset(part.kind for part in parts) or frozenset({OTHER})
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


def _stated_axis(readings: tuple[Reading, ...]) -> str | None:
    """The axis that a section names in a setting (``axis = x``)."""
    for one in readings:
        if one.role == "ref.axis" and one.setting.value.strip().lower() in AXES:
            return one.setting.value.strip().lower()
    return None


def _roles(readings: tuple[Reading, ...]) -> frozenset[str]:
    return frozenset(one.role for one in readings if one.role is not None and one.fits)


def _parts(kind: SectionKind, readings: tuple[Reading, ...], words: Words) -> Iterator[PartName]:
    """The head, then every further part that the section's roles show.

    An extruder is whatever its roles show: a motor, a heater, both, or only what binds these together.
    """
    further = _further(kind, readings, words)
    if kind.head == EXTRUDER:
        further = further or [OTHER]
    elif kind.head:
        further = [kind.head, *(part for part in further if part != kind.head)]
    for part in further:
        yield PartName(part, kind.name)


def _stated_parts(kind: SectionKind, readings: tuple[Reading, ...], words: Words) -> Iterator[PartName]:
    """What is stated, then every further part that the section's roles show beside it, as with a name."""
    yield from kind.fixed
    known = {part.kind for part in kind.fixed}
    for part in _further(kind, readings, words):
        if part not in known:
            yield PartName(part, kind.name)


def _further(kind: SectionKind, readings: tuple[Reading, ...], words: Words) -> list[str]:
    roles = _roles(readings)
    return [part for part, signs in words.signatures.get(kind.head, {}).items() if roles & signs]
