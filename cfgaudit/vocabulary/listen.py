"""What the words of a setting's name say."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from cfgaudit.vocabulary.catalogue import AXES
from cfgaudit.vocabulary.names import Word, split_name
from cfgaudit.vocabulary.words import Words

LIST_MARKS = frozenset("abc")
SPOKEN_AXES = AXES - LIST_MARKS
"""Letters that name an axis in a setting's name; a, b and c are too often words or list marks there."""
BOUNDS = frozenset(
    {"max", "min", "limit", "hottest", "cold", "coldest", "run", "hold", "trigger", "start", "target"}
)
SAME_HERE = {"alias": "pin", "socket": "pin", "drivers": "driver"}
"""Words that name a part in a section's name and something plainer in a setting's."""
LONGEST_UNIT = 4
NO_UNIT_AFTER = frozenset({"per", "a", "each"})
"""What is counted by, ``steps per mm``, is no unit of the number."""
MERE_UNITS = frozenset({"", "mm", "per", "filler"})
"""Concepts that say nothing beside the unit; ``seconds`` says time."""
SPELLED_OUT = {"%": " percent", "²": "2"}


class Said(NamedTuple):
    """What a name says: its concepts, its unknown words, and the axis that it gives.

    ``unit`` is the unit at its end, which a bare number has, and ``implied`` the concept of that unit.
    """

    concepts: frozenset[str]
    strangers: tuple[str, ...]
    axis: str | None
    implied: str = ""
    unit: str = ""


def listen(key: str, words: Words) -> Said:
    """What a setting's name says: ``maxTravelX_mm`` says max and travel, of x, in millimetres.

    Beside a word that nobody understands a letter may be short for anything, so it is a stranger, too.
    """
    for mark, spoken in SPELLED_OUT.items():
        key = key.replace(mark, spoken)
    tokens, implied, unit = _without_unit(key, words)
    symbol = _symbol(tokens, words)
    tokens = tokens[1:] if symbol else tokens
    said = [word for word in tokens if not _axis(word) and not _says_nothing(word)]
    strange = any(not word.concept for word in said)
    strangers = tuple(word.text for word in said if not word.concept or (strange and word.is_letter))
    understood = [word for word in said if word.text not in strangers]
    concepts = {SAME_HERE.get(one, one) for word in understood for one in words.concepts_of(word)}
    axes = {_axis(word) for word in tokens} - {""}
    offset = {"offset"} if any(_difference(word) for word in tokens) else set()
    concepts |= offset | ({symbol} if symbol else set())
    return Said(frozenset(concepts), strangers, axes.pop() if len(axes) == 1 else None, implied, unit)


def _says_nothing(word: Word) -> bool:
    return word.concept == "filler" or word.text.isdigit()


def _axis(word: Word) -> str:
    """The axis that a word gives: ``x``, and ``dx`` too."""
    single = word.is_letter and word.text in SPOKEN_AXES and not word.concept
    return word.text if single else _difference(word)


def _without_unit(key: str, words: Words) -> tuple[tuple[Word, ...], str, str]:
    """The words before a unit at the end of the name, the concept that it adds to them, and the unit."""
    pieces = split_name(key)
    folded = words.lexicon.words(key)
    for size in range(min(LONGEST_UNIT, len(pieces) - 1), 0, -1):
        implied, unit = words.unit_words.get(_spoken(key, pieces[-size:]), ("", ""))
        (before, _, end), (last, start, _) = pieces[-size - 1], pieces[-size]
        if not unit or before in NO_UNIT_AFTER or "/" in key[end:start]:
            continue
        kept = tuple(word for word in folded if word.end <= start)
        cut = folded[len(kept) :]
        if not kept or cut[0].start < start or (last in LIST_MARKS and not _may_have_unit(kept, implied)):
            continue
        says_more = all(word.concept not in MERE_UNITS for word in cut)
        if says_more and all(word.concept != implied for word in kept):
            return folded, "", unit
        return kept, implied, unit
    return folded, "", ""


def _spoken(key: str, pieces: Sequence[tuple[str, int, int]]) -> str:
    """The words of a unit, joined: ``mm/s`` as ``mmpers``."""
    text, _, at = pieces[0]
    for word, start, end in pieces[1:]:
        text += f"per{word}" if "/" in key[at:start] else word
        at = end
    return text


def _may_have_unit(kept: tuple[Word, ...], implied: str) -> bool:
    """Whether the words before a letter name its quantity or a bound; else it numbers things, ``point c``."""
    return any(word.concept == implied or word.concept in BOUNDS for word in kept)


def _symbol(tokens: tuple[Word, ...], words: Words) -> str:
    """``v max``: a letter of physics before a bound."""
    if len(tokens) < 2 or not tokens[0].is_letter:
        return ""
    bound = any(word.concept in BOUNDS for word in tokens[1:])
    return words.symbols.get(tokens[0].text, "") if bound else ""


def _difference(word: Word) -> str:
    """The axis of ``dx``, ``dy``, ``dz``."""
    text = word.text
    return text[1] if not word.concept and len(text) == 2 and text[0] == "d" and text[1] in "xyz" else ""
