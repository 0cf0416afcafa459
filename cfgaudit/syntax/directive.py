"""Directives that include files, in every form that INI files write them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.syntax.document import Entry, Header, Include, Span

WORD = re.compile(r"\s*(?P<word>[%!@]?include(?P<folder>dir)?)[^\S\n]*(?P<separator>[=:]?)", re.IGNORECASE)
LETTER = re.compile(r"[^\W\d_]")
PATH_MARK = re.compile(r"[./\\*?]")


def directive_include(
    text: str, start: int, end: int, line_end: int, allowed: tuple[str, ...] | None
) -> Include | None:
    """The directive on a line whose comment begins at ``end``; None if it names nothing."""
    match = WORD.match(text, start, end)
    if match is None:
        return None
    target = unquoted(text, match.end(), end)
    form = form_of(match["word"].lower(), match["separator"], folder=bool(match["folder"]))
    if target.start == target.end or not counts(form, allowed):
        return None
    words = text[target.start : target.end]
    return Include(Span(start, line_end), words, target, form, bool(match["folder"]))


def form_of(word: str, separator: str, *, folder: bool) -> str:
    """A form as ``Dialect.includes`` writes it."""
    joint = {"": " ", "=": " = ", ":": ": "}[separator]
    return f"{word}{joint}{'DIR' if folder else 'PATH'}"


def counts(form: str, allowed: tuple[str, ...] | None) -> bool:
    """Whether a form of include is in use; None allows all."""
    return allowed is None or form in allowed


def header_include(header: Header, text: str, allowed: tuple[str, ...] | None) -> Include | None:
    """``[include PATH]``."""
    word, *rest = header.name.split(maxsplit=1)
    if word.lower() != "include" or not rest or not counts("[include PATH]", allowed):
        return None
    target = unquoted(text, header.name_span.start + len(word), header.name_span.end)
    words = text[target.start : target.end]
    return Include(header.span, words, target, "[include PATH]", header=header) if words else None


def entry_includes(
    text: str, entry: Entry, section: str | None, allowed: tuple[str, ...] | None
) -> tuple[Include, ...]:
    """``include = PATH``, or ``path = PATH`` under ``[include]``: one directive a line of the value."""
    key = entry.key.lower()
    if key not in ("include", "path") or not entry.value:
        return ()
    if key == "include" and (section is None or _is_path(entry.value)):
        form = form_of(key, entry.separator, folder=False)
    elif key == "path" and section is not None and section.lower() == "include":
        form = "[include] " + form_of(key, entry.separator, folder=False)
    else:
        return ()
    return tuple(_one_a_line(text, entry, form)) if counts(form, allowed) else ()


def _is_path(value: str) -> bool:
    """What tells a path from a number or a word where ``include`` may be an ordinary setting."""
    return value == "*" or bool(LETTER.search(value) and PATH_MARK.search(value))


def _one_a_line(text: str, entry: Entry, form: str) -> Iterator[Include]:
    pieces = [piece for piece in entry.value_spans if piece.start < piece.end]
    starts = [entry.span.start, *(text.rindex("\n", 0, piece.start) + 1 for piece in pieces[1:])]
    for piece, start, end in zip(pieces, starts, [*starts[1:], entry.span.end], strict=True):
        target = unquoted(text, *piece)
        yield Include(Span(start, end), text[target.start : target.end], target, form)


def unquoted(text: str, start: int, end: int) -> Span:
    """A stretch without white space and one pair of quotes around it."""
    piece = text[start:end]
    start, piece = start + len(piece) - len(piece.lstrip()), piece.strip()
    if len(piece) > 1 and piece[0] == piece[-1] and piece[0] in "\"'":
        return Span(start + 1, start + len(piece) - 1)
    return Span(start, start + len(piece))
