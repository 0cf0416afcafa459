"""Words that are one edit away; the four edits are those of F. J. Damerau, CACM 7 (1964) 171."""

from __future__ import annotations

from string import ascii_lowercase


def one_edit(word: str) -> frozenset[str]:
    """Every text that one insertion, deletion, replacement or swap of neighbours makes of a word.

    The plural is left out, in both directions: ``sensors`` is no slip for ``sensor``.
    """
    cuts = [(word[:at], word[at:]) for at in range(len(word) + 1)]
    edits = {head + tail[1:] for head, tail in cuts if tail}
    edits |= {head + tail[1] + tail[0] + tail[2:] for head, tail in cuts if len(tail) > 1}
    edits |= {head + letter + tail[1:] for head, tail in cuts if tail for letter in ascii_lowercase}
    edits |= {head + letter + tail for head, tail in cuts for letter in ascii_lowercase}
    return frozenset(edits - {word, f"{word}s", word.removesuffix("s")})


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
