"""What an invented machine consists of, in trade terms, before anybody has found words for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from random import Random


@dataclass(frozen=True, slots=True)
class Quantity:
    """``amount`` in the base unit of the dimension that ``unit`` names: ``mm``, ``mm/s``, ``A`` …"""

    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class PinAt:
    board: str
    name: str


@dataclass(frozen=True, slots=True)
class Named:
    """References to the parts with these places in `Machine.parts`."""

    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Span:
    """A range of two amounts, or points of several numbers."""

    rows: tuple[tuple[float, ...], ...]
    form: str
    """``range``, ``list``, ``cross`` or ``rows``."""
    unit: str = ""


Said = Quantity | PinAt | Named | Span | str


@dataclass(frozen=True, slots=True)
class Want:
    """One setting: its role, what it says, the list its phrase comes from, and the axis in its name."""

    role: str
    says: Said
    place: str = ""
    axis: str = ""


@dataclass(slots=True, eq=False)
class Part:
    """One section. ``word`` and ``label`` name phrase lists; ``kinds`` are the kinds of part it may be."""

    word: str
    label: str
    wants: list[Want] = field(default_factory=list)
    kinds: tuple[str, ...] = ()
    board: str = "main"

    def __post_init__(self) -> None:
        self.kinds = self.kinds or (self.word,)

    def add(self, role: str, says: Said, place: str = "", axis: str = "") -> None:
        self.wants.append(Want(role, says, place, axis))


CHIPS = {
    "STM32F446": (
        [f"PC{n}" for n in range(6)] + [f"PA{n}" for n in range(1, 8)],
        [f"PB{n}" for n in (0, 1, 2, *range(5, 11), 12, 13, 14, 15)]
        + [f"PC{n}" for n in range(6, 13)]
        + [f"PD{n}" for n in range(16)]
        + [f"PE{n}" for n in range(16)],
    ),
    "RP2040": ([f"gpio{n}" for n in range(26, 30)], [f"gpio{n}" for n in range(26)]),
    "LPC1768": (
        ["P0.23", "P0.24", "P0.25", "P0.26", "P1.30", "P1.31"],
        [f"P0.{n}" for n in (*range(2, 12), *range(15, 23))]
        + [f"P1.{n}" for n in (0, 1, 4, 8, 9, 10, *range(14, 30))]
        + [f"P2.{n}" for n in range(13)],
    ),
}
"""Chips with pins that can measure, and further ones; from the makers' pin tables, from memory."""


class Builder:
    """Puts a correct machine together; every pin is used once."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.parts: list[Part] = []
        self.joined = rng.choice(("separate", "motors joined", "all joined"))
        self.has_head_board = rng.random() < 0.5
        self.chips = {"main": rng.choice(("STM32F446", "STM32F446", "LPC1768"))}
        if self.has_head_board:
            self.chips["head"] = rng.choice(("RP2040", "STM32F446"))
        self._free = {
            board: (rng.sample(analog, len(analog)), rng.sample(rest, len(rest)))
            for board, chip in self.chips.items()
            for analog, rest in (CHIPS[chip],)
        }
        self.named_parts: dict[str, Part] = {}

    def pin(self, board: str = "main", *, analog: bool = False) -> PinAt:
        measuring, rest = self._free[board]
        return PinAt(board, (measuring if analog else rest).pop())

    def part(self, word: str, label: str = "", kinds: Sequence[str] = (), board: str = "main") -> Part:
        made = Part(word, label, kinds=tuple(kinds), board=board)
        self.parts.append(made)
        self.named_parts[f"{word} {label}".strip()] = made
        return made

    @property
    def head(self) -> str:
        return "head" if self.has_head_board else "main"

    def maybe(self, share: float = 0.5) -> bool:
        return self.rng.random() < share


def build(rng: Random) -> Builder:
    """A whole machine in a plausible order."""
    from vocabulary.invented_heat import add_heat
    from vocabulary.invented_motion import add_motion
    from vocabulary.invented_rest import add_boards, add_probing, add_rest

    builder = Builder(rng)
    add_boards(builder)
    add_motion(builder)
    add_heat(builder)
    add_probing(builder)
    add_rest(builder)
    return builder


def shuffled(rng: Random, wants: Sequence[Want]) -> Iterator[Want]:
    """A builder's own order of settings: as listed, with one pair of neighbours swapped here and there."""
    order = list(wants)
    for at in range(len(order) - 1):
        if rng.random() < 0.25:
            order[at], order[at + 1] = order[at + 1], order[at]
    yield from order
