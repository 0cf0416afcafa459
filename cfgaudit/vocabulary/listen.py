"""What the words of a setting's name say."""

from __future__ import annotations

from typing import NamedTuple

from cfgaudit.vocabulary.catalogue import AXES
from cfgaudit.vocabulary.names import Word, split_name
from cfgaudit.vocabulary.words import Words

SPOKEN_AXES = AXES - frozenset("abc")
"""Letters that name an axis in a setting's name; a, b and c are too often words or list marks there."""
BOUNDS = frozenset({"max", "min", "limit", "cold", "run", "trigger", "start", "target"})
SAME_HERE = {"alias": "pin", "socket": "pin", "drivers": "driver"}
"""Words that name a part in a section's name and something plainer in a setting's."""
LONGEST_UNIT = 4


class Said(NamedTuple):
    """The concepts and the unknown words of a name, the axis it gives, and the concept its unit implies."""

    concepts: frozenset[str]
    strangers: tuple[str, ...]
    axis: str | None
    unit: str = ""


def listen(key: str, words: Words) -> Said:
    """What a setting's name says: ``maxTravelX_mm`` says max and travel, of x, in a length."""
    tokens, unit = _without_unit(key, words)
    symbol = _symbol(tokens, words)
    concepts = {symbol} if symbol else set()
    strangers, axes = [], []
    for word in tokens[1:] if symbol else tokens:
        difference = _difference(word)
        if difference:
            concepts.add("offset")
            axes.append(difference)
        elif word.is_letter and word.text in SPOKEN_AXES and not word.concept:
            axes.append(word.text)
        elif word.concept == "filler" or word.text.isdigit():
            continue
        elif word.concept:
            concepts.add(SAME_HERE.get(word.concept, word.concept))
        else:
            strangers.append(word.text)
    axis = axes[0] if len(set(axes)) == 1 else None
    return Said(frozenset(concepts), tuple(strangers), axis, unit)


def _without_unit(key: str, words: Words) -> tuple[tuple[Word, ...], str]:
    """The words before a unit at the end of the name, and the concept of that unit."""
    pieces = split_name(key)
    folded = words.lexicon.words(key)
    for size in range(min(LONGEST_UNIT, len(pieces) - 1), 0, -1):
        unit = words.unit_words.get(tuple(text for text, _, _ in pieces[-size:]))
        start = pieces[-size][1]
        before = pieces[-size - 1][0]
        if unit is None or before in ("per", "a", "each"):
            continue
        kept = tuple(word for word in folded if word.end <= start)
        cut = [word for word in folded if word.end > start]
        if kept and all(word.start >= start and word.concept in ("", "mm", "per", "filler") for word in cut):
            return kept, unit
    return folded, ""


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
