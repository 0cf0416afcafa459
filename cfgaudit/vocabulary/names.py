"""Names to words: where a name splits, and which concepts its words stand for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

CAPITAL = "[A-ZÀ-ÖØ-ÞΑ-ΩЀ-Я]"
SMALL = "(?:[^\\W\\d_²³A-ZÀ-ÖØ-ÞΑ-ΩЀ-Я]|[\u0300-\u036f])"
"""Any other letter, and an accent that is written after its letter."""
WORD = re.compile(rf"{CAPITAL}+(?={CAPITAL}{SMALL})|{CAPITAL}?{SMALL}+|{CAPITAL}+|[\d²³]+")
LONGEST_PHRASE = 5
SHORTEST_PIECE = 3
LONGEST_JOINED = 40
"""Letters: nobody joins more words than that, and each further one is tried in more ways."""
SHORTEST_STEM = 3
"""Letters that a word has without its ending: ``ping`` is no form of ``p``."""
ENDINGS = (("s", ""), ("es", ""), ("ies", "y"), ("ing", ""), ("ing", "e"), ("ed", ""), ("ed", "e"))


class Word(NamedTuple):
    """One word of a name, or a phrase of several that means one thing.

    ``concept`` is empty where the word is unknown; ``start`` and ``end`` are offsets in the name.
    """

    text: str
    concept: str
    start: int
    end: int

    @property
    def is_letter(self) -> bool:
        return len(self.text) == 1 and self.text.isalpha()


@lru_cache(maxsize=16384)
def split_name(name: str) -> tuple[tuple[str, int, int], ...]:
    """The words of a name in lower case, with their offsets: cut at separators, camelCase and digits."""
    return tuple([(match.group().lower(), match.start(), match.end()) for match in WORD.finditer(name)])


class Lexicon:
    """Words and phrases with their concepts; immutable once made."""

    def __init__(self, *layers: Mapping[str, Sequence[str]]) -> None:
        """Each layer maps concepts to their words; the first layer that has a word decides its meaning."""
        self._phrases: dict[tuple[str, ...], str] = {}
        for layer in layers:
            for concept, phrases in layer.items():
                for phrase in phrases:
                    self._phrases.setdefault(_words_of(phrase), concept)
        self._longest = _longest_by_first_word(self._phrases)
        self._known: dict[str, tuple[Word, ...]] = {}
        self._concepts: dict[str, str] = {}
        self._joined: dict[str, tuple[str, ...]] = {}

    def words(self, name: str) -> tuple[Word, ...]:
        """A name's words with the longest phrases folded to their concept."""
        known = self._known.get(name)
        if known is None:
            known = self._known[name] = tuple(self._fold(name))
        return known

    def concept(self, word: str) -> str:
        """The concept of one lower-case word, its plural and its usual endings included; else ``""``."""
        known = self._concepts.get(word)
        if known is None:
            found = (self._phrases.get((form,)) for form in _forms(word))
            known = self._concepts[word] = next((concept for concept in found if concept is not None), "")
        return known

    def _fold(self, name: str) -> Iterator[Word]:
        pieces = split_name(name)
        at = 0
        while at < len(pieces):
            word, start, end = pieces[at]
            size, concept = self._phrase_at(pieces, at) if word in self._longest else (1, self.concept(word))
            if size > 1:
                text = " ".join([word for word, _, _ in pieces[at : at + size]])
                yield Word(text, concept, start, pieces[at + size - 1][2])
            elif concept:
                yield Word(word, concept, start, end)
            else:
                yield from self._lone(word, start, end)
            at += size

    def _phrase_at(self, pieces: tuple[tuple[str, int, int], ...], at: int) -> tuple[int, str]:
        """The longest phrase that begins at a word, else the word: its number of words and its concept."""
        for size in range(min(self._longest[pieces[at][0]], len(pieces) - at), 1, -1):
            concept = self._phrases.get(tuple([word for word, _, _ in pieces[at : at + size]]))
            if concept:
                return size, concept
        return 1, self.concept(pieces[at][0])

    def _lone(self, word: str, start: int, end: int) -> Iterator[Word]:
        """An unknown word as it is, or as the known words that it was joined from."""
        joined = self._joined.get(word)
        if joined is None:
            joined = self._joined[word] = self._unjoin(word) if len(word) <= LONGEST_JOINED else ()
        if not joined:
            yield Word(word, "", start, end)
        for piece in joined:
            yield Word(piece, self.concept(piece), start, start + len(piece))
            start += len(piece)

    def _unjoin(self, word: str) -> tuple[str, ...]:
        """``maxtemp`` → max, temp; ``xmax`` → x, max; nothing unless every piece is known."""
        for cut in range(len(word) - SHORTEST_PIECE, SHORTEST_PIECE - 1, -1):
            head, tail = word[:cut], word[cut:]
            if not self._phrases.get((head,)):
                continue
            if self._phrases.get((tail,)):
                return (head, tail)
            rest = self._unjoin(tail)
            if rest:
                return (head, *rest)
        if len(word) > SHORTEST_PIECE and word[0] in "xyz" and self._phrases.get((word[1:],)):
            return (word[0], word[1:])
        if len(word) > SHORTEST_PIECE and word[-1] in "xyz" and self._phrases.get((word[:-1],)):
            return (word[:-1], word[-1])
        return ()


def _words_of(phrase: str) -> tuple[str, ...]:
    """The words of a phrase, as `split_name` cuts them; most phrases are plain words between spaces."""
    if phrase.isascii() and phrase.islower() and phrase.replace(" ", "").isalpha():
        return tuple(phrase.split())
    return tuple(word for word, _, _ in split_name(phrase))


def _longest_by_first_word(phrases: Iterable[tuple[str, ...]]) -> dict[str, int]:
    """The words that begin a phrase, with the number of words of the longest, at most `LONGEST_PHRASE`."""
    longest: dict[str, int] = {}
    for phrase in phrases:
        if len(phrase) > 1:
            longest[phrase[0]] = max(longest.get(phrase[0], 1), min(LONGEST_PHRASE, len(phrase)))
    return longest


def _forms(word: str) -> Iterator[str]:
    """A word, then what it may be the plural or another form of."""
    yield word
    for ending, instead in ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= SHORTEST_STEM:
            yield word[: -len(ending)] + instead
