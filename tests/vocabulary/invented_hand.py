"""The hand of an invented builder: how names and values are written. One hand writes a whole machine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from vocabulary.invented_parts import PinAt, Quantity, Span

Names = tuple[str, ...]
QUALIFIERS = frozenset("max min maximum minimum highest lowest top upper lower".split())
LARGER = {  # base unit: further units, how many base units each is, and from which amount it is used
    "mm/s": (("mm/min", 1 / 60, 0.0),),
    "Hz": (("kHz", 1000.0, 1000.0),),
    "A": (("mA", 0.001, 0.0),),
    "ohm": (("kohm", 1000.0, 1000.0), ("k", 1000.0, 1000.0)),
    "bit/s": (("kbit/s", 1000.0, 1000.0),),
}


@dataclass(frozen=True, slots=True)
class Hand:
    """``naming``: spaced, snake, kebab, camel or dotted. ``header``: see `header_text`."""

    naming: str
    case: str
    header: str
    separator: str
    comment: str
    units: bool
    unit_gap: str
    celsius: str
    larger: bool
    range_mark: str
    board_mark: str
    """``name.``, ``name:``, ``name/`` before a pin, ``@`` after it, or ``setting``: the section names it."""
    reference: str
    """``label``, ``kind label`` or ``section``."""
    axis_first: bool
    backwards: bool
    """Qualifiers last: ``temperature max``."""
    part_word: float
    """The share of names that begin with the part's own word or label."""


def draw_hand(rng: Random) -> Hand:
    """A manner of writing, as consistent as a careful builder's."""
    naming = rng.choice(("spaced", "snake", "kebab", "camel", "dotted"))
    cases = {
        "spaced": ("lower", "lower", "title"),
        "snake": ("lower", "lower", "upper"),
        "camel": ("", "pascal"),
    }
    return Hand(
        naming=naming,
        case=rng.choice(cases.get(naming, ("lower",))),
        header=rng.choice(("kind label", "label kind", "kind.label", "kind:label", 'kind "label"', "joined")),
        separator=rng.choice((" = ", "=", ": ", " : ")),
        comment=rng.choice("#;"),
        units=rng.random() < 0.6,
        unit_gap=rng.choice((" ", " ", "")),
        celsius=rng.choice(("°C", "C", "degC")),
        larger=rng.random() < 0.3,
        range_mark=rng.choice((" .. ", "..", " to ")),
        board_mark=rng.choice((".", ":", "/", "@", "setting")),
        reference=rng.choice(("label", "kind label", "section")),
        axis_first=rng.random() < 0.6,
        backwards=rng.random() < 0.3,
        part_word=rng.choice((0.0, 0.0, 0.15, 0.4)),
    )


def joined(words: Sequence[str], naming: str, case: str = "lower") -> str:
    """A name from its words, in a naming style."""
    if naming == "camel":
        text = "".join(word[:1].upper() + word[1:] for word in words)
        return text if case == "pascal" else text[:1].lower() + text[1:]
    text = {"spaced": " ", "snake": "_", "kebab": "-", "dotted": "."}[naming].join(words)
    return text.upper() if case == "upper" else text.title() if case == "title" else text


def header_text(hand: Hand, kind: Names, label: Names) -> str:
    """What stands between the brackets."""
    naming = "kebab" if hand.naming == "dotted" else hand.naming
    first, last = (label, kind) if hand.header == "label kind" else (kind, label)
    if hand.header == "joined":
        return joined((*label, *kind), "camel", hand.case)
    if not label:
        return joined(kind, naming, hand.case)
    if hand.header in ("kind label", "label kind"):
        return f"{joined(first, naming, hand.case)} {joined(last, naming, hand.case)}"
    before, mark, after = {"kind.label": ("", ".", ""), "kind:label": ("", ":", "")}.get(
        hand.header, ("", ' "', '"')
    )
    return f"{before}{joined(kind, naming, hand.case)}{mark}{joined(label, naming, hand.case)}{after}"


def quantity_text(hand: Hand, said: Quantity) -> str:
    """A number with its unit, or bare in the base unit."""
    if not hand.units:
        return plain(said.amount)
    if said.unit == "1":
        return f"{plain(said.amount * 100)}{hand.unit_gap}%"
    if said.unit == "s" and said.amount < 1:
        per, unit = (1e6, "us") if said.amount < 0.005 else (1e3, "ms")
        return f"{plain(said.amount * per)}{hand.unit_gap}{unit}"
    unit = hand.celsius if said.unit == "°C" else said.unit
    amount = said.amount
    for larger, size, least in LARGER.get(said.unit, ()):
        if hand.larger and amount >= least:
            amount, unit = amount / size, larger
            break
    return f"{plain(amount)}{hand.unit_gap}{unit}"


def span_text(hand: Hand, said: Span) -> str:
    """A range, a list, or points one a line."""
    unit = f" {hand.celsius if said.unit == '°C' else said.unit}" if hand.units and said.unit else ""
    mark = {"range": hand.range_mark, "cross": " x "}.get(said.form, ", ")
    rows = [mark.join(plain(amount) for amount in row) + unit for row in said.rows]
    return rows[0] if len(rows) == 1 else "\n".join(["", *rows])


def pin_text(hand: Hand, pin: PinAt, boards: dict[str, str]) -> str:
    """A pin with its board, where there are several and no setting names it."""
    if len(boards) == 1 or hand.board_mark == "setting":
        return pin.name
    if hand.board_mark == "@":
        return f"{pin.name}@{boards[pin.board]}"
    return f"{boards[pin.board]}{hand.board_mark}{pin.name}"


def plain(amount: float) -> str:
    """A number without exponent and without needless zeros."""
    return f"{amount:.6f}".rstrip("0").rstrip(".")
