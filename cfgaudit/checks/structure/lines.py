"""Lines that are nothing we know, entries that became part of the value above, and bytes that are no text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.syntax.document import Document, Entry, Span, Unreadable
from cfgaudit.tree.config_tree import Occurrence
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.reading import SectionReading

CONFLICT = re.compile(r"\s*(?:<{7}|={7}|>{7}|\|{7})(?:\s|$)")
ENTRY = re.compile(r"([^\W\d_][\w .-]*?)\s*([=:])\s*\S")
UNDECODABLE = re.compile("[\udc80-\udcff]+")


@check("unreadable-line")
def unreadable_line(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Runs of lines that are no header, setting, directive, comment or blank."""
    for document in subject.tree.documents.values():
        for unreadable, run in groupby(document.nodes, key=lambda node: isinstance(node, Unreadable)):
            if unreadable:
                yield from _unreadable_runs(document, [node for node in run if isinstance(node, Unreadable)])


def _unreadable_runs(document: Document, nodes: list[Unreadable]) -> Iterator[Problem]:
    """A merge's leftover marks are findings each; other lines in a row are one."""
    for is_mark, run in groupby(nodes, key=lambda node: CONFLICT.match(node.text) is not None):
        lines = list(run)
        if is_mark:
            for line in lines:
                yield _conflict_mark(document, line)
        else:
            yield _unreadable(document, lines)


def _conflict_mark(document: Document, line: Unreadable) -> Problem:
    return Problem(
        document.place(line.span),
        f"{line.text.split()[0]} is the mark of a merge that was left unfinished",
        f"{document.path} {line.text.strip()}",
        advice="Keep one of the two versions, and remove the other one and the marks around both.",
    )


def _unreadable(document: Document, lines: list[Unreadable]) -> Problem:
    text = lines[0].text.strip()
    shown = text if len(text) <= 50 else f"{text[:47]}..."
    more = f", nor are the {len(lines) - 1} lines below it" if len(lines) > 2 else ""
    more = ", nor is the line below it" if len(lines) == 2 else more
    place = document.place(Span(lines[0].span.start, lines[-1].span.end))
    message = f'"{shown}" is no header, setting, include or comment{more}'
    return Problem(place, message, f"{document.path} {text}")


@check("swallowed-setting")
def swallowed_setting(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An indented line that reads like a setting but continues the value above it."""
    known = frozenset(setting.key for setting in subject.tree.settings())
    for section in subject.reading.sections:
        if any(part.kind in ("macro", "alias") for part in section.parts):
            continue
        yield from _swallowed_in(section, known)


def _swallowed_in(section: SectionReading, known: frozenset[str]) -> Iterator[Problem]:
    for reading in section.readings:
        if reading.role == "macro.body" or "\n" not in reading.setting.value:
            continue
        for name, span in _swallowed(reading.setting.effective, known):
            yield Problem(
                reading.setting.effective.document.place(span),
                f"{name} is indented, so it is part of the value of {reading.setting.name} and not a setting",
                f"{section.section.key} {reading.setting.key} {fold_name(name)}",
                (reading.setting.effective.key_place,),
            )


def _swallowed(occurrence: Occurrence, known: frozenset[str]) -> Iterator[tuple[str, Span]]:
    """The lines below the first that would be settings if they stood further left.

    Only where the value begins beside its key: one that begins on the next line is meant to have many.
    """
    entry, document = occurrence.entry, occurrence.document
    if not _begins_beside_key(entry, document):
        return
    for span in entry.value_spans[1:]:
        match = ENTRY.match(document.text, span.start, span.end)
        if match and document.dialect.separator in (match[2], "mixed") and fold_name(match[1]) in known:
            yield match[1], span


def _begins_beside_key(entry: Entry, document: Document) -> bool:
    return document.line_of(entry.key_span.start) == document.line_of(entry.value_spans[0].start)


@check("not-utf8")
def not_utf8(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Files with bytes that are no UTF-8."""
    for document in subject.tree.documents.values():
        if document.text.isascii():
            continue
        met = list(UNDECODABLE.finditer(document.text))
        if met:
            byte = ord(met[0][0][0]) - 0xDC00
            places = "one place" if len(met) == 1 else f"{len(met)} places"
            message = f"{document.path} is not UTF-8: {places}, the first with the byte 0x{byte:02X}"
            yield Problem(document.place(Span(*met[0].span())), message, document.path)
