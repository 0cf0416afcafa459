"""Text of a macro body to its lines, with ``grammar/gcode.lark``."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import accumulate
from math import isfinite
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from cfgaudit.syntax.gcode import CallText, Fault, FaultKind, Line, Word
from cfgaudit.syntax.grammars import load_parser
from cfgaudit.syntax.placeholders import Mark, find_placeholders, mask_placeholders

if TYPE_CHECKING:
    from lark import Token

BODIES = 1024
LINES = 8192
"""Distinct bodies and lines kept: more than a large machine has."""

FAULTS: dict[str, FaultKind] = {
    "BAD": "number",
    "FLAG": "missing",
    "JUNK": "junk",
    "OPEN_COMMENT": "comment",
}
"""Terminals that break the format of a move."""

ANYWHERE = frozenset({"BAD", "OPEN_COMMENT"})
"""Those that break any other G line as well."""

UNSURE = frozenset({"FLAG", "JUNK"})
"""Those that a placeholder elsewhere on the line may account for."""

TEXTUAL = frozenset({"BAD", "JUNK", "OPEN_COMMENT"})
"""Those that show a text where one may stand."""

SPOKEN_LETTERS = frozenset("EFPSXYZ")
"""Letters whose malformed number is a fault after M and T too, where a text like ``v1.2.3`` may stand."""

NUMBERED = frozenset({"MOTION", "GENERAL", "OTHER", "NUMBERED", "WORD"})
HELD = frozenset({"HELD", "HELD_WORD", "HELD_CODE"})
NAMES = frozenset({"NAME", "GLUED"})
COMMENTS = frozenset({"COMMENT", "TAIL"})
SILENT = COMMENTS | {"PROGRAM", "CHECKSUM"}


class Shape(NamedTuple):
    """A line as its rule of the grammar sees it. ``tokens`` of an opaque line are its comments."""

    tokens: Sequence[Token]
    kind: Literal["words", "call", "opaque"] = "words"
    fault: Fault | None = None


@lru_cache(maxsize=BODIES)
def read_macro(body: str) -> tuple[Line, ...]:
    """The lines of a body, empty ones included, so that line *n* is the *n*th. Never fails.

    A fault is reported where it is sure: a malformed number after G, M or T, and whatever breaks the
    word format on a line with G0 to G4. Lines in a language that we do not know are opaque.
    """
    marks = find_placeholders(body)
    masked = mask_placeholders(body, marks) if marks else body
    pairs = zip(body.split("\n"), masked.split("\n"), strict=True)
    lines = [_read_line(number, text, mask) for number, (text, mask) in enumerate(pairs, start=1)]
    for number, fault in _unbalanced(lines, marks):
        lines[number - 1] = Line(number, lines[number - 1].text, opaque=True, fault=fault)
    return tuple(lines)


def _unbalanced(lines: Sequence[Line], marks: Sequence[Mark]) -> Iterator[tuple[int, Fault]]:
    """Line and fault of every placeholder that does not balance, the last one first."""
    loose = [mark for mark in marks if not mark.balanced]
    if loose:
        starts = list(accumulate((len(line.text) + 1 for line in lines), initial=0))
        for mark in reversed(loose):
            number = bisect_right(starts, mark.start)
            column = mark.start - starts[number - 1] + 1
            piece = lines[number - 1].text[column - 1 : column - 1 + mark.end - mark.start]
            yield number, Fault("unbalanced", column, piece)


def _read_line(number: int, text: str, mask: str) -> Line:
    """``mask`` is the line with its placeholders masked."""
    if not mask or mask.isspace():
        return Line(number, text)
    shape = _shape(mask)
    pieces = [(token.type, _piece(token, text), _column(token)) for token in shape.tokens]
    return Line(
        number,
        text,
        words=tuple(_words(pieces)) if shape.kind == "words" else (),
        call=_call(pieces) if shape.kind == "call" else None,
        comments=tuple(_comment(kind, piece) for kind, piece, _ in pieces if kind in COMMENTS),
        opaque=shape.kind == "opaque",
        fault=shape.fault,
    )


Piece = tuple[str, str, int]
"""Terminal, text without the blanks after it, 1-based column."""


def _column(token: Token) -> int:
    return (token.start_pos or 0) + 1


def _piece(token: Token, text: str) -> str:
    start = token.start_pos or 0
    return text[start : start + len(token)].strip()


def _comment(kind: str, text: str) -> str:
    return (text[1:-1] if kind == "COMMENT" else text.lstrip(";")).strip()


def _words(pieces: Sequence[Piece]) -> Iterator[Word]:
    for kind, text, column in pieces:
        if kind in NUMBERED:
            number = float("".join(text[1:].split()))
            yield Word(text[0].upper(), number if isfinite(number) else None, text, False, column)
        elif kind == "FLAG":
            yield Word(text[0].upper(), None, text, False, column)
        elif kind in HELD:
            yield Word(text[0].upper() if kind != "HELD" else "", None, text, True, column)


def _call(pieces: Sequence[Piece]) -> CallText:
    """The call of the one name among the pieces, with what follows the name as its arguments."""
    at = next(index for index, (kind, _, _) in enumerate(pieces) if kind in NAMES)
    _, name, column = pieces[at]
    following = [(kind, text) for kind, text, _ in pieces[at + 1 :] if kind not in SILENT]
    return CallText(name, tuple(_argument(kind, text) for kind, text in following), column)


def _argument(kind: str, text: str) -> tuple[str, str]:
    if kind == "PAIR":
        key, _, value = text.partition("=")
        return key.rstrip(), _unquoted(value.lstrip())
    if kind in ("WORD", "HELD_WORD", "FLAG"):
        return text[0].upper(), text[1:].lstrip()
    return "", _unquoted(text)


def _unquoted(text: str) -> str:
    return text[1:-1] if len(text) > 1 and text[0] == text[-1] and text[0] in "\"'" else text


@lru_cache(maxsize=LINES)
def _shape(mask: str) -> Shape:
    shape: Shape = _parser()(mask)
    return shape


@cache
def _parser() -> Callable[[str], Any]:
    return load_parser("gcode", callbacks=_Callbacks())


def _fault(kind: FaultKind, token: Token) -> Fault:
    return Fault(kind, _column(token), str(token).rstrip())


class _Callbacks:
    """One method a rule of the grammar, called as the parser reduces."""

    def start(self, parts: list[Shape | Token]) -> Shape:
        """The line's sentence, with the comments and the line number before it."""
        before = [part for part in parts if not isinstance(part, Shape)]
        sentence = parts[-1] if parts and isinstance(parts[-1], Shape) else Shape(())
        return sentence._replace(tokens=[*before, *sentence.tokens])

    def opaque(self, tokens: list[Token]) -> Shape:
        return Shape((), "opaque")

    def malformed(self, tokens: list[Token]) -> Shape:
        return Shape((), "opaque", _fault("number", tokens[0]))

    def coded(self, tokens: list[Token]) -> Shape:
        """A line that begins with G: strict as soon as it moves."""
        kinds = {token.type for token in tokens}
        breaking = frozenset(FAULTS) if "MOTION" in kinds else ANYWHERE
        if kinds & HELD:
            breaking -= UNSURE
        first = next((token for token in tokens if token.type in breaking), None)
        return Shape(tokens, "words", _fault(FAULTS[first.type], first) if first is not None else None)

    def spoken(self, tokens: list[Token]) -> Shape:
        """A line that begins with M or T: with anything that is no word it is the command and a text."""
        bad = next((token for token in tokens if token.type in TEXTUAL), None)
        if bad is None:
            return Shape(tokens)
        if bad.type == "BAD" and bad[0].upper() in SPOKEN_LETTERS:
            return Shape(tokens, "words", _fault("number", bad))
        return Shape(tokens[:1])

    def words(self, tokens: list[Token]) -> Shape:
        """A line that begins with another letter: words only if all of it is words."""
        if any(token.type in FAULTS for token in tokens):
            return Shape((), "opaque")
        return Shape(tokens)

    def call(self, tokens: list[Token]) -> Shape:
        """A call if what follows the name reads as arguments, else prose."""
        if any(token.type == "JUNK" for token in tokens):
            return Shape((), "opaque")
        return Shape(tokens, "call", _fault("glued", tokens[0]) if tokens[0].type == "GLUED" else None)
