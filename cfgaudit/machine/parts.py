"""Parts with their meanings, from the sections whose words are understood."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.machine.model import Meaning, Part
from cfgaudit.machine.pieces import Piece, split_pieces
from cfgaudit.machine.places import find_piece
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Items
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.reading import PartName, Reading, SectionReading, Sense, TreeReading
from cfgaudit.vocabulary.stated import STATED


def build_parts(reading: TreeReading) -> tuple[Part, ...]:
    """Every part of every section, in order.

    A section that names no part becomes one part of kind ``other``, so that its pins have a user and a
    reference to it is none to nothing. The settings before any header do so only where they mean something.
    """
    return tuple(part for section in reading.sections for part in _parts_of(section))


def distinct_meanings(parts: Iterable[Part]) -> Iterator[tuple[Part, Meaning]]:
    """Every meaning once, with the first part that holds it: parts of one section share theirs."""
    seen: set[int] = set()
    for part in parts:
        for meaning in part.meanings:
            if id(meaning) not in seen:
                seen.add(id(meaning))
                yield part, meaning


def _parts_of(section: SectionReading) -> Iterator[Part]:
    meanings = tuple(one for reading in section.readings for one in _meanings_of(reading, section.axis))
    unknown = tuple(one.setting for one in section.readings if one.role is None and not one.senses)
    names = section.parts
    if not names:
        if not (section.section.name or meanings):
            return
        names = (PartName("other", section.section.name),)
    for name in names:
        own = meanings if len(names) == 1 else tuple(one for one in meanings if _belongs(one, name, names))
        unread = () if name.kind == "alias" else unknown  # an alias section's settings are names for pins
        yield Part(name.kind, name.name, section.axis, section.section, own, unread, section.why == STATED)


def _belongs(meaning: Meaning, name: PartName, names: tuple[PartName, ...]) -> bool:
    """Whether a part of a section of several holds a meaning; what fits no part belongs to the head."""
    spec = ROLES.get(meaning.role)
    if spec is None or not any(one.kind in spec.parts for one in names):
        return name is names[0]
    return name.kind in spec.parts


def _meanings_of(reading: Reading, axis: str | None) -> Iterator[Meaning]:
    """The setting's own meaning, then that of each piece of its value that has one of its own."""
    axis = reading.axis or axis
    pieces = list(_located(reading)) if reading.senses else []
    if reading.role is not None:
        yield _main_meaning(reading, reading.role, axis, pieces)
    for sense, piece in pieces:
        start = piece.start if piece is not None else None
        yield Meaning(sense.role, axis, sense.value, sense.text, reading.setting, start)


def _located(reading: Reading) -> Iterator[tuple[Sense, Piece | None]]:
    """Each sense with its piece of the value; None where its text is not found there."""
    after = 0
    for sense in reading.senses:
        start = find_piece(reading.setting.value, sense.text, after)
        if start is not None:
            after = start + len(sense.text)
        yield sense, None if start is None else Piece(start, sense.text)


def _main_meaning(
    reading: Reading, role: str, axis: str | None, pieces: list[tuple[Sense, Piece | None]]
) -> Meaning:
    """Where senses speak for the other pieces of a value, the setting's own is that of the one left."""
    setting, value = reading.setting, reading.value
    left = _left_over(setting.value, [piece for _, piece in pieces if piece is not None])
    if left is None:
        return Meaning(role, axis, value, setting.value, setting, fits=reading.fits)
    if isinstance(value, Items):
        value = read_value(left.text)
    return Meaning(role, axis, value, left.text, setting, left.start, reading.fits)


def _left_over(value: str, taken: list[Piece]) -> Piece | None:
    if not taken:
        return None
    pieces = list(split_pieces(value))
    left = [one for one in pieces if not any(one.start <= other.start < one.end for other in taken)]
    return left[0] if len(left) == 1 and len(pieces) > 1 else None
