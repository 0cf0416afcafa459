"""Reading many versions of a file: what stands below a header is read once, however many versions have it.

A line that begins with a header in the first column ends every value above it, so the text below it reads the
same whatever stands before; but for the file's dialect, which is told by all of its pieces together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.syntax.comment_marks import MARKS, Evidence, inlines, marks_told, openings, together
from cfgaudit.syntax.dialect import Traits, separator_told, separators
from cfgaudit.syntax.document import Node
from cfgaudit.syntax.fold import Fold, Style, last_of_value
from cfgaudit.syntax.lines import SILENT, Line, scan, with_marks
from cfgaudit.syntax.machine_block import PREFIXED_HEADER
from cfgaudit.syntax.parse import Stretch, joined_lines

BRACKET = "\n["
NONE = Evidence()
Told = tuple[Evidence, ...]
"""What a piece tells of each comment mark; empty where it tells of none."""
Spelling = tuple[tuple[str, ...], str]
"""Comment marks and separator."""


@dataclass(slots=True, eq=False)
class Piece:
    """A header in the first column and the text below it; or what stands before the first one."""

    text: str
    lines: Sequence[Line]
    told: Told
    tallies: dict[tuple[str, ...], Counter[str]] = field(default_factory=dict)

    def tally(self, marks: tuple[str, ...]) -> Counter[str]:
        """The separators of its entries."""
        if marks not in self.tallies:
            self.tallies[marks] = separators(self.text, self.lines, marks)
        return self.tallies[marks]

    def groups(self, marks: tuple[str, ...]) -> Iterator[list[Line]]:
        """The lines, those that make one entry together; without what is silent between the others."""
        lines, at = with_marks(self.text, list(self.lines), marks), 0
        while at < len(lines):
            last = at
            if lines[at].kind == "ENTRY" and not lines[at].joined:
                last = last_of_value(lines, at)
            if lines[at].kind not in SILENT:
                yield lines[at : last + 1]
            at = last + 1

    def nodes(self, spelling: Spelling, traits: Traits) -> Sequence[Node]:
        """What it reads as in a file that is spelled so; offsets are its own."""
        marks, separator = spelling
        fold = Fold(self.text)
        fold.add(with_marks(self.text, list(self.lines), marks), Style(marks, separator, traits.includes))
        return fold.nodes


class Cut(NamedTuple):
    """A file in pieces, and how all of them together say that it is spelled."""

    pieces: tuple[Piece, ...]
    spelling: Spelling

    @property
    def text(self) -> str:
        """The whole file."""
        return "".join([one.text for one in self.pieces])


class PieceReader:
    """Cuts texts into pieces. Equal pieces are one object."""

    def __init__(self, traits: Traits) -> None:
        self._traits = traits
        self._pieces: dict[str, Piece | None] = {}
        self._whole: dict[str, Piece] = {}
        """Pieces by their texts where these have no bracket in the first column but their own."""
        self._marks: dict[tuple[Told, ...], tuple[str, ...]] = {}
        """Comment marks, by what all pieces that tell of any say."""
        self._opening: dict[str, bool] = {}
        self._kinds: dict[str, str] = {}
        self._scanned: dict[str, list[Line]] = {}
        """Lines of texts that no piece has been made of yet."""

    def read(self, text: str) -> Cut | None:
        """The pieces of a file; None for one that is to be read as a whole."""
        if self._traits.machine_prefix or any(mark[:1] == "[" for mark in self._traits.comments or ()):
            return None
        parts = list(_parts(text))
        pieces = list(map(self._whole.get, parts))
        if None in pieces:  # nearly always one, the stretch that a version changed
            known = zip(pieces, parts, strict=True)
            pieces = [self._whole_piece(part) if one is None else one for one, part in known]
        if None in pieces:
            pieces = [self._piece(one) for one in self._joined(parts)]
        found = [one for one in pieces if one is not None]
        return Cut(tuple(found), self._spelling(found)) if len(found) == len(pieces) else None

    def _whole_piece(self, text: str) -> Piece | None:
        """The piece that a part of a text is; None where it may belong to the part above."""
        if text[0] == "[" and not self._opens(text):
            return None
        found = self._piece(text)
        if found is not None:
            self._whole[text] = found
        return found

    def _joined(self, parts: Iterable[str]) -> Iterator[str]:
        """The pieces' texts; what begins with a bracket and is no header belongs to the piece above."""
        held = ""
        for one in parts:
            if held and self._opens(one):
                yield held
                held = one
            else:
                held += one
        if held:
            yield held

    def _opens(self, text: str) -> bool:
        """Whether a text begins with a header."""
        if text not in self._opening:
            self._scanned[text] = lines = self._lines(text)
            self._opening[text] = lines[0].kind == "HEADER"
        return self._opening[text]

    def _lines(self, text: str) -> list[Line]:
        """As `scan`, which tells each line by itself: one that was met before needs no lexer."""
        if "\ufeff" in text:
            return scan(text)
        lines, start = [], 0
        for one in text.split("\n"):
            end = min(start + len(one) + 1, len(text))
            if start < end:
                whole = text[start:end]
                if whole not in self._kinds:
                    self._kinds[whole] = scan(whole)[0].kind
                lines.append(Line(self._kinds[whole], start, end))
            start = end
        return lines

    def _piece(self, text: str) -> Piece | None:
        """One piece; None where a machine may have written some of it."""
        if text not in self._pieces:
            self._pieces[text] = self._made(text)
        return self._pieces[text]

    def _made(self, text: str) -> Piece | None:
        lines = self._scanned.pop(text, None) or self._lines(text)
        notes = (line for line in lines if line.kind == "NOTE")
        by_machine = any(PREFIXED_HEADER.match(text, line.start, line.end) for line in notes)
        if by_machine and self._traits.machine_prefix is None:
            return None
        joined = joined_lines(text, Stretch("hand", lines), self._traits).lines
        told = tuple(together([openings(text, joined, mark), inlines(text, joined, mark)]) for mark in MARKS)
        return Piece(text, joined, told if any(one != NONE for one in told) else ())

    def _spelling(self, pieces: Sequence[Piece]) -> Spelling:
        given, separator = self._traits.comments, self._traits.separator
        marks = given if given is not None else self._marks_of(pieces)
        return marks, separator if separator is not None else _separator(
            [one.tallies.get(marks) or one.tally(marks) for one in pieces]
        )

    def _marks_of(self, pieces: Sequence[Piece]) -> tuple[str, ...]:
        told = tuple([one.told for one in pieces if one.told])
        if told not in self._marks:
            self._marks[told] = _marks(told)
        return self._marks[told]


def _parts(text: str) -> Iterator[str]:
    """A text cut before every bracket in the first column."""
    first, *rest = text.split(BRACKET)
    if not rest:
        yield from [text] if text else []
        return
    yield f"{first}\n"
    for one in rest[:-1]:
        yield f"[{one}\n"
    yield f"[{rest[-1]}"


def _marks(told: Sequence[Told]) -> tuple[str, ...]:
    counts = zip(MARKS, zip(*told, strict=True), strict=True) if told else ()
    return marks_told({**dict.fromkeys(MARKS, NONE), **{mark: together(said) for mark, said in counts}})[0]


def _separator(tallies: Sequence[Counter[str]]) -> str:
    met = set[str]().union(*tallies)
    if len(met) == 1:  # nearly always, and quicker than a sum
        return separator_told(Counter(met))[0]
    total = Counter[str]()
    for tally in tallies:
        total.update(tally)
    return separator_told(total)[0]
