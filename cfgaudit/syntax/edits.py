"""Lossless edits: a document with one setting replaced, added or removed, and every other byte as it was."""

from __future__ import annotations

from collections.abc import Sequence

from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.syntax.document import (
    Author,
    Blank,
    Comment,
    Document,
    Entry,
    Header,
    Include,
    Node,
    Unreadable,
)
from cfgaudit.syntax.parse import parse_text
from cfgaudit.syntax.patches import Patch, patched, value_patches
from cfgaudit.syntax.writing import blank_line, continuation, layout, newline

Reading = tuple[str, ...]
"""What a node says, wherever it stands."""


class EditError(ValueError):
    """An edit that the file's form cannot carry; the message is one line that names file and line."""


def replace_value(document: Document, entry: Entry, value: str, traits: Traits = DETECT) -> Document:
    """The document with another value for ``entry``, an entry of it.

    ``value`` is as in ``Entry.value``: its lines trimmed and joined by line feeds. ``traits`` are those
    that the document was parsed with. Raises EditError if the value would not read back the same.
    """
    peers = _entries(document, entry.author)
    expected = _readings(document.nodes)
    expected[_index(document.nodes, entry)] = _entry_reading(entry.key, value, entry.separator, entry.author)
    changed = _changed(document, value_patches(document, entry, value, peers), traits)
    line = document.line_of(entry.key_span.start)
    _verify(changed, expected, f"{document.path}:{line}: {entry.key} cannot become {_shown(value)} here")
    return changed


def add_setting(
    document: Document, header: Header | None, key: str, value: str, traits: Traits = DETECT
) -> Document:
    """The document with an entry more, the last of the section that ``header`` opens.

    Without a header it goes before all of them. Arguments and errors as in ``replace_value``.
    """
    members = _section(document.nodes, header)
    own = [node for node in members if isinstance(node, Entry)]
    author: Author = header.author if header else "hand"
    before = own[-1] if own else header
    at = before.span.end if before else _top(document)
    lines, end = _lines(document, own, author, key, value), newline(document)
    fresh = at == _after_mark(document) or document.text[at - 1] == "\n"
    text = end.join([*lines, ""] if fresh else ["", *lines])
    changed = _changed(document, [Patch(at, at, text)], traits)
    expected = _readings(document.nodes)
    place = _index(document.nodes, before) + 1 if before else 0
    separator = layout(document, own, _entries(document, author)).separator
    expected.insert(place, _entry_reading(key, value, separator, author))
    where = f"{document.path}:{document.line_of(at)}"
    _verify(changed, expected, f"{where}: {_shown(key)} with the value {_shown(value)} cannot stand here")
    return changed


def remove_setting(document: Document, entry: Entry, traits: Traits = DETECT) -> Document:
    """The document without ``entry`` and the comments within it. Errors as in ``replace_value``."""
    start = max(entry.span.start, _after_mark(document))
    changed = _changed(document, [Patch(start, entry.span.end, "")], traits)
    expected = _readings(document.nodes)
    del expected[_index(document.nodes, entry)]
    line = document.line_of(entry.key_span.start)
    _verify(changed, expected, f"{document.path}:{line}: {entry.key} cannot be removed")
    return changed


def _changed(document: Document, patches: Sequence[Patch], traits: Traits) -> Document:
    return parse_text(patched(document.text, patches), document.path, traits)


def _verify(changed: Document, expected: list[Reading], refusal: str) -> None:
    """Raise EditError if the changed document says anything but what is expected of it."""
    found = _readings(changed.nodes)
    if found == expected:
        return
    known = set(expected)
    surplus = [" ".join(reading[:2]) for reading in found if reading not in known]
    raise EditError(f"{refusal}: it would read as {_shown(surplus[0])}" if surplus else refusal)


def _shown(text: str) -> str:
    """A text on one line, in quotes."""
    return ascii(text) if not text.isprintable() else f'"{text}"'


def _readings(nodes: Sequence[Node]) -> list[Reading]:
    """What the nodes say, comments and blank lines left out."""
    return [reading for node in nodes if (reading := _reading(node))]


def _reading(node: Node) -> Reading:
    match node:
        case Header():
            return ("header", node.name, node.author)
        case Entry():
            return _entry_reading(node.key, node.value, node.separator, node.author)
        case Include():
            return ("include", node.target, node.form)
        case Unreadable():
            return ("nothing", node.text)
        case _:
            return ()


def _entry_reading(key: str, value: str, separator: str, author: str) -> Reading:
    return (f"{key} {separator}", value, author)


def _index(nodes: Sequence[Node], wanted: Node) -> int:
    """Where a node's reading stands among all; raises ValueError if it is none of the document's."""
    said = [node for node in nodes if not isinstance(node, Comment | Blank)]
    for index, node in enumerate(said):
        if node is wanted or (node.span == wanted.span and node == wanted):
            return index
    raise ValueError("the setting is none of this document's")


def _section(nodes: Sequence[Node], header: Header | None) -> list[Node]:
    """What stands between a header and the next; without one, before the first."""
    members: list[Node] = []
    start = list(nodes).index(header) + 1 if header else 0
    for node in nodes[start:]:
        if isinstance(node, Header) or (isinstance(node, Include) and node.header):
            break
        members.append(node)
    return members


def _entries(document: Document, author: Author) -> list[Entry]:
    return [node for node in document.nodes if isinstance(node, Entry) and node.author == author]


def _after_mark(document: Document) -> int:
    """Where the text begins behind a byte-order mark."""
    return 1 if document.text.startswith("\ufeff") else 0


def _top(document: Document) -> int:
    """The top of a document, below the comment that it may begin with."""
    nodes, index = document.nodes, 0
    while index < len(nodes) and isinstance(nodes[index], Comment):
        index += 1
    if index and index < len(nodes) and isinstance(nodes[index], Blank):
        return nodes[index].span.end
    return _after_mark(document)


def _lines(document: Document, own: Sequence[Entry], author: Author, key: str, value: str) -> list[str]:
    """The lines of a new entry."""
    peers = _entries(document, author)
    form, style = layout(document, own, peers), continuation(document, [*peers, *own])
    first, *rest = value.split("\n")
    if rest and style.below:
        first, rest = "", [first, *rest]
    opening = form.opening(key) + first
    rows = [form.lead + style.depth + line if line else blank_line(document, author) for line in rest]
    mark = " \\" if style.backslash else ""
    return f"{mark}\n".join([opening if first else opening.rstrip(), *rows]).split("\n")
