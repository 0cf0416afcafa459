"""Who names a section or an alias, and a text with such a name put in another's place."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from cfgaudit.machine.aliases import PAIR
from cfgaudit.machine.model import Machine
from cfgaudit.machine.pieces import split_pieces
from cfgaudit.syntax.read_pin import read_pin
from cfgaudit.tree.config_tree import Setting
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.reading import SectionReading

BETWEEN = re.compile(r"""[\s_\-.:/"']+""")

SettingKey = tuple[str, str]
"""The keys of a section and of a setting in it."""


class NameChange(NamedTuple):
    """A section or an alias that has two names. ``key`` is that of the section, or of the setting."""

    section: str
    """The key of the section that is called, or whose alias is called, by the names."""
    alias: bool
    words: tuple[tuple[str, str], ...]
    """Each name, and the one to put in its place."""


def section_names(here: SectionReading, there: SectionReading) -> NameChange:
    """What a section and the part that it describes are called here, and what there."""
    words = [(here.section.name, there.section.name)]
    if here.parts and there.parts and here.parts[0].name and there.parts[0].name:
        words.append((here.parts[0].name, there.parts[0].name))
    return NameChange(here.section.key, False, _different(words))


def alias_names(here: Setting, there: Setting) -> NameChange:
    """The names for pins that one setting gives here, and what the same pins are called there."""
    ours, theirs = _names(here), _names(there)
    words = [(name, theirs[pin]) for pin, name in ours.items() if pin in theirs]
    return NameChange(fold_name(here.section), True, _different(words))


def users(machine: Machine) -> Mapping[SettingKey, frozenset[tuple[str, bool]]]:
    """For every setting that names something: the keys of the sections, and whether by an alias in them."""
    found: defaultdict[SettingKey, set[tuple[str, bool]]] = defaultdict(set)
    for setting, section, alias in _uses(machine):
        found[key_of(setting)].add((section, alias))
    return {key: frozenset(targets) for key, targets in found.items()}


def key_of(setting: Setting) -> SettingKey:
    """A setting among all of its tree."""
    return (fold_name(setting.section) or setting.section, setting.key)


def renamed_text(text: str, changes: Iterable[NameChange]) -> str:
    """A text with every name in it changed, all at once."""
    words = tuple(pair for change in changes for pair in change.words)
    return _renamed(text, words) if words else text


@lru_cache(maxsize=4096)
def _renamed(text: str, words: tuple[tuple[str, str], ...]) -> str:
    longest = sorted(words, key=lambda pair: -len(pair[0]))
    pattern = "|".join(f"({_pattern(name)})" for name, _ in longest)
    return re.sub(
        rf"(?<![\w-])(?:{pattern})(?![\w-])",
        lambda match: longest[(match.lastindex or 1) - 1][1],
        text,
        flags=re.IGNORECASE,
    )


def _pattern(name: str) -> str:
    return r"[\s_\-.:/\"']*".join(re.escape(word) for word in BETWEEN.split(name) if word)


def _different(words: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    pairs = [(one, other) for one, other in words if fold_name(one) != fold_name(other)]
    return tuple((one, other) for one, other in pairs if fold_name(one))


def _uses(machine: Machine) -> Iterator[tuple[Setting, str, bool]]:
    """Each setting that names a section, the section's key, and whether it names an alias in it."""
    for reference in machine.references:
        if reference.meaning is not None and reference.target is not None:
            yield reference.meaning.setting, reference.target.section.key, False
    boards = {fold_name(part.name): part.section.key for part in machine.kind("board")}
    for pins in machine.pins.values():
        for use in (use for uses in pins.values() for use in uses):
            if use.virtual is not None:
                yield use.meaning.setting, use.virtual.section.key, False
            if use.via is not None:
                yield use.meaning.setting, use.via.section.key, True
            board = fold_name(use.pin.board or "")
            if board in boards:
                yield use.meaning.setting, boards[board], False
    for alias in machine.aliases:
        board = fold_name(alias.pin.board or "")
        if board in boards:
            yield from ((one, boards[board], False) for one in alias.section.settings)
    for macro in machine.macros:
        for call in macro.calls:
            if call.target is not None and macro.body is not None:
                yield macro.body.setting, call.target.part.section.key, False


def _names(setting: Setting) -> dict[str, str]:
    """The pins of an alias setting to their names, those that have one."""
    matches = [PAIR.fullmatch(piece.text) for piece in split_pieces(setting.value)]
    if any(matches):
        return {_pin(match["pin"]): match["name"] for match in matches if match is not None}
    return {_pin(setting.value): setting.name}


def _pin(text: str) -> str:
    pin = read_pin(text)
    return pin.key if pin is not None else text
