"""Lossless edits of whole sections: another name, a section less, a section more."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

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
from cfgaudit.syntax.edits import Edit, entries_of, said_before
from cfgaudit.syntax.patches import Patch
from cfgaudit.syntax.said import ANY, Reading, Saying, entry_reading, index_of
from cfgaudit.syntax.section_text import own_nodes, own_spans
from cfgaudit.syntax.writing import (
    after_mark,
    blank_line,
    continuation,
    layout,
    line_start,
    newline,
)


class NewSection(NamedTuple):
    """A section to be written. ``name`` is what stands between the brackets."""

    name: str
    settings: tuple[tuple[str, str], ...] = ()
    """Keys and values, as in ``Entry``."""
    author: Author = "hand"
    lines: tuple[str, ...] = ()
    """The whole text, if it is to stand there verbatim; without line ends."""


def renaming(document: Document, header: Header, name: str) -> Edit:
    """Another name in a header."""
    at = index_of(document, header)
    saying = Saying(at, at + 1, (("header", name, header.author),))
    where = f"{document.path}:{document.line_of(header.name_span.start)}"
    return Edit(
        (Patch(*header.name_span, name),), (saying,), f"{where}: [{header.name}] cannot become [{name}]"
    )


def removing_section(document: Document, header: Header) -> Edit:
    """No such section, and none of the comments that are its own; directives within it stay."""
    gone = {index_of(document, node) for node in own_nodes(document, header) if _speaks(node)}
    patches = tuple(Patch(*span, "") for span in own_spans(document, header))
    where = f"{document.path}:{document.line_of(header.name_span.start)}"
    sayings = tuple(Saying(at, at + 1, ()) for at in sorted(gone))
    return Edit(patches, sayings, f"{where}: [{header.name}] cannot be removed")


def adding_section(
    document: Document,
    section: NewSection,
    after: Header | Include | None = None,
    *,
    above: Node | None = None,
) -> Edit:
    """A section more: the last of its author, or behind ``after``, or above ``above``."""
    if above is not None:
        return _adding_above(document, section, above)
    before = after or _last(document, section.author)
    if isinstance(after, Header):
        before = own_nodes(document, after)[-1]
    at = before.span.end if before is not None else after_mark(document)
    lines = list(section.lines) or _written(document, section)
    if at > after_mark(document) and _set_apart(document, section) and not _blank_before(document, at):
        lines = [blank_line(document, section.author), *lines]
    if at == after_mark(document) and len(document.text) > at:
        lines = [*lines, ""]
    end = newline(document)
    fresh = at == after_mark(document) or document.text[at - 1] == "\n"
    text = end.join([*lines, ""] if fresh else ["", *lines])
    place = said_before(document, at)
    refusal = f"{document.path}:{document.line_of(at)}: [{section.name}] cannot stand here"
    return Edit((Patch(at, at, text),), (Saying(place, place, _says(section)),), refusal)


def _adding_above(document: Document, section: NewSection, above: Node) -> Edit:
    at = max(above.span.start, after_mark(document))
    gap = [blank_line(document, section.author)] if _set_apart(document, section) else []
    lines = [*(section.lines or _written(document, section)), *gap, ""]
    place = said_before(document, at)
    refusal = f"{document.path}:{document.line_of(at)}: [{section.name}] cannot stand here"
    patch = Patch(at, at, newline(document).join(lines))
    return Edit((patch,), (Saying(place, place, _says(section)),), refusal)


def _says(section: NewSection) -> tuple[Reading, ...]:
    entries = (entry_reading(key, value, ANY, section.author) for key, value in section.settings)
    return (("header", section.name, section.author), *entries)


def _written(document: Document, section: NewSection) -> list[str]:
    """A section's lines as the file lays its own out."""
    peers = entries_of(document, section.author)
    form, style = layout(document, [], peers), continuation(document, peers)
    lines = [f"{_lead(document, section.author)}[{section.name}]"]
    for key, value in section.settings:
        first, *rest = value.split("\n")
        if rest and style.below:
            first, rest = "", [first, *rest]
        opening = form.opening(key) + first
        rows = [
            form.lead + style.depth + one if one else blank_line(document, section.author) for one in rest
        ]
        mark = " \\" if style.backslash else ""
        lines += f"{mark}\n".join([opening if first else opening.rstrip(), *rows]).split("\n")
    return lines


def _lead(document: Document, author: Author) -> str:
    """What stands before the bracket of a header, as the last one of that author has it."""
    for node in reversed(document.nodes):
        if isinstance(node, Header) and node.author == author:
            start = line_start(document, node.name_span.start)
            return document.text[start : document.text.index("[", start)]
    return ""


def _last(document: Document, author: Author) -> Node | None:
    """What a new section of an author goes behind: all of that author's, and the comments after it.

    A hand-written section goes before a machine-written block at the file's end, and before its banner.
    """
    filled = [node for node in document.nodes if not isinstance(node, Blank) and not _beside(node)]
    places = [index for index, node in enumerate(filled) if _speaks(node) and _author(node) == author]
    if not places and author == "machine":
        return filled[-1] if filled else None
    last = places[-1] if places else -1
    if not any(_speaks(node) for node in filled[last + 1 :]):
        last = len(filled) - 1
    return filled[last] if last >= 0 else None


def _beside(node: Node) -> bool:
    return isinstance(node, Comment) and node.inline


def _speaks(node: Node) -> bool:
    return isinstance(node, Header | Entry | Include | Unreadable)


def _author(node: Node) -> Author:
    return node.author if isinstance(node, Header | Entry) else "hand"


def _set_apart(document: Document, section: NewSection) -> bool:
    """Whether the file sets such sections off by blank lines; one that shows nothing does.

    The first header of a machine-written block shows how the block is set off, not its sections.
    """
    nodes = document.nodes
    headers = [index for index, node in enumerate(nodes) if isinstance(node, Header)]
    headers = [index for index in headers if index and _author(nodes[index]) == section.author]
    if section.author == "machine" and headers:
        return any(_apart(nodes, index) for index in headers[1:])
    return not headers or any(_apart(nodes, index) for index in headers)


def _apart(nodes: Sequence[Node], index: int) -> bool:
    while index and isinstance(nodes[index - 1], Comment):
        index -= 1
    return index == 0 or isinstance(nodes[index - 1], Blank)


def _blank_before(document: Document, at: int) -> bool:
    """Whether the line before an offset is blank."""
    return any(isinstance(node, Blank) and node.span.end == at for node in document.nodes)
