"""A section's name to the parts that it describes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from cfgaudit.tree.config_tree import Section
from cfgaudit.tree.names import QUOTED
from cfgaudit.vocabulary.catalogue import AXES
from cfgaudit.vocabulary.names import Word
from cfgaudit.vocabulary.reading import PartName
from cfgaudit.vocabulary.stated import STATED, stated_parts
from cfgaudit.vocabulary.words import Words

EDGES = " \t_-.:/\"'"
SET_OFF = re.compile(r"[^.:]*\w(?=\s*[.:]\s*\w)")
"""What stands before a mark that sets off a label."""
EXTRUDER = "extruder"
OTHER = "other"
TEMPERATURE = "temp"


class SectionKind(NamedTuple):
    """What a section's name says. ``head`` is a part kind, ``extruder`` (motor and heater), or empty.

    ``own`` holds the concepts of the name itself: in the names of its settings they say nothing new.
    """

    head: str
    name: str
    axis: str | None
    own: frozenset[str]
    why: str
    fixed: tuple[PartName, ...] = ()
    """The parts that ``cfgaudit.toml`` states."""
    implied: bool = False
    """No word names the part: the settings must bear it out."""


def kinds_of(head: str) -> frozenset[str]:
    """The kinds of part that a section with such a head can be: an extruder is a motor and a heater."""
    return frozenset({"motor", "heater"}) if head == EXTRUDER else frozenset({head or OTHER})


def read_section_name(section: Section, words: Words) -> SectionKind:
    """The head part, its label, and the axis that a section's name gives, or what is stated of it."""
    tokens = words.lexicon.words(section.name)
    stated = stated_parts(section.name, words)
    if stated:
        return _as_stated(stated, tokens, words)
    axis, own = _axis_letter(tokens), _concepts(tokens, words)
    found = _head(tokens, _label_border(section), words)
    if found is None or _is_place_of_temperature(tokens, words):
        return _headless(section.name, tokens, axis, own, words)
    # A macro's name is a name to call: none of its words is an article.
    label = _without(section.name, found, () if found.concept in words.leading else tokens, words)
    if found.concept in words.unlisted:
        return SectionKind(
            OTHER, label, axis, own, f"“{found.text}” names no kind of part that is known here"
        )
    if EXTRUDER in own and found.concept in ("motor", "axis") and axis is None:
        axis = "e"
    kind = "axis" if found.concept == "motion" and axis is not None else found.concept
    return SectionKind(kind, label, axis, own, f"“{found.text}” names a part of the kind {kind}")


def _as_stated(stated: tuple[PartName, ...], tokens: Sequence[Word], words: Words) -> SectionKind:
    """What is stated of a section, read as if it were the section's name.

    The axis of the name itself counts where the labels that are stated give none, or several.
    """
    head = _stated_head(stated, words)
    labels = [word for part in stated for word in words.lexicon.words(part.name)]
    axis = _axis_moved(labels, head, words) or _axis_moved(tokens, head, words)
    if axis is None and head == EXTRUDER:
        axis = "e"
    own = _concepts([*tokens, *labels], words)
    return SectionKind(head, stated[0].name, axis, own, STATED, stated)


def _axis_moved(tokens: Sequence[Word], head: str, words: Words) -> str | None:
    """The axis that words give to a part of a kind: their letter, else ``e`` to what moves an extruder."""
    extrudes = head in ("motor", "axis", EXTRUDER) and EXTRUDER in _concepts(tokens, words)
    return _axis_letter(tokens) or ("e" if extrudes else None)


def _stated_head(parts: tuple[PartName, ...], words: Words) -> str:
    """Of several kinds the one whose sections may hold the settings of most others."""
    kinds = [part.kind for part in parts]
    if kinds_of(EXTRUDER) <= frozenset(kinds):
        return EXTRUDER
    return max(kinds, key=lambda kind: len(words.families.get(kind, frozenset()).intersection(kinds)))


def _headless(
    name: str, tokens: Sequence[Word], axis: str | None, own: frozenset[str], words: Words
) -> SectionKind:
    label = name.strip(EDGES)
    for concept, kind in words.implied.items():
        if concept in own:
            letter = axis or "e" if kind == EXTRUDER else axis
            return SectionKind(kind, label, letter, own, f"“{concept}” stands for a {kind}", implied=True)
    if axis is not None and len([word for word in tokens if not word.text.isdigit()]) == 1:
        return SectionKind("axis", label, axis, own, "a single letter names an axis")
    return SectionKind("", label, axis, own, "no word of the name names a part")


def _head(tokens: Sequence[Word], border: int, words: Words) -> Word | None:
    """The word that names the part: a leading kind, else the most specific one before the label's border."""
    named = [word for word in tokens if word.concept in words.rank or word.concept in words.leading]
    if not named:
        return None
    for edge in (tokens[0], tokens[-1]):
        if edge.concept in words.leading and (
            edge is tokens[0] or len(named) == 1 or edge.concept == "macro"
        ):
            return edge
    before = [word for word in named if word.start < border] or named
    ranked = [word for word in before if word.concept in words.rank]
    return min(ranked, key=lambda word: words.rank[word.concept], default=None)


def _is_place_of_temperature(tokens: Sequence[Word], words: Words) -> bool:
    """``temp supply bay``: what is named beside a temperature is where it is measured."""
    at_edge = TEMPERATURE in (tokens[0].concept, tokens[-1].concept)
    kinds = {word.concept for word in tokens if word.concept in words.rank}
    return at_edge and kinds <= words.places


def _label_border(section: Section) -> int:
    """Where a label that is set off begins (``[kind.label]``, ``[kind "label"]``); else the name's end."""
    quoted = QUOTED.search(section.openings[0].header.name) if section.openings else None
    if quoted is not None and quoted.start() > 0:
        return quoted.start()
    mark = SET_OFF.match(section.name)
    return mark.end() if mark else len(section.name)


def _concepts(tokens: Sequence[Word], words: Words) -> frozenset[str]:
    return frozenset(concept for word in tokens for concept in words.concepts_of(word))


def _axis_letter(tokens: Sequence[Word]) -> str | None:
    """The axis that a name gives: one single letter among its words, ``x``, ``Z1``, ``left y``."""
    letters = {word.text for word in tokens if word.text in AXES and word.concept in ("", "filler")}
    return letters.pop() if len(letters) == 1 else None


def _without(name: str, word: Word, tokens: Sequence[Word], words: Words) -> str:
    """The label: a name without the word that names the part, and without articles at its ends."""
    pieces = []
    for start, end in ((0, word.start), (word.end, len(name))):
        inside = [one for one in tokens if start <= one.start and one.end <= end]
        while inside and inside[0].text in words.articles:
            start = inside.pop(0).end
        while inside and inside[-1].text in words.articles:
            end = inside.pop().start
        pieces.append(name[start:end].strip(EDGES))
    return " ".join(piece for piece in pieces if piece)
