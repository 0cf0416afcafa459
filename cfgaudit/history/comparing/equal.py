"""Whether two settings of two machines say the same, names that were changed considered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from functools import cached_property

from cfgaudit.history.comparing.alias_pairs import alias_form
from cfgaudit.machine.forms import (
    BODY,
    SAME,
    Renames,
    body_form,
    line_form,
    pin_form,
    pin_words,
    text_value,
    value_form,
)
from cfgaudit.machine.model import Machine, Macro, Meaning, Part, PinUse, Reference
from cfgaudit.machine.pieces import Piece, split_pieces
from cfgaudit.syntax.read_pin import read_pin
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.reading import Reading

QUOTES = "\"' "


class Forms:
    """The forms of one machine's settings. ``renames`` says what its names are called in the other."""

    def __init__(self, machine: Machine, renames: Renames = SAME) -> None:
        self._machine, self.renames = machine, renames

    def of(self, reading: Reading) -> Hashable:
        """The form of all that a setting says."""
        setting = reading.setting
        if id(setting) in self._aliases:
            return alias_form(setting, self.renames)
        meanings = self.meanings(reading)
        if not meanings:
            return value_form(text_value(setting.value), None, self.renames)
        first = meanings[0]
        if len(meanings) == 1 and len(first.text) == len(setting.value):
            return (first.role, self.of_meaning(first))
        return tuple(self._pieces(setting.value, meanings))

    def of_meaning(self, meaning: Meaning) -> Hashable:
        """The form of one setting, or of the piece of it that has a meaning of its own."""
        if meaning.role.startswith("pin."):
            return self._pins(meaning)
        if meaning.role.startswith("ref."):
            return self._names(meaning)
        if meaning.role == BODY:
            return self._body(meaning)
        value = text_value(meaning.text) if "\n" in meaning.text else meaning.value
        return value_form(value, meaning.role if meaning.fits else None, self.renames)

    def meanings(self, reading: Reading) -> Sequence[Meaning]:
        """What a setting means, its own meaning first; empty where nobody understands it."""
        return self._by_setting.get(id(reading.setting), ())

    def holders(self, meaning: Meaning) -> Sequence[Part]:
        """The parts of a section that have a meaning."""
        return self._holders.get(id(meaning), ())

    def uses(self, meaning: Meaning) -> Sequence[PinUse]:
        """The uses of pins in a meaning's text."""
        return self._uses.get(id(meaning), ())

    def references(self, meaning: Meaning) -> Sequence[Reference]:
        """What a meaning refers to."""
        return self._references.get(id(meaning), ())

    def _pieces(self, value: str, meanings: Sequence[Meaning]) -> Iterator[Hashable]:
        """Each piece of a value by the meaning that it has, what stands beside that included."""
        for piece in split_pieces(value):
            own = [one for one in meanings if one.start is not None and piece.start <= one.start < piece.end]
            if not own:
                yield value_form(text_value(piece.text), None, self.renames)
            for one in own:
                start = (one.start or 0) - piece.start
                beside = piece.text[:start], piece.text[start + len(one.text) :]
                yield (one.role, self.of_meaning(one), *(fold_name(text) for text in beside))

    def _pins(self, meaning: Meaning) -> Hashable:
        uses = self.uses(meaning)
        whole = next((use for use in uses if use.piece is None), None)
        if whole is not None:
            return (self._pin(whole),)
        by_text = {_piece_text(use): use for use in uses}
        return tuple(self._pin_piece(piece, by_text) for piece in split_pieces(meaning.text))

    def _pin_piece(self, piece: Piece, uses: Mapping[str, PinUse]) -> Hashable:
        use = uses.get(piece.text)
        return pin_form(read_pin(piece.text), piece.text) if use is None else self._pin(use)

    def _pin(self, use: PinUse) -> Hashable:
        """Where a pin leads, and the marks and words around it."""
        beside = pin_words(use.pin, *([use.via.pin] if use.via is not None else []))
        if use.virtual is not None:
            key = use.virtual.section.key
            return ("virtual", self.renames.sections.get(key, key), use.key, *beside)
        return ("pin", self.renames.board(use.board), use.key, *beside)

    def _names(self, meaning: Meaning) -> Hashable:
        """What a text names: by the sections that it leads to, in any spelling."""
        links = self.references(meaning)
        return tuple(self._name(piece.text, links) for piece in split_pieces(meaning.text))

    def _name(self, text: str, links: Sequence[Reference]) -> Hashable:
        bare = text.strip(QUOTES)
        own = [one for one in links if one.target is not None and one.text in bare]
        rest = bare
        for one in own:
            rest = rest.replace(one.text, "", 1)
        if not own:
            return ("name", self.renames.of(bare))
        keys = (self.renames.sections.get(key, key) for key in (_key(one) for one in own))
        return ("part", *keys, " ".join(rest.split()))

    def _body(self, meaning: Meaning) -> Hashable:
        macro = self._macros.get(id(meaning))
        if macro is None:
            return body_form(meaning.text)
        calls = iter(macro.calls)
        forms = []
        for line in macro.lines:
            call = next(calls, None) if line.call is not None else None
            called = call.target.part.section.key if call is not None and call.target is not None else None
            target = None if called is None else self.renames.sections.get(called, called)
            forms.append(line_form(line, target))
        return tuple(form for form in forms if form is not None)

    @cached_property
    def _aliases(self) -> frozenset[int]:
        """The settings of alias sections."""
        return frozenset(
            id(setting) for part in self._machine.kind("alias") for setting in part.section.settings
        )

    @cached_property
    def _by_setting(self) -> Mapping[int, Sequence[Meaning]]:
        found: defaultdict[int, dict[int, Meaning]] = defaultdict(dict)
        for part in self._machine.parts:
            for one in part.meanings:
                found[id(one.setting)][id(one)] = one
        return {setting: tuple(meanings.values()) for setting, meanings in found.items()}

    @cached_property
    def _holders(self) -> Mapping[int, Sequence[Part]]:
        found: defaultdict[int, list[Part]] = defaultdict(list)
        for part in self._machine.parts:
            for one in part.meanings:
                found[id(one)].append(part)
        return found

    @cached_property
    def _uses(self) -> Mapping[int, Sequence[PinUse]]:
        found: defaultdict[int, list[PinUse]] = defaultdict(list)
        for pins in self._machine.pins.values():
            for uses in pins.values():
                for use in uses:
                    found[id(use.meaning)].append(use)
        return found

    @cached_property
    def _references(self) -> Mapping[int, Sequence[Reference]]:
        found: defaultdict[int, list[Reference]] = defaultdict(list)
        for one in self._machine.references:
            if one.meaning is not None:
                found[id(one.meaning)].append(one)
        return found

    @cached_property
    def _macros(self) -> Mapping[int, Macro]:
        return {id(macro.body): macro for macro in self._machine.macros if macro.body is not None}


def _key(link: Reference) -> str:
    return link.target.section.key if link.target is not None else ""


def _piece_text(use: PinUse) -> str:
    return use.piece.text if use.piece is not None else use.meaning.text
