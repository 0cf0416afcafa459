"""Placeholders of template languages in a macro body: where they stand, and whether they balance."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from cfgaudit.syntax.grammars import load_parser

if TYPE_CHECKING:
    from lark import Token

HELD = "\ufffc"
"""Stands for every character of a placeholder, so that columns stay: OBJECT REPLACEMENT CHARACTER."""


class Mark(NamedTuple):
    """A placeholder: offsets in the body, the end excluded. One that does not balance is its mark alone."""

    start: int
    end: int
    balanced: bool


def find_placeholders(body: str) -> tuple[Mark, ...]:
    """The outermost placeholders of a body in order, and every mark that nothing closes or opened."""
    if not any(mark in body for mark in ("{", "}", "%(", "<%")):
        return ()
    marks: list[Mark] = _parser()(body)
    return tuple(sorted(marks))


def mask_placeholders(body: str, marks: Iterable[Mark]) -> str:
    """The body with `HELD` for every character of a placeholder; line ends stay.

    After a mark that does not balance, the rest of its line is held as well.
    """
    pieces, done = [], 0
    for mark in marks:
        end = mark.end if mark.balanced else _line_end(body, mark.start)
        start = max(mark.start, done)
        if end > start:
            held = "".join(one if one == "\n" else HELD for one in body[start:end])
            pieces += [body[done:start], held]
            done = end
    return "".join([*pieces, body[done:]])


def _line_end(body: str, start: int) -> int:
    end = body.find("\n", start)
    return len(body) if end < 0 else end


@cache
def _parser() -> Callable[[str], Any]:
    return load_parser("placeholder", callbacks=_Callbacks())


class _Callbacks:
    """One method a rule of the grammar, called as the parser reduces."""

    def held(self, parts: list[Any]) -> Mark:
        last: Token = parts[-1]
        return Mark(_start(parts[0]), _start(last) + len(last), True)

    nested = held

    def unclosed(self, parts: list[Any]) -> list[Mark]:
        """The opening mark itself, and the whole placeholders after it.

        The innermost comes first, so that each adds to the list of the one within.
        """
        marks: list[Mark] = parts.pop() if isinstance(parts[-1], list) else []
        marks += _marks(parts)
        return marks

    def start(self, parts: list[Any]) -> list[Mark]:
        return self.unclosed(parts) if parts else []


def _start(token: Token) -> int:
    return token.start_pos or 0


def _marks(parts: Iterable[Mark | Token]) -> Iterator[Mark]:
    """Whole placeholders as they are, tokens as marks of their own."""
    for part in parts:
        if isinstance(part, Mark):
            yield part
        else:
            yield Mark(_start(part), _start(part) + len(part), part.type == "CLOSED")
