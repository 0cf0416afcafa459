"""The machine: all parts, their settings by role, and the references between them, resolved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.machine.index import MachineIndex
from cfgaudit.machine.pieces import Piece
from cfgaudit.machine.places import place_of_piece
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.gcode import Line
from cfgaudit.syntax.pin import Pin
from cfgaudit.syntax.value import Number, Value
from cfgaudit.tree.config_tree import Section, Setting
from cfgaudit.vocabulary.reading import TreeReading

if TYPE_CHECKING:
    from cfgaudit.machine.board_chips import BoardChip


class Meaning(NamedTuple):
    """One setting, or one piece of its value, in trade terms."""

    role: str
    axis: str | None
    """The axis that the setting's own name gives, else the one of its section."""
    value: Value
    text: str
    """The value, or the piece of it, as written."""
    setting: Setting
    start: int | None = 0
    """Offset of ``text`` in the setting's value; None where it does not stand there as it is."""
    fits: bool = True
    """False where the value's shape or unit contradicts the role; rules about numbers then stay silent."""

    @property
    def place(self) -> Place:
        if self.start is None or len(self.text) == len(self.setting.value):
            return self.setting.place
        return place_of_piece(self.setting, self.start, self.start + len(self.text))

    @property
    def amount(self) -> float | None:
        """The number in its base unit; None where it is no single number or does not fit."""
        return self.value.amount if self.fits and isinstance(self.value, Number) else None


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One thing of the machine. Two parts of one section (an extruder: motor and heater) share its settings:
    each holds the meanings that its kind can have."""

    kind: str
    name: str
    """The label, as written: ``bed``, ``chamber-air``; empty where the section has none."""
    axis: str | None
    section: Section
    meanings: tuple[Meaning, ...]
    unknown: tuple[Setting, ...]
    """Settings of the section whose role is unknown: where these are, absence proves nothing."""
    stated: bool = False
    """Whether ``cfgaudit.toml`` says what the section is."""

    by_role: Mapping[str, Sequence[Meaning]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        table: dict[str, list[Meaning]] = {}
        for meaning in self.meanings:
            table.setdefault(meaning.role, []).append(meaning)
        object.__setattr__(self, "by_role", table)

    def get(self, role: str, axis: str | None = None) -> Meaning | None:
        """The first meaning with this role (and, if given, this axis)."""
        for meaning in self._having(role):
            if axis is None or meaning.axis == axis:
                return meaning
        return None

    def all(self, role: str, axis: str | None = None) -> Iterator[Meaning]:
        """Every meaning with this role; ``role`` may be a prefix that ends in a dot (``pin.``)."""
        found = self._having(role)
        return iter(found if axis is None else [one for one in found if one.axis == axis])

    def _having(self, role: str) -> Sequence[Meaning]:
        if role.endswith("."):
            return [one for one in self.meanings if one.role.startswith(role)]
        return self.by_role.get(role, ())

    @property
    def place(self) -> Place | None:
        return self.section.place

    @property
    def title(self) -> str:
        """For messages: ``heater bed``; ``axis x``; ``mesh``; of a part of kind ``other`` its section."""
        return self.section.name if self.kind == "other" else f"{self.kind} {self.name}".strip()

    @property
    def callings(self) -> tuple[str, ...]:
        """The texts whose words say what the part is: the label that is stated, then its section's name."""
        taught = self.stated and self.name not in ("", self.section.name)
        return (self.name, self.section.name) if taught else (self.section.name,)


STAND_INS: Mapping[str, tuple[str, ...]] = {
    "heater": ("sensor",),
    "sensor": ("heater",),
    "motor": ("axis", "driver"),
    "axis": ("motor", "driver", "endstop", "motion"),
    "fan": ("output",),
}
"""By the kind that a role asks for: the kinds that may stand in for it."""


@dataclass(frozen=True, slots=True, eq=False)
class Reference:
    """One part names another. ``target`` is None where nothing has the name.

    ``sure`` is False where the text may be something else than a name (a model, a type): a rule then
    stays silent. ``implied`` marks a link by equal names that no setting states (guard ``bed``, heater
    ``bed``); it has no meaning.
    """

    origin: Part
    kind: str
    """The part kind that the role asks for: ``heater`` for ``ref.heater``."""
    text: str
    target: Part | None
    meaning: Meaning | None
    sure: bool = True
    implied: bool = False
    nearest: str | None = None
    """Where there is no target: the nearest existing name."""

    @property
    def suits(self) -> bool:
        """Whether the target is, or may play, what the role asks for; True where there is no target.

        A heater plays a sensor (it carries its own), a sensor what a fan runs with, an axis section its
        motor; of a part whose kind nobody knows (``other``) nothing can be said against it.
        """
        return self.target is None or self.target.kind in {self.kind, "other", *STAND_INS.get(self.kind, ())}


@dataclass(frozen=True, slots=True, eq=False)
class PinUse:
    """One use of one pin. ``board`` is the folded name of the board, ``""`` for the only or first one."""

    board: str
    pin: Pin
    """As written at this use."""
    key: str
    """The chip's pin after following aliases, folded; else the alias or name, folded."""
    part: Part | None
    meaning: Meaning
    piece: Piece | None = None
    """The piece of the setting's value that names the pin; None where that is the meaning's whole text."""
    virtual: Part | None = None
    """The part that offers the pin where it is no board's (a probe as Z switch)."""
    via: Alias | None = None
    """The alias that it was reached through."""
    known_board: bool = True
    """False where the board's name is nobody's."""

    @property
    def certain(self) -> bool:
        """Whether it is a pin at all: a name that is no alias, and has no board before it, may be none."""
        named = self.pin.on_chip or self.via is not None or self.pin.board is not None
        return named and self.virtual is None

    @property
    def place(self) -> Place:
        if self.piece is None:
            return self.meaning.place
        return place_of_piece(self.meaning.setting, self.piece.start, self.piece.end)


@dataclass(frozen=True, slots=True, eq=False)
class Alias:
    """``NAME = PIN`` in an alias section."""

    name: str
    key: str
    board: str
    pin: Pin
    place: Place
    section: Section


@dataclass(frozen=True, slots=True, eq=False)
class Call:
    """A macro body's call of a named macro or of a command that the firmware knows."""

    name: str
    arguments: tuple[tuple[str, str], ...]
    place: Place
    target: Macro | None = field(default=None)


@dataclass(frozen=True, slots=True, eq=False)
class Macro:
    """A named macro. ``lines`` are the body's lines as ``cfgaudit.syntax.gcode`` reads them.

    ``name`` is empty for a body that a part of another kind holds (what a filament watch runs): nothing
    can call it.
    """

    name: str
    part: Part
    body: Meaning | None
    lines: tuple[Line, ...] = ()
    calls: tuple[Call, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Machine:
    """All of it. Parts stand in the order of their sections."""

    reading: TreeReading
    parts: tuple[Part, ...]
    references: tuple[Reference, ...]
    aliases: tuple[Alias, ...]
    pins: Mapping[str, Mapping[str, tuple[PinUse, ...]]]
    """Board to pin to its users; aliases themselves are no uses."""
    macros: tuple[Macro, ...]
    chips: Mapping[str, BoardChip] = field(default_factory=dict)
    """The chip of every board of which anything names it, by the board's key in ``pins``."""
    index: MachineIndex = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "index", MachineIndex(self.parts, self.references))

    def kind(self, *kinds: str) -> Iterator[Part]:
        """Every part of one of these kinds, in the order of the sections."""
        return iter(self.index.of_kinds(kinds))

    def mates(self, part: Part) -> Iterator[Part]:
        """The other parts that the same section describes."""
        return (other for other in self.index.by_section[id(part.section)] if other is not part)

    def from_part(self, part: Part, kind: str | None = None) -> Iterator[Reference]:
        """The references that a part makes (those of its section's other parts included)."""
        for one in self.index.made_by_section.get(id(part.section), ()):
            if kind in (None, one.kind):
                yield one

    def to_part(self, part: Part, *kinds: str) -> Iterator[Part]:
        """The parts, of these kinds if any are named, that refer to a part.

        A section that describes several parts refers as each of them, so a kind finds the mate of that kind.
        """
        for one in self.index.made_to_part.get(part, ()):
            if not kinds or one.origin.kind in kinds:
                yield one.origin
            else:
                yield from (mate for mate in self.mates(one.origin) if mate.kind in kinds)

    def partners(self, part: Part, kind: str) -> tuple[Part, ...]:
        """Every part of a kind that goes with a part: a mate of its section, or linked by a reference."""
        mates = (mate for mate in self.mates(part) if mate.kind == kind)
        named = (one.target for one in self.from_part(part) if one.target and one.target.kind == kind)
        return tuple(dict.fromkeys([*mates, *named, *self.to_part(part, kind)]))

    def axes(self) -> tuple[Axis, ...]:
        """Every axis that a moving part or one of its settings names, in the order x, y, z, then the rest."""
        order = "xyzabcuvwe"
        letters = sorted(self.index.letters, key=lambda one: (order.find(one), one))
        return tuple(Axis(letter, self) for letter in letters)

    def axis(self, letter: str) -> Axis:
        return Axis(letter, self)


MACHINE_WIDE = frozenset({"speed.max", "accel.max", "speed.corner", "kinematics"})
"""Roles of the motion part that count for every axis that states none of its own."""


@dataclass(frozen=True, slots=True)
class Axis:
    """A view over all parts that have to do with one axis, wherever they are written.

    A part belongs to the axis that its section's name gives, or that a reference between it and an axis
    gives (``[motor left]`` with ``moves = z``; ``[axis z]`` with ``motors = left, right``).
    """

    letter: str
    machine: Machine = field(repr=False)

    def parts(self, *kinds: str) -> tuple[Part, ...]:
        """The parts that belong to the axis."""
        members = self.machine.index.by_axis.get(self.letter, ())
        return tuple(part for part in members if not kinds or part.kind in kinds)

    def own(self, role: str) -> Meaning | None:
        """What is written for this axis: in its own sections, or elsewhere with the axis in the name."""
        return self.machine.index.written.get((role, self.letter))

    def find(self, role: str) -> Meaning | None:
        """`own`, else the machine-wide limit where the role has one."""
        own = self.own(role)
        if own is not None or role not in MACHINE_WIDE or self.letter == "e":
            return own
        for part in self.machine.kind("motion"):
            for meaning in part.all(role):
                if meaning.axis is None:
                    return meaning
        return None

    def amount(self, role: str) -> float | None:
        """The number of `find`, in its base unit."""
        meaning = self.find(role)
        return meaning.amount if meaning is not None else None
