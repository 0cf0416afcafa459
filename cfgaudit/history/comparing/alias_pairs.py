"""The names for pins that a setting of an alias section gives."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence

from cfgaudit.machine.aliases import PAIR, alias_key
from cfgaudit.machine.forms import SAME, Renames, pin_form, pin_words
from cfgaudit.machine.model import Alias
from cfgaudit.machine.pieces import split_pieces
from cfgaudit.syntax.read_pin import read_pin
from cfgaudit.tree.config_tree import Setting
from cfgaudit.tree.names import fold_name


def alias_pairs(setting: Setting, renames: Renames = SAME) -> Mapping[str, Hashable]:
    """The key of each name to the form of what it stands for; under an empty key what is no pair."""
    pieces = list(split_pieces(setting.value))
    matches = [PAIR.fullmatch(piece.text) for piece in pieces]
    if not any(matches):
        return {"": tuple(_pin(piece.text, renames) for piece in pieces)}
    return {alias_key(one["name"]): _pin(one["pin"], renames) for one in matches if one is not None}


def told_renaming(before: Setting, after: Setting, renames: Renames = SAME) -> str:
    """``rear-out was x-out``: what each pin is called now, and what it was; both as they are written."""
    old, new = alias_pairs(before, renames), alias_pairs(after)
    spelled = _spelled(before) | _spelled(after)
    gone = {form: name for name, form in old.items() if name not in new}
    return ", ".join(
        f"{spelled[name]} was {spelled[gone[form]]}" for name, form in new.items() if name not in old
    )


def _spelled(setting: Setting) -> dict[str, str]:
    matches = (PAIR.fullmatch(piece.text) for piece in split_pieces(setting.value))
    return {alias_key(one["name"]): one["name"] for one in matches if one is not None}


def alias_form(setting: Setting, renames: Renames = SAME) -> Hashable:
    """The form of a setting of an alias section; the order of its pairs says nothing."""
    return ("aliases", frozenset(alias_pairs(setting, renames).items()))


def is_renaming(before: Mapping[str, Hashable], after: Mapping[str, Hashable]) -> bool:
    """Whether the same pins only have other names: each pin once, so that none can be taken for another."""
    old = [form for name, form in before.items() if name not in after]
    new = [form for name, form in after.items() if name not in before]
    kept = all(after[name] == form for name, form in before.items() if name in after)
    return bool(old) and kept and len(set(old)) == len(old) == len(new) and set(old) == set(new)


def renamed_aliases(
    before: Sequence[Alias], after: Sequence[Alias], renames: Renames = SAME
) -> Mapping[str, str]:
    """The folded name of each alias that is gone to that of the one new alias for the same pin."""
    old, new = {alias.key for alias in before}, {alias.key for alias in after}
    if old == new:
        return {}
    gone = _only((_landing(alias, renames), alias.name) for alias in before if alias.key not in new)
    came = _only((_landing(alias, SAME), alias.name) for alias in after if alias.key not in old)
    return {fold_name(name): fold_name(came[at]) for at, name in gone.items() if at in came}


def _landing(alias: Alias, renames: Renames) -> Hashable:
    pin = alias.pin
    return (renames.board(alias.board), renames.board(pin.board or ""), pin.key, *pin_words(pin))


def _only(pairs: Iterable[tuple[Hashable, str]]) -> Mapping[Hashable, str]:
    """What has a form that nothing else has."""
    found: dict[Hashable, list[str]] = {}
    for form, name in pairs:
        found.setdefault(form, []).append(name)
    return {form: names[0] for form, names in found.items() if len(names) == 1}


def _pin(text: str, renames: Renames) -> Hashable:
    pin = read_pin(text)
    form = pin_form(pin, text)
    if pin is None or pin.board is None or not isinstance(form, tuple):
        return form
    return (renames.board(pin.board), *form[1:])
