"""Characters that look like another one that was meant."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.lookalikes import (
    SUSPICIOUS,
    Lookalike,
    find_in_name,
    find_in_prose,
    find_in_value,
    in_plain,
    replaced,
)
from cfgaudit.checks.registry import check
from cfgaudit.syntax.document import Document, Entry, Header, Include, Node, Span
from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Number
from cfgaudit.vocabulary.catalogue import ROLES

STRICT = ("pin", "number", "numbers", "ratio", "name")
"""Shapes of values that are no free text."""
SURE = ("letter", "minus")
"""With these in a pin or a number the firmware cannot read the value."""


@check("lookalike-character")
def lookalike_character(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Letters of another script, odd spaces, dashes and typographic quotes in names and values."""
    documents = [
        one
        for one in subject.tree.documents.values()
        if not one.text.isascii() and SUSPICIOUS.search(one.text)
    ]
    shapes = _shapes(subject) if documents else {}
    for document in documents:
        for node in document.nodes:
            if not document.text[node.span.start : node.span.end].isascii():
                yield from _in_node(document, node, shapes)


def _shapes(subject: Subject) -> Mapping[int, str]:
    """The shape that an entry's role asks for, by the entry's identity."""
    return {
        id(occurrence.entry): ROLES[reading.role].shape
        for section in subject.reading.sections
        for reading in section.readings
        if reading.role is not None
        for occurrence in reading.setting.occurrences
    }


def _in_node(document: Document, node: Node, shapes: Mapping[int, str]) -> Iterator[Problem]:
    text = document.text
    if isinstance(node, Header):
        yield from _first(document, "the name of a section", node.name_span, find_in_name)
    elif isinstance(node, Include):
        yield from _first(document, "the path", node.target_span, find_in_value)
    elif isinstance(node, Entry):
        shape = shapes.get(id(node)) or _shape_without(node.value)
        yield from _first(document, "the name of a setting", node.key_span, find_in_name)
        between = Span(node.key_span.end, node.value_spans[0].start)
        yield from _first(
            document, f"the white space around the separator of {node.key}", between, find_in_value
        )
        find = find_in_value if shape in STRICT else find_in_prose
        for span in node.value_spans:
            if not text[span.start : span.end].isascii():
                yield from _first(document, f"the value of {node.key}", span, find, shape)


def _shape_without(value: str) -> str:
    """The shape that a value would have if its lookalikes were what they look like."""
    plain = in_plain(value)
    if plain == value:
        return ""
    return "pin" if is_chip_pin(plain) else "number" if isinstance(read_value(plain), Number) else ""


def _first(
    document: Document, where: str, span: Span, find: Callable[[str], Iterable[Lookalike]], shape: str = ""
) -> Iterator[Problem]:
    """One problem a stretch, at its first character; the others of the stretch are counted."""
    text = document.text[span.start : span.end]
    met: list[Lookalike] = [] if text.isascii() else sorted(find(text), key=lambda one: one.start)
    if not met:
        return
    one = met[0]
    start = span.start + one.start
    more = f", and {len(met) - 1} more" if len(met) > 1 else ""
    broken = shape in STRICT and any(each.kind in SURE for each in met)
    yield Problem(
        document.place(Span(start, start + 1)),
        f"{where} holds {_described(one)}{more}",
        f"{document.path} {text}",
        advice=_advice(text, met),
        severity=None if broken else Severity.WARNING,
    )


def _described(one: Lookalike) -> str:
    name = unicodedata.name(one.character, "a character without a name")
    shown = f"“{one.character}” " if one.kind not in ("space", "unseen") else ""
    return f"the character {shown}U+{ord(one.character):04X} {name}"


def _advice(text: str, met: Iterable[Lookalike]) -> str:
    plain = " ".join(replaced(text, met).split())
    return f"Type it anew with plain characters: {plain}" if plain else "Use plain spaces or tabs here."
