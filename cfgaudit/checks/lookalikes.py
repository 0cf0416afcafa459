"""Characters that look like another one that was meant. Names of characters are the Unicode standard's."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

_CYRILLIC = dict(zip("АВЕЅІЈКМНОРСТУХԚԜаеосрухіјѕԛԝһ", "ABESIJKMHOPCTYXQWaeocpyxijsqwh", strict=True))
_GREEK = dict(zip("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧονϲϳ", "ABEZHIKMNOPTYXovcj", strict=True))
_FULL_WIDTH = {chr(code): chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)}
MEANT = {**_CYRILLIC, **_GREEK, **_FULL_WIDTH}
"""A letter, digit or mark to the ASCII one that it looks like."""

SPACES = "\u00a0\u2007\u202f\u2002\u2003\u2009\u3000"
UNSEEN = "\u200b\u200c\u200d\u2060\ufeff\u00ad"
DASHES = "\u2212\u2013\u2014\u2010\u2011\u2012\uff0d"
QUOTES = "“”„‟‘’‚‛"

SUSPICIOUS = re.compile(f"[{re.escape(''.join(MEANT))}{SPACES}{UNSEEN}{DASHES}{QUOTES}]")
"""Any character that is looked for here; a text without one needs no closer look."""

# Compiled at first use, since most configurations hold none of these characters.
ODD_SPACE = f"[{SPACES}]"
UNSEEN_CHARACTER = f"[{UNSEEN}]"
ANY_QUOTE = f"[{QUOTES}]"
MINUS = rf"(?m:(?:^|(?<=[,=(\[])|(?<=[,=:]\s)|(?<=\b[A-Za-z]))[{DASHES}](?=\.?\d))"
QUOTED = f"^[{QUOTES}]|[{QUOTES}]$"
PIN_LIKE = r"(?i:P[A-K]?_?\d{1,2})"


class Lookalike(NamedTuple):
    """``kind`` is ``letter``, ``space``, ``unseen``, ``minus`` or ``quote``."""

    kind: str
    start: int
    character: str
    meant: str
    """The ASCII character; empty where none was meant."""


def find_in_words(text: str) -> Iterator[Lookalike]:
    """Letters of another script inside a word that is otherwise ASCII.

    A word wholly in another script is fine, unless it reads as a pin (``РА3``).
    """
    for word in re.finditer(r"\w+", text):
        if word[0].isascii():
            continue
        plain = "".join(MEANT.get(letter, letter) for letter in word[0])
        mixed = any(letter.isascii() and letter.isalpha() for letter in word[0])
        if plain.isascii() and (mixed or re.fullmatch(PIN_LIKE, plain)):
            for offset, letter in enumerate(word[0]):
                if letter in MEANT:
                    yield Lookalike("letter", word.start() + offset, letter, MEANT[letter])


def find_in_name(text: str) -> Iterator[Lookalike]:
    """What does not belong into a name: also odd spaces, unseen characters and typographic quotes."""
    yield from find_in_words(text)
    yield from _find(ODD_SPACE, "space", " ", text)
    yield from _find(UNSEEN_CHARACTER, "unseen", "", text)
    yield from _find(ANY_QUOTE, "quote", '"', text)


def find_in_value(text: str) -> Iterator[Lookalike]:
    """What does not belong into a value that is no free text."""
    yield from find_in_words(text)
    yield from _find(ODD_SPACE, "space", " ", text)
    yield from _find(UNSEEN_CHARACTER, "unseen", "", text)
    yield from _find(MINUS, "minus", "-", text)
    yield from _find(QUOTED, "quote", '"', text)


def find_in_prose(text: str) -> Iterator[Lookalike]:
    """What is wrong even in a macro's body or a text for people."""
    yield from find_in_words(text)
    yield from _find(MINUS, "minus", "-", text)


def replaced(text: str, met: Iterable[Lookalike]) -> str:
    """The text with what was meant in place of each lookalike."""
    letters = list(text)
    for one in met:
        letters[one.start] = one.meant
    return "".join(letters)


def in_plain(text: str) -> str:
    """The text without any lookalike, and without the quotes around it."""
    return replaced(text, find_in_value(text)).strip().strip('"')


def _find(pattern: str, kind: str, meant: str, text: str) -> Iterator[Lookalike]:
    return (Lookalike(kind, match.start(), match[0], meant) for match in re.finditer(pattern, text))
