"""Lines to nodes: what each line is, and which of them make one entry together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.syntax.directive import directive_include, entry_includes, header_include
from cfgaudit.syntax.document import Author, Blank, Comment, Entry, Node, Span, Unreadable
from cfgaudit.syntax.entry_line import comment_start, split_entry
from cfgaudit.syntax.header_line import after_header, read_header
from cfgaudit.syntax.lines import SILENT, Line


class Style(NamedTuple):
    """What folding needs of a dialect. ``includes`` of None counts every form."""

    marks: tuple[str, ...]
    separator: str
    includes: tuple[str, ...] | None = None
    author: Author = "hand"


@dataclass(slots=True)
class Fold:
    """Folds stretches of lines, one after the other. ``text`` has the prefix of a machine-written block
    blanked out, so that every offset is one of the file."""

    text: str
    nodes: list[Node] = field(default_factory=list)
    section: str | None = None
    """The name of the header that is open."""

    def add(self, lines: Sequence[Line], style: Style) -> None:
        """Fold a stretch that no value crosses."""
        at = 0
        while at < len(lines):
            line = lines[at]
            if line.kind == "ENTRY":
                at = self._entry(lines, at, style)
            elif line.kind == "BLANK":
                self.nodes.append(Blank(Span(line.start, line.end)))
            elif line.kind == "NOTE":
                self.nodes.append(self._comment(line.start, line.end, style))
            elif line.kind == "HEADER":
                self._header(line, style)
            elif line.kind == "DIRECTIVE":
                self._directive(line, style)
            else:
                self._unreadable(line)
            at += 1

    def _unreadable(self, line: Line) -> None:
        text = self.text[line.start : line.end].strip()
        self.nodes.append(Unreadable(Span(line.start, line.end), text))

    def _comment(self, start: int, end: int, style: Style, *, inline: bool = False) -> Comment:
        words = self.text[start:end].strip()
        for one in style.marks:
            if words.startswith(one):
                words = words[len(one) :].lstrip(one).strip()
                break
        return Comment(Span(start, end), words, inline)

    def _inline(self, mark: int, end: int, style: Style) -> Comment:
        """The comment behind something else on its line; its span leaves the line's end out."""
        return self._comment(mark, mark + len(self.text[mark:end].rstrip("\r\n")), style, inline=True)

    def _header(self, line: Line, style: Style) -> None:
        header = read_header(self.text, line.start, line.end, style.author)
        if header is None:
            return self._unreadable(line)
        include = header_include(header, self.text, style.includes)
        self.section = None if include else header.name
        self.nodes.append(include or header)
        after = after_header(self.text, line.start, line.end)
        if after < line.end:
            self.nodes.append(self._inline(after, line.end, style))
        return None

    def _directive(self, line: Line, style: Style) -> None:
        mark = comment_start(self.text, line.start, line.end, style.marks)
        include = directive_include(self.text, line.start, mark, line.end, style.includes)
        if include is None:
            return self._unreadable(line)
        self.nodes.append(include)
        if mark < line.end:
            self.nodes.append(self._inline(mark, line.end, style))
        return None

    def _entry(self, lines: Sequence[Line], first: int, style: Style) -> int:
        """Add the entry that begins at a line, with all that lies in it; returns its last line.

        A line that continues nothing readable is read by itself.
        """
        text, line = self.text, lines[first]
        at, end = split_entry(text, line.start, line.end, style.marks, style.separator)
        key = self._trim(line.start, at) if at >= 0 else None
        if key is None or key.start == key.end:
            self._unreadable(line)
            return first
        last = first if line.joined else last_of_value(lines, first)
        pieces, comments = self._pieces(lines, first, last, Span(at + 1, end), style)
        entry = Entry(
            Span(line.start, lines[last].end),
            text[key.start : key.end],
            key,
            text[at],
            "\n".join([text[start:stop] for start, stop in pieces]),
            tuple(pieces),
            style.author,
        )
        self._add_entry(entry, comments, style)
        return last

    def _add_entry(self, entry: Entry, comments: list[Comment], style: Style) -> None:
        """Add an entry, or the includes that it stands for, and the comments in it."""
        includes = entry_includes(self.text, entry, self.section, style.includes)
        if len(includes) > 1 and comments:
            self.nodes.extend(sorted((*includes, *comments), key=lambda node: node.span.start))
            return
        self.nodes.extend(includes or (entry,))
        self.nodes.extend(comments)

    def _trim(self, start: int, end: int) -> Span:
        """A stretch without the white space around it."""
        left = self.text[start:end].lstrip()
        if not left:
            return Span(start, start)
        start = end - len(left)
        return Span(start, start + len(left.rstrip()))

    def _pieces(
        self, lines: Sequence[Line], first: int, last: int, beside: Span, style: Style
    ) -> tuple[list[Span], list[Comment]]:
        """The pieces of a value, one a line, and the comments between and behind them.

        ``beside`` is what stands beside the key. Blank lines inside are empty pieces; those at either
        end and whole-line comments are none.
        """
        pieces, comments = [self._trim(beside.start, beside.end)], list[Comment]()
        if beside.end < lines[first].end:
            comments.append(self._inline(beside.end, lines[first].end, style))
        if last == first:
            return pieces, comments
        for line in lines[first + 1 : last + 1]:
            if line.kind == "NOTE":
                comments.append(self._comment(line.start, line.end, style))
                continue
            if line.joined == "backslash":
                pieces[-1] = self._without_backslash(pieces[-1])
            mark = comment_start(self.text, line.start, line.end, style.marks)
            pieces.append(self._trim(line.start, mark))
            if mark < line.end:
                comments.append(self._inline(mark, line.end, style))
        filled = [index for index, piece in enumerate(pieces) if piece.start < piece.end]
        return pieces[filled[0] : filled[-1] + 1] if filled else pieces[:1], comments

    def _without_backslash(self, piece: Span) -> Span:
        if self.text.endswith("\\", piece.start, piece.end):
            return self._trim(piece.start, piece.end - 1)
        return piece


def last_of_value(lines: Sequence[Line], at: int) -> int:
    """The last line of the value that begins at ``at``: what is silent counts only between others."""
    last = at
    for index in range(at + 1, len(lines)):
        if lines[index].joined and lines[index].kind not in SILENT:
            last = index
        elif lines[index].kind not in SILENT:
            break
    return last
