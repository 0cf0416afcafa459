"""Lossless edits: a document with what was asked for changed, and every other byte as it was.

An edit is made against a document as it stands; several are applied at once, and what comes out is read back:
it says what was asked for and, beyond that, what it said before.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.syntax.document import Author, Blank, Comment, Document, Entry, Header, Include, Node
from cfgaudit.syntax.parse import parse_text
from cfgaudit.syntax.patches import Patch, patched, value_patches
from cfgaudit.syntax.said import (
    ANY,
    Saying,
    agrees,
    entry_reading,
    index_of,
    readings,
    shown,
    surplus,
    told,
)
from cfgaudit.syntax.writing import after_mark, blank_line, continuation, layout, newline


class EditError(ValueError):
    """An edit that the file's form cannot carry; the message is one line that names file and line."""


class Edit(NamedTuple):
    """What changes in a document's text, and so in what it says; ``refusal`` begins the error's message."""

    patches: tuple[Patch, ...]
    sayings: tuple[Saying, ...]
    refusal: str


def edited(document: Document, edits: Sequence[Edit], traits: Traits = DETECT) -> Document:
    """The document with every edit of it made. ``traits`` are those that it was parsed with.

    Raises EditError if it would not read back as asked.
    """
    changed = _changed(document, edits, traits)
    found, expected = readings(changed.nodes), _expected(document, edits)
    if agrees(found, expected):
        return changed
    if len(edits) > 1:
        for edit in edits:
            edited(document, [edit], traits)
        raise EditError(f"{document.path}: {len(edits)} edits that go one by one do not go together")
    said = surplus(found, expected)
    raise EditError(f"{edits[0].refusal}: it would read as {shown(said)}" if said else edits[0].refusal)


def replacing(document: Document, entry: Entry, *, value: str | None = None, key: str | None = None) -> Edit:
    """Another value or key, or both, for an entry.

    ``value`` is as in ``Entry.value``: its lines trimmed and joined by line feeds.
    """
    patches = [] if key is None else [Patch(*entry.key_span, key)]
    wanted = entry.key
    if value is not None:
        patches += value_patches(document, entry, value, entries_of(document, entry.author))
        wanted = shown(value)
    if key is not None:
        wanted = shown(key)
    name, said = (entry.key if key is None else key), (entry.value if value is None else value)
    at = index_of(document, entry)
    saying = Saying(at, at + 1, (entry_reading(name, said, entry.separator, entry.author),))
    refusal = f"{_line_of(document, entry)}: {entry.key} cannot become {wanted} here"
    return Edit(tuple(patches), (saying,), refusal)


def removing(document: Document, entry: Entry) -> Edit:
    """No such entry, and nothing that stands within it."""
    at = index_of(document, entry)
    patch = Patch(max(entry.span.start, after_mark(document)), entry.span.end, "")
    refusal = f"{_line_of(document, entry)}: {entry.key} cannot be removed"
    return Edit((patch,), (Saying(at, at + 1, ()),), refusal)


def adding(document: Document, header: Header | None, key: str, value: str) -> Edit:
    """An entry more, the last of a section, laid out as its neighbours are; above all without a header."""
    own = [node for node in members(document, header) if isinstance(node, Entry)]
    author: Author = header.author if header else "hand"
    lines = _lines(document, own, author, key, value)
    separator = layout(document, own, entries_of(document, author)).separator
    return _inserting(document, own[-1] if own else header, lines, (key, value, separator, author))


def putting_back(
    document: Document,
    header: Header | None,
    after: Node | None,
    entry: Entry,
    lines: Sequence[str],
    above: Node | None = None,
) -> Edit:
    """An entry as it once stood, its lines verbatim; behind ``after`` in the section, or above ``above``, or
    the last of it."""
    said = (entry.key, entry.value, ANY, entry.author)
    if above is not None:
        return _inserting_at(document, max(above.span.start, after_mark(document)), lines, said)
    own = [node for node in members(document, header) if isinstance(node, Entry)]
    before = after or (own[-1] if own else header)
    return _inserting(document, before, lines, said)


def entries_of(document: Document, author: Author) -> list[Entry]:
    return [node for node in document.nodes if isinstance(node, Entry) and node.author == author]


def _inserting(
    document: Document, before: Node | None, lines: Sequence[str], said: tuple[str, str, str, str]
) -> Edit:
    """Lines of a new entry behind ``before``, or at the top."""
    return _inserting_at(document, before.span.end if before else _top(document), lines, said)


def _inserting_at(document: Document, at: int, lines: Sequence[str], said: tuple[str, str, str, str]) -> Edit:
    end = newline(document)
    fresh = at == after_mark(document) or document.text[at - 1] == "\n"
    text = end.join([*lines, ""] if fresh else ["", *lines])
    place = said_before(document, at)
    where = f"{document.path}:{document.line_of(at)}"
    refusal = f"{where}: {shown(said[0])} with the value {shown(said[1])} cannot stand here"
    return Edit((Patch(at, at, text),), (Saying(place, place, (entry_reading(*said),)),), refusal)


def _changed(document: Document, edits: Sequence[Edit], traits: Traits) -> Document:
    patches = [patch for edit in edits for patch in edit.patches]
    return parse_text(patched(document.text, patches), document.path, traits)


def _expected(document: Document, edits: Sequence[Edit]) -> list[tuple[str, ...]]:
    return told(readings(document.nodes), [saying for edit in edits for saying in edit.sayings])


def said_before(document: Document, at: int) -> int:
    """How many readings stand before an offset."""
    return len(readings(node for node in document.nodes if node.span.end <= at and node.span.start < at))


def _line_of(document: Document, entry: Entry) -> str:
    return f"{document.path}:{document.line_of(entry.key_span.start)}"


def members(document: Document, header: Header | None) -> list[Node]:
    """What stands between a header and the next; without one, before the first."""
    found: list[Node] = []
    start = document.nodes.index(header) + 1 if header else 0
    for node in document.nodes[start:]:
        if isinstance(node, Header) or (isinstance(node, Include) and node.header):
            break
        found.append(node)
    return found


def _top(document: Document) -> int:
    """The top of a document, below the comment that it may begin with."""
    nodes, index = document.nodes, 0
    while index < len(nodes) and isinstance(nodes[index], Comment):
        index += 1
    if index and index < len(nodes) and isinstance(nodes[index], Blank):
        return nodes[index].span.end
    return after_mark(document)


def _lines(document: Document, own: Sequence[Entry], author: Author, key: str, value: str) -> list[str]:
    """The lines of a new entry."""
    peers = entries_of(document, author)
    form, style = layout(document, own, peers), continuation(document, [*peers, *own])
    first, *rest = value.split("\n")
    if rest and style.below:
        first, rest = "", [first, *rest]
    opening = form.opening(key) + first
    rows = [form.lead + style.depth + line if line else blank_line(document, author) for line in rest]
    mark = " \\" if style.backslash else ""
    return f"{mark}\n".join([opening if first else opening.rstrip(), *rows]).split("\n")
