"""Complete, correct machines in invented vocabularies, with what every name in them means.

A seed chooses the machine, the words for its parts and settings, and the hand that writes them. Nothing
here is taken from what the program knows: the phrases are what builders might say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from random import Random

from vocabulary.invented_hand import (
    QUALIFIERS,
    Hand,
    Names,
    draw_hand,
    header_text,
    joined,
    pin_text,
    quantity_text,
    span_text,
)
from vocabulary.invented_parts import Builder, Named, Part, PinAt, Quantity, Span, Want, build, shuffled
from vocabulary.invented_rest import alias_pins
from vocabulary.phrases import Phrase, Phrases, load_phrases

NO_ROLE_SETTINGS = 10


@dataclass(frozen=True, slots=True)
class Truth:
    """What one setting means. ``role`` None: it has no role. ``axis``: the one that its name gives."""

    section: str
    key: str
    value: str
    role: str | None
    axis: str | None


@dataclass(frozen=True, slots=True)
class Invented:
    """``parts``: each section's name to the kinds of part that it may be read as; the first is the head."""

    seed: int
    text: str
    truths: tuple[Truth, ...]
    parts: dict[str, tuple[str, ...]]
    labels: dict[str, str]
    """Each section's name to the name that its part has; empty for the only one of its kind."""


def invent(seed: int, *, held_out: bool = False) -> Invented:
    """The machine of a seed; ``held_out``: in phrases kept from those who choose the program's words."""
    rng = Random(seed)
    builder = build(rng)
    return _Writer(builder, draw_hand(rng), load_phrases(held_out=held_out)).write(seed)


@dataclass(slots=True)
class _Writer:
    builder: Builder
    hand: Hand
    phrases: Phrases
    kind_words: dict[str, Names] = field(default_factory=dict)
    label_words: dict[str, Names] = field(default_factory=dict)
    headers: dict[Part, str] = field(default_factory=dict)
    chosen: dict[str, int] = field(default_factory=dict)
    aliases: dict[PinAt, str] = field(default_factory=dict)

    @property
    def rng(self) -> Random:
        return self.builder.rng

    def write(self, seed: int) -> Invented:
        for part in self.builder.parts:
            self._name(part)
        if self.rng.random() < 0.25:
            self._name_pins()
        sections = {self.headers[part]: list(self._settings(part)) for part in self.builder.parts}
        self._sprinkle(sections)
        parts = {self.headers[part]: part.kinds for part in self.builder.parts}
        if self.aliases:
            header, entries = self._alias_section()
            sections, parts = {header: entries, **sections}, {header: ("alias",), **parts}
        text = "\n".join(self._lines(sections))
        truths = tuple(one for truths in sections.values() for one in truths)
        return Invented(seed, text, truths, parts, self._labels(parts))

    def _labels(self, sections: Iterable[str]) -> dict[str, str]:
        known = {header: " ".join(self.label_words[part.label]) for part, header in self.headers.items()}
        return {section: known.get(section, "") for section in sections}

    def _name(self, part: Part) -> None:
        label = self._label(part.label)
        while True:
            kind = self.kind_words.get(part.word) or self.rng.choice(self.phrases.words[f"kind.{part.word}"])
            header = header_text(self.hand, kind, label)
            if header.lower() not in {one.lower() for one in self.headers.values()} and self._clean(kind):
                break
        self.kind_words[part.word] = kind
        self.headers[part] = header

    def _label(self, label: str) -> Names:
        if label not in self.label_words:
            ways = self.phrases.words.get(f"label.{label}", (tuple(label.split()),))
            self.label_words[label] = self.rng.choice(ways)
        return self.label_words[label]

    def _clean(self, words: Names) -> bool:
        """Whether words may be joined by marks in this hand."""
        if self.hand.naming in ("spaced", "camel"):
            return True
        spans = {words[a:b] for a in range(len(words)) for b in range(a + 1, len(words) + 1)}
        return self.phrases.spaced_only.isdisjoint(spans)

    def _name_pins(self) -> None:
        way = self.rng.choice(("J", "terminal", "port"))
        for number, pin in enumerate(alias_pins(self.builder), start=1):
            words = (f"J{number}",) if way == "J" else (way, str(number))
            self.aliases[pin] = joined(words, "snake" if self.hand.naming == "dotted" else self.hand.naming)

    def _alias_section(self) -> tuple[str, list[Truth]]:
        kind = self.rng.choice(self.phrases.words["kind.alias"])
        header = header_text(self.hand, kind, ())
        return header, [
            Truth(header, name, pin_text(self.hand, pin, self._boards()), None, None)
            for pin, name in self.aliases.items()
        ]

    def _boards(self) -> dict[str, str]:
        return {board: board for board in self.builder.chips}

    def _settings(self, part: Part) -> Iterator[Truth]:
        wants = list(shuffled(self.rng, part.wants))
        pins = any(isinstance(want.says, PinAt) for want in wants)
        if pins and self.hand.board_mark == "setting" and len(self.builder.chips) > 1:
            wants.insert(0, Want("ref.board", part.board))
        used: set[str] = set()
        for want in wants:
            phrase, key = self._phrase(part, want, used)
            used.add(key.lower())
            value = self._value(part, want, phrase)
            yield Truth(self.headers[part], key, value, want.role, want.axis or None)

    def _phrase(self, part: Part, want: Want, used: set[str]) -> tuple[Phrase, str]:
        """The machine's usual phrase for a role, or another where that one would not be clear here."""
        at = f"{want.role}@{want.place}"
        if at not in self.phrases.groups:
            at = want.role
        roles, sets = self.phrases.groups[at]
        place = roles.index(at)
        usual = self.chosen.setdefault(roles[0], self.rng.randrange(len(sets)))
        for step in range(len(sets)):
            number = (usual + step) % len(sets)
            key = self._key(part, want, sets[number][place])
            if key is not None and key.lower() not in used:
                if not step or want.place != "extruder":
                    self.chosen[roles[0]] = number if not used else usual
                return sets[number][place], key
        raise LookupError(f"no phrase for {at} in {self.headers[part]} is clear")

    def _key(self, part: Part, want: Want, phrase: Phrase) -> str | None:
        hand, words = self.hand, phrase.words
        if phrase.unit and not hand.units:
            return None
        if want.place == "extruder" and not any(word.startswith("temp") for word in words):
            return None
        if hand.backwards and len(words) > 1 and words[0] in QUALIFIERS and not phrase.alone:
            words = (*words[1:], words[0])
        if want.axis:
            words = (want.axis, *words) if hand.axis_first or phrase.alone else (*words, want.axis)
        elif not phrase.alone and len(part.kinds) == 1 and self.rng.random() < hand.part_word:
            words = self._with_part(part, words)
        return joined(words, hand.naming, hand.case) if self._clean(words) else None

    def _with_part(self, part: Part, words: Names) -> Names:
        kind, label = self.kind_words[part.word], self.label_words[part.label]
        if {word[:4] for word in kind} & {word[:4] for word in words}:
            return words
        return (*label, *kind, *words) if self.rng.random() < 0.2 and len(part.label) > 1 else (*kind, *words)

    def _value(self, part: Part, want: Want, phrase: Phrase) -> str:
        says = want.says
        if phrase.value:
            return phrase.value if self.hand.units else phrase.value.split()[0]
        if isinstance(says, Quantity):
            return quantity_text(self.hand, says)
        if isinstance(says, Span):
            return span_text(self.hand, says)
        if isinstance(says, PinAt):
            return self.aliases.get(says) or pin_text(self.hand, says, self._boards())
        if isinstance(says, Named):
            return ", ".join(self._reference(one, phrase) for one in says.parts)
        return says if "\n" not in says else "\n" + says

    def _reference(self, part: Part, phrase: Phrase) -> str:
        """A part's name; with its kind where the phrase tells no kind and several parts have the label."""
        label, kind = self.label_words[part.label], self.kind_words[part.word]
        shared = sum(self.label_words[one.label] == label for one in self.builder.parts) > 1
        naming = "kebab" if self.hand.naming == "dotted" else self.hand.naming
        if not label or self.hand.reference == "section":
            return self.headers[part].replace('"', "")
        if self.hand.reference == "label" and not (phrase.alone and shared):
            return joined(label, naming)
        first, last = (label, kind) if self.hand.header in ("label kind", "joined") else (kind, label)
        return f"{joined(first, naming)} {joined(last, naming)}"

    def _sprinkle(self, sections: dict[str, list[Truth]]) -> None:
        """Settings that are nobody's role: people, dates, colours."""
        homes = [self.headers[part] for part in self.builder.parts if part.word != "macro"]
        for key, value in self.rng.sample(self.phrases.none, min(NO_ROLE_SETTINGS, len(self.phrases.none))):
            section = self.rng.choice(homes)
            name = joined(tuple(key.split()), self.hand.naming, self.hand.case)
            sections[section].append(Truth(section, name, value, None, None))

    def _lines(self, sections: dict[str, list[Truth]]) -> Iterator[str]:
        hand = self.hand
        yield f"{hand.comment} a machine of ours"
        for section, truths in sections.items():
            yield f"\n[{section}]"
            for truth in truths:
                lines = truth.value.split("\n")
                yield f"{truth.key}{hand.separator}{lines[0]}".rstrip()
                yield from (f"    {line}" for line in lines[1:])
            if self.rng.random() < 0.2:
                yield f"{hand.comment} checked in spring"
        yield ""
