"""Forms in which two spellings of one value are equal, and different values are not.

A form is hashable, so that equal ones are found without comparing each with each.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from math import prod

from cfgaudit.machine.pieces import split_pieces
from cfgaudit.syntax.gcode import Line
from cfgaudit.syntax.pin import Pin
from cfgaudit.syntax.read_macro import read_macro
from cfgaudit.syntax.read_pin import read_pin
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.units import amount_as
from cfgaudit.syntax.value import Boolean, Dimension, Fraction, Items, Number, Opaque, Text, Value
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import ROLES

DIGITS = 15
"""What a double keeps of a decimal number; with more digits the text decides."""
FLAT = frozenset({"comma", "cross", "space"})
"""Between numbers these say the same."""
BODY = "macro.body"
RATIOS = frozenset({"gear.ratio", "steps.micro"})
DIFFERENCES = frozenset({"guard.rise", "guard.band", "sensor.beta"})
"""In kelvin and in degrees Celsius alike; of a temperature itself the two are not the same."""
KELVIN = frozenset({"k", "kelvin"})


@dataclass(frozen=True, slots=True)
class Renames:
    """What the names of one machine are called in the other; all keys and values folded."""

    sections: dict[str, str] = field(default_factory=dict)
    labels: dict[str, str] = field(default_factory=dict)
    """Of renamed sections, where no other section has the label."""
    boards: dict[str, str] = field(default_factory=dict)

    def reflected(self) -> Renames:
        """For the machine that has the new names: each is itself, in any spelling."""
        return Renames(*({new: new for new in table.values()} for table in (self.sections, self.labels)))

    def of(self, name: str) -> str:
        """The folded form of a text after the renames, if it is a name."""
        folded = fold_name(name)
        return self.sections.get(folded) or self.labels.get(folded) or folded

    def knows(self, name: str) -> bool:
        folded = fold_name(name)
        return folded in self.sections or folded in self.labels

    def board(self, name: str) -> str:
        folded = fold_name(name)
        return self.boards.get(folded, folded)


SAME = Renames()


def value_form(value: Value, role: str | None, renames: Renames = SAME) -> Hashable:
    """The form of a parsed value; a bare number is one in the base unit that its role is read in."""
    if role in RATIOS:
        ratio = ratio_of(value, role)
        return _form(value, Dimension.NONE, renames) if ratio is None else ("ratio", rounded(ratio))
    expected = ROLES[role].dimension if role is not None and role in ROLES else Dimension.NONE
    form = _form(value, expected, renames)
    return ("kelvin", form) if role not in DIFFERENCES and _is_kelvin(value) else form


def _is_kelvin(value: Value) -> bool:
    if not isinstance(value, Number) or value.dimension is not Dimension.TEMPERATURE:
        return False
    return value.unit.casefold() in KELVIN


def equal_values(before: str, after: str, role: str | None = None) -> bool:
    """Whether two texts say the same where a setting of this role has them; names of parts aside."""
    if before == after:
        return True
    if role == BODY:
        return body_form(before) == body_form(after)
    if role is not None and role.startswith("pin."):
        return _pins_form(before) == _pins_form(after)
    return value_form(text_value(before), role) == value_form(text_value(after), role)


def ratio_of(value: Value, role: str | None) -> float | None:
    """What a gear's stages or a count of microsteps come to, where role and value say so."""
    match value:
        case Number(amount):
            return amount
        case Fraction(over, under) if role == "steps.micro" and over == 1:
            return under
        case Fraction(over, under) if under and role == "gear.ratio":
            return over / under
        case Items(items, joiner) if joiner == "comma" and role == "gear.ratio":
            stages = [ratio_of(item, role) for item in items]
            return None if None in stages else prod(stage for stage in stages if stage is not None)
    return None


def _pins_form(text: str) -> Hashable:
    return tuple(pin_form(read_pin(piece.text), piece.text) for piece in split_pieces(text))


def pin_form(pin: Pin | None, text: str) -> Hashable:
    """Board, pin, marks and words; of what is no pin its text."""
    if pin is None:
        return value_form(read_value(text), None)
    return (fold_name(pin.board or ""), pin.key, *pin_words(pin))


@lru_cache(maxsize=8192)
def text_value(text: str) -> Value:
    """A text parsed; a list that goes on in the next line after a comma is one list."""
    lines = text.split("\n")
    if len(lines) > 1 and all(line.rstrip().endswith(",") for line in lines[:-1] if line.strip()):
        return read_value(" ".join(line.strip() for line in lines))
    return read_value(text)


def _form(value: Value, expected: Dimension, renames: Renames) -> Hashable:
    match value:
        case Number():
            return number_form(value, expected)
        case Fraction(over, under):
            return ("fraction", over, under)
        case Boolean(truth):
            return ("truth", truth)
        case Items(items, joiner):
            return _items_form(items, joiner, expected, renames)
        case Text(text, quoted):
            return ("quoted" if quoted else "text", _words(text, renames))
        case Opaque(text):
            return ("opaque", " ".join(text.split()))


def _items_form(items: tuple[Value, ...], joiner: str, expected: Dimension, renames: Renames) -> Hashable:
    flat = joiner in FLAT and all(isinstance(item, Number) for item in items)
    kind = "numbers" if flat else joiner
    return (kind, *(_form(item, expected, renames) for item in items))


def _words(text: str, renames: Renames) -> str:
    return renames.of(text) if renames.knows(text) else " ".join(text.split())


def number_form(number: Number, expected: Dimension = Dimension.NONE) -> Hashable:
    """Amount and dimension: of a bare number the expected one, for that is what it is read in."""
    amount = amount_as(number, expected) if expected is not Dimension.NONE else None
    dimension = number.dimension if amount is None else expected
    if sum(letter.isdigit() for letter in number.text.lstrip("0.-+")) > DIGITS:
        return ("number", number.text, dimension)
    counted = number.unit.casefold() if number.unit and dimension is Dimension.NONE else ""
    return ("number", rounded(number.amount if amount is None else amount), dimension, counted)


def rounded(amount: float) -> float:
    """Without what arithmetic with units adds at the end."""
    return float(f"{amount:.{DIGITS}g}") + 0.0  # no negative zero


def pin_words(*pins: Pin) -> tuple[str, tuple[str, ...]]:
    """The marks and words around a pin and the aliases that it was reached through, in no order."""
    marks = sorted(mark for pin in pins for mark in pin.marks)
    return "".join(marks), tuple(sorted(fold_name(word) for pin in pins for word in pin.words))


def body_form(text: str) -> tuple[Hashable, ...]:
    """The lines of a macro's body without comments, blank lines and white space that says nothing."""
    return tuple(form for line in read_macro(text) if (form := line_form(line)) is not None)


def line_form(line: Line, target: str | None = None) -> Hashable | None:
    """One line's form; None if it says nothing. ``target`` is what its call leads to, if that is known."""
    if line.opaque or line.fault is not None:
        return ("opaque", " ".join(line.text.split()))
    if line.call is not None:
        return ("call", target or line.call.name, line.call.arguments, tuple(_word_forms(line)))
    return ("words", tuple(_word_forms(line))) if line.words else None


def _word_forms(line: Line) -> Iterator[str]:
    for word in line.words:
        yield " ".join(word.text.split()) if word.placeholder else word.code
