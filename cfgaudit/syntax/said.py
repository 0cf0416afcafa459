"""What a document says, whatever it looks like: what an edit must change, and must leave."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from cfgaudit.syntax.document import Blank, Comment, Document, Entry, Header, Include, Node, Unreadable

Reading = tuple[str, ...]
"""What a node says, wherever it stands."""
ANY = "\0"
"""In the place of a separator: whichever the file has."""


class Saying(NamedTuple):
    """What a document says from now on instead of its readings ``start`` to ``end`` (excluded)."""

    start: int
    end: int
    readings: tuple[Reading, ...]


def readings(nodes: Iterable[Node]) -> list[Reading]:
    """What the nodes say, comments and blank lines left out."""
    return [said for node in nodes if (said := reading(node))]


def reading(node: Node) -> Reading:
    match node:
        case Header():
            return ("header", node.name, node.author)
        case Entry():
            return entry_reading(node.key, node.value, node.separator, node.author)
        case Include():
            return ("include", node.target, node.form)
        case Unreadable():
            return ("nothing", node.text)
        case _:
            return ()


def entry_reading(key: str, value: str, separator: str, author: str) -> Reading:
    return (f"{key} {separator}", value, author)


def index_of(document: Document, wanted: Node) -> int:
    """Where a node's reading stands among all; raises ValueError if it is none of the document's."""
    said = [node for node in document.nodes if not isinstance(node, Comment | Blank)]
    for index, node in enumerate(said):
        if node is wanted or (node.span == wanted.span and node == wanted):
            return index
    raise ValueError("the setting is none of this document's")


def told(found: Sequence[Reading], sayings: Iterable[Saying]) -> list[Reading]:
    """The readings of a document after every saying; those at one place keep their order.

    What is said within a stretch that goes is said after it.
    """
    pieces: list[Reading] = []
    at = 0
    for saying in sorted(sayings, key=lambda saying: (saying.start, saying.end)):
        pieces += [*found[at : saying.start], *saying.readings]
        at = max(at, saying.end)
    return [*pieces, *found[at:]]


def agrees(found: Sequence[Reading], expected: Sequence[Reading]) -> bool:
    """Whether a document says what is expected of it."""
    if len(found) != len(expected):
        return False
    return all(one == other or _agrees(one, other) for one, other in zip(found, expected, strict=True))


def _agrees(found: Reading, expected: Reading) -> bool:
    if not expected[0].endswith(ANY) or found[1:] != expected[1:]:
        return False
    return found[0][:-1] == expected[0][:-1]


def surplus(found: Sequence[Reading], expected: Sequence[Reading]) -> str:
    """The first thing that is said and not expected; empty where there is none."""
    known = set(expected)
    return next((" ".join(one[:2]) for one in found if one not in known), "")


def shown(text: str) -> str:
    """A text on one line, in quotes."""
    return ascii(text) if not text.isprintable() else f'"{text}"'
