"""Bytes to Document."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from cfgaudit.syntax.dialect import DETECT, Traits, comment_marks, describe, separator_in_use
from cfgaudit.syntax.document import Author, Blank, Document, Node, Span
from cfgaudit.syntax.fold import Fold, Style
from cfgaudit.syntax.lines import Line, join, scan, with_marks
from cfgaudit.syntax.machine_block import Block, find_block, why_none

Parser = Callable[[bytes, str, Traits], Document]
"""From bytes, path and traits to a document: `parse`, or one that remembers what it has parsed."""


class Stretch(NamedTuple):
    """Lines of one author that stand together: no value crosses its borders."""

    author: Author
    lines: list[Line]


def parse(data: bytes, path: str, traits: Traits = DETECT) -> Document:
    """One file's bytes as a document. Never fails, and takes time in proportion to the file's length."""
    return parse_text(data.decode("utf-8", "surrogateescape"), path, traits)


def parse_text(text: str, path: str, traits: Traits = DETECT) -> Document:
    """``parse`` for text that is decoded already."""
    lines = scan(text)
    block = find_block(text, lines, traits)
    clear = block.text if block else text
    stretches = [joined_lines(clear, stretch, traits) for stretch in _stretches(lines, block)]
    hand, machine = _by(stretches, "hand"), _by(stretches, "machine")
    marks = comment_marks(clear, hand, traits)
    separator = separator_in_use(clear, hand, marks[0], traits)
    style = Style(marks[0], separator[0], traits.includes)
    inner = Style(marks[0], separator_in_use(clear, machine, marks[0], DETECT)[0], (), "machine")
    fold = Fold(clear)
    for stretch in stretches:
        if stretch.author == "hand":
            fold.add(with_marks(clear, stretch.lines, marks[0]), style)
        else:
            fold.add(stretch.lines, inner)
    nodes = _from_the_start(fold.nodes, text)
    prefix = (block.prefix, block.reason) if block else (None, why_none(traits))
    dialect = describe(text, nodes, [*hand, *machine], traits, marks, separator, prefix)
    starts = (0, *(line.end for line in lines if text[line.end - 1] == "\n"))
    return Document(path, text, nodes, dialect, starts)


def _stretches(lines: list[Line], block: Block | None) -> Iterator[Stretch]:
    at = 0
    for first, inner in block.runs.items() if block else ():
        yield Stretch("hand", lines[at:first])
        yield Stretch("machine", inner)
        at = first + len(inner)
    yield Stretch("hand", lines[at:])


def joined_lines(text: str, stretch: Stretch, traits: Traits) -> Stretch:
    """Tell which lines continue a value; what reads as nothing in a machine-written block is a note."""
    lines = stretch.lines
    if stretch.author == "machine":
        joined = join(text, lines, traits.ways)
        return Stretch("machine", [_note(line) if line.kind == "OTHER" else line for line in joined])
    if traits.comments is not None:
        lines = with_marks(text, lines, traits.comments)
    return Stretch("hand", list(join(text, lines, traits.ways, entries_join=not traits.indented_entries)))


def _note(line: Line) -> Line:
    return line if line.joined else line._replace(kind="NOTE")


def _by(stretches: Sequence[Stretch], author: Author) -> list[Line]:
    return [line for stretch in stretches if stretch.author == author for line in stretch.lines]


def _from_the_start(nodes: list[Node], text: str) -> tuple[Node, ...]:
    """The nodes, the first of them with the byte-order mark that stands before it."""
    if not nodes and text:
        return (Blank(Span(0, len(text))),)
    if nodes and nodes[0].span.start:
        nodes[0] = nodes[0]._replace(span=Span(0, nodes[0].span.end))
    return tuple(nodes)
