"""Which section of one state is which of another: by name, else renamed.

A renamed section describes the same kind of part and keeps most of its settings. Where two fit alike there is
no guess.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping
from typing import NamedTuple

from cfgaudit.machine.forms import BODY, Renames, body_form, text_value, value_form
from cfgaudit.machine.index import LINKED_TO_AXIS
from cfgaudit.machine.pieces import split_pieces, split_words
from cfgaudit.syntax.read_pin import is_chip_pin, read_pin
from cfgaudit.syntax.value import Text
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.reading import Reading, SectionReading, TreeReading

ROUNDS = 4
"""Names that follow a rename may prove another: a board's, then a part's on it, then what refers to that."""
SHARED_BY = 12
"""A setting that more sections have tells none from the other."""
LONG_TEXT = 12
"""A text of so many letters is nobody else's by chance."""
LONG_LINE = 30
"""The form of a macro's line that says more than a word or two."""
FEW = 3
"""Of so few settings most being equal proves nothing, unless one is distinctive."""

Token = tuple[Hashable, Hashable]


class Content(NamedTuple):
    """What a section says, as tokens; ``links`` are those that only name another part."""

    section: SectionReading
    tokens: frozenset[Token]
    links: frozenset[Token]
    distinctive: frozenset[Token]
    """Those that hardly another section has by chance."""
    pins: frozenset[Token]


class Score(NamedTuple):
    """How much alike two sections are; the greater the better."""

    share: float
    distinctive: int
    links: int


def match_sections(before: TreeReading, after: TreeReading) -> Mapping[str, str]:
    """The key of every section of ``before`` that ``after`` has, too, to its key there.

    Equal keys are equal sections; the others are those that were renamed.
    """
    old = {one.section.key: one for one in before.sections}
    new = {one.section.key: one for one in after.sections}
    pairs = {key: key for key in old if key in new}
    gone = [one for key, one in old.items() if key not in new]
    came = [one for key, one in new.items() if key not in old]
    for _ in range(ROUNDS if gone and came else 0):
        names = renames_of(before, after, pairs)
        found = dict(_best_pairs(gone, came, names))
        if not found:
            break
        pairs |= found
        taken = set(found.values())
        gone = [one for one in gone if one.section.key not in found]
        came = [one for one in came if one.section.key not in taken]
    return pairs


def renames_of(before: TreeReading, after: TreeReading, pairs: Mapping[str, str]) -> Renames:
    """What the renamed sections, and the parts that they describe, were called and are called now."""
    renamed = {old: new for old, new in pairs.items() if old != new}
    if not renamed:
        return Renames()
    wanted = set(renamed.values())
    by_key = {one.section.key: one for one in after.sections if one.section.key in wanted}
    held = Counter(fold_name(one.parts[0].name) for one in before.sections if one.parts)
    labels: dict[str, str] = {}
    boards: dict[str, str] = {}
    for one in before.sections:
        other = by_key.get(renamed.get(one.section.key, ""))
        if other is None or not one.parts or not other.parts:
            continue
        label, now = fold_name(one.parts[0].name), fold_name(other.parts[0].name)
        if label and held[label] == 1:
            labels[label] = now
        if one.parts[0].kind == "board":
            boards[label] = now
    return Renames(renamed, labels, boards)


def _best_pairs(
    gone: Iterable[SectionReading], came: Iterable[SectionReading], names: Renames
) -> Iterator[tuple[str, str]]:
    """The pairs in which each is the one best match of the other."""
    lefts = _by_bucket(gone, names)
    rights = _by_bucket(came, names.reflected())
    for bucket, old in lefts.items():
        if bucket not in rights:
            continue
        scores = list(_scores(old, rights[bucket]))
        best = _only_best(scores)
        back = _only_best(((other, one), score) for (one, other), score in scores)
        for one, other in best.items():
            if back.get(other) == one:
                yield old[one].section.section.key, rights[bucket][other].section.section.key


def _by_bucket(sections: Iterable[SectionReading], names: Renames) -> dict[Hashable, list[Content]]:
    """Contents by what their sections describe, for only like kinds are compared."""
    buckets: defaultdict[Hashable, list[Content]] = defaultdict(list)
    for one in sections:
        words = split_words(one.section.name)
        kind = one.parts[0].kind if one.parts and one.parts[0].kind != "other" else (*words[:1], "")
        buckets[kind].append(_content(one, names))
    return dict(buckets)


def _scores(old: list[Content], new: list[Content]) -> Iterator[tuple[tuple[int, int], Score]]:
    """The score of every pair that is alike enough, among those that share something rare."""
    holders = _holders(new)
    common = set(_holders(old, at_least=SHARED_BY + 1))
    for index, one in enumerate(old):
        rare = [token for token in _handles(one) if token not in common]
        for other in sorted({other for token in rare for other in holders.get(token, ())}):
            score = _score(one, new[other])
            if score is not None:
                yield (index, other), score


def _holders(contents: list[Content], at_least: int = 1) -> dict[Hashable, list[int]]:
    """Which contents have a handle; without the handles that too many have, or too few."""
    found: defaultdict[Hashable, list[int]] = defaultdict(list)
    for index, one in enumerate(contents):
        for token in _handles(one):
            found[token].append(index)
    if at_least > 1:
        return {token: held for token, held in found.items() if len(held) >= at_least}
    return {token: held for token, held in found.items() if len(held) <= SHARED_BY}


def _handles(content: Content) -> Iterator[Hashable]:
    """What to find a content by: each of its tokens, and all together."""
    yield from content.tokens
    yield content.tokens


def _score(one: Content, other: Content) -> Score | None:
    """None where they are not alike enough. A link that differs says nothing: it may follow a rename."""
    if _are_of_two_axes(one.section, other.section):
        return None
    shared = one.tokens & other.tokens
    total = max(len(one.tokens - one.links | shared), len(other.tokens - other.links | shared))
    distinctive = len(shared & one.distinctive)
    most = 2 * len(shared) > total
    telling = distinctive > 0 or total > FEW or len(shared) == total == FEW
    if not (most and telling) and not (total <= FEW and shared & one.pins):
        return None
    return Score(len(shared) / total, distinctive, len(shared & one.links))


def _are_of_two_axes(one: SectionReading, other: SectionReading) -> bool:
    """Whether two sections of moving parts name different axes; elsewhere a letter is but a label."""
    moving = any(part.kind in LINKED_TO_AXIS for part in one.parts)
    return moving and None not in (one.axis, other.axis) and one.axis != other.axis


def _only_best(pairs: Iterable[tuple[tuple[int, int], Score]]) -> dict[int, int]:
    """For each first the second with the highest score; none where two have it."""
    best: dict[int, tuple[Score, list[int]]] = {}
    for (one, other), score in pairs:
        top = best.get(one)
        if top is None or score > top[0]:
            best[one] = (score, [other])
        elif score == top[0]:
            top[1].append(other)
    return {one: others[0] for one, (_, others) in best.items() if len(others) == 1}


def _content(section: SectionReading, names: Renames) -> Content:
    tokens: set[Token] = set()
    links: set[Token] = set()
    distinctive: set[Token] = set()
    pins: set[Token] = set()
    for reading in section.readings:
        own = _tokens(reading, names)
        tokens |= own
        if reading.role is not None and reading.role.startswith("ref."):
            links |= own
        elif _is_pin(reading):
            pins |= own
        elif reading.role != BODY and isinstance(reading.value, Text):
            distinctive |= own if len(reading.setting.value) >= LONG_TEXT else set()
        elif reading.role == BODY:
            distinctive |= {token for token in own if len(str(token[1])) >= LONG_LINE}
    every = distinctive | pins
    return Content(section, frozenset(tokens), frozenset(links), frozenset(every), frozenset(pins))


def _tokens(reading: Reading, names: Renames) -> set[Token]:
    """A setting as one token; a macro's body as one for each line, so that an edited one stays itself."""
    said: Hashable = (reading.role, reading.axis) if reading.role else reading.setting.key
    if reading.role == BODY:
        return {(said, line) for line in body_form(reading.setting.value)}
    return {(said, _form(reading, names))}


def _form(reading: Reading, names: Renames) -> Hashable:
    text = reading.setting.value
    if reading.role is None or reading.role.startswith(("pin.", "ref.")) or reading.senses:
        return tuple(_piece_form(piece.text, names) for piece in split_pieces(text))
    value = text_value(text) if "\n" in text else reading.value
    return value_form(value, reading.role, names)


def _piece_form(text: str, names: Renames) -> Hashable:
    """A name after the renames, a pin by board and key, anything else as a value."""
    if not names.knows(text):
        pin = read_pin(text) if is_chip_pin(text) else None
        if pin is not None:
            return ("pin", names.board(pin.board or ""), pin.key, pin.marks, pin.words)
    return value_form(text_value(text), None, names)


def _is_pin(reading: Reading) -> bool:
    spec = ROLES.get(reading.role or "")
    return (spec is not None and spec.shape == "pin") or is_chip_pin(reading.setting.value)
