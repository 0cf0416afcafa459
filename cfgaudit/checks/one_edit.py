"""Words that are one edit away; the four edits are those of F. J. Damerau, CACM 7 (1964) 171."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from string import ascii_lowercase

from cfgaudit.nearest import edit_distance


class Neighbours:
    """Finds those of many words that are one edit away: two such words share a text that lacks one letter."""

    def __init__(self, words: Iterable[str]) -> None:
        self._by_text: dict[str, list[str]] = {}
        for word in dict.fromkeys(words):
            for text in _shortened(word):
                self._by_text.setdefault(text, []).append(word)

    def around(self, word: str) -> set[str]:
        """All words that are one edit away, and a few that are two."""
        return {other for text in _shortened(word) for other in self._by_text.get(text, ())}

    def of(self, word: str) -> list[str]:
        """The words at one insertion, deletion, replacement or swap of neighbours, sorted.

        The plural is left out, in both directions: ``sensors`` is no slip for ``sensor``.
        """
        near = self.around(word)
        plurals = {f"{word}s", word.removesuffix("s")}
        return sorted(other for other in near - plurals if edit_distance(word, other, 1) == 1)


def _shortened(word: str) -> Iterator[str]:
    yield word
    yield from {word[:at] + word[at + 1 :] for at in range(len(word))}


@lru_cache(maxsize=4096)
def slips(word: str) -> frozenset[str]:
    """The edits that hardly ever lead from one word of the language to another.

    A letter left out or put in within the word, or two neighbours swapped; never the first or the last
    letter, where words are inflected, and no replacement (lever, level).
    """
    inner = range(1, len(word))
    edits = {word[:at] + word[at + 1 :] for at in inner[:-1]}
    edits |= {word[: at - 1] + word[at] + word[at - 1] + word[at + 1 :] for at in inner}
    edits |= {word[:at] + letter + word[at:] for at in inner for letter in ascii_lowercase}
    return frozenset(edits - {word})
