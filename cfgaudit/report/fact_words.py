"""Facts that moved, in words: ``rules/fact_words.toml`` put to use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from math import floor, log10
from typing import Any, NamedTuple

from cfgaudit.data import data_folder
from cfgaudit.facts.fact import Amount
from cfgaudit.history.change import Consequence
from cfgaudit.own_toml import read_own_toml

FILE = "fact_words.toml"
DIGITS = 4
"""Significant digits of an amount at most; what differs only behind them is not worth a word."""
TOLD = ("always", "rising", "alone", "never")


class Words(NamedTuple):
    """How one quantity is told; ``rank`` is its turn. An empty clause is not told."""

    rank: int
    changed: str
    came: str = ""
    went: str = ""
    digits: int = DIGITS
    unit: str = ""
    times: float = 1.0
    told: str = "always"


class Clause(NamedTuple):
    """One consequence as a clause without a full stop."""

    fact: str
    text: str
    rank: int
    alone: bool
    """Whether it is told only where there is nothing else to tell."""

    @property
    def part(self) -> str:
        """``axis x``: the part that the fact is about."""
        kind, _, rest = self.fact.partition(".")
        return f"{kind} {rest.rpartition('.')[0]}"


@cache
def load_words() -> Mapping[str, Words]:
    """The words for every quantity that has a table."""
    tables = read_own_toml(data_folder("rules") / FILE)
    return {name: _words(rank, name, table) for rank, (name, table) in enumerate(tables.items())}


def _words(rank: int, quantity: str, table: Mapping[str, Any]) -> Words:
    return Words(rank, **{"changed": f"{quantity.replace('_', ' ')} {{after}}, was {{before}}", **table})


def words_for(quantity: str) -> Words:
    """The words for a quantity, its own where it has no table."""
    known = load_words()
    return known.get(quantity) or _words(len(known), quantity, {})


def clauses(consequences: Iterable[Consequence]) -> Sequence[Clause]:
    """What is worth telling of consequences, in the order of the table."""
    said = sorted(_clauses(consequences), key=lambda one: one.rank)
    telling = [one for one in said if not one.alone]
    return telling or said[:1]


def _clauses(consequences: Iterable[Consequence]) -> Iterator[Clause]:
    for one in consequences:
        words = words_for(one.fact.rpartition(".")[2])
        text = _text(one, words)
        if text:
            yield Clause(one.fact, text, words.rank, words.told == "alone")


def _text(one: Consequence, words: Words) -> str:
    """The clause; empty where nothing is worth telling."""
    if words.told == "never":
        return ""
    unit = words.unit or one.unit
    if one.before is None or one.after is None:
        form, only = (words.came, one.after) if one.before is None else (words.went, one.before)
        amount = "" if only is None else amounts_text([only], unit, words)[0]
        return form.replace("{after}", amount).replace("{before}", amount)
    if words.told == "rising" and not _more(one.after, one.before):
        return ""
    after, before = amounts_text([one.after, one.before], unit, words)
    if after == before:
        return ""
    return words.changed.replace("{after}", after).replace("{before}", _bare(before, unit))


def _more(after: Amount, before: Amount) -> bool:
    return not isinstance(after, tuple) and not isinstance(before, tuple) and after > before


def _bare(text: str, unit: str) -> str:
    """The unit is said once."""
    return text.removesuffix(f" {unit}") if unit not in ("", "1") else text


def amounts_text(amounts: Sequence[Amount], unit: str, words: Words) -> list[str]:
    """Amounts with as many decimals each as tell them apart: ``0.14 mm``, ``0.10 mm``."""
    scaled = [_scaled(one, words.times) for one in amounts]
    texts: list[str] = []
    for digits in range(min(words.digits, DIGITS), DIGITS + 1):
        decimals = _decimals([number for one in scaled for number in _numbers(one)], digits)
        texts = _shapes(scaled, decimals)
        if len(set(texts)) == len(texts):
            break
    counts = [
        len(one) if isinstance(one, tuple) and one and isinstance(one[0], tuple) else 0 for one in scaled
    ]
    if len(set(counts)) > 1:
        return [f"{text} {unit} ({count} points)" for text, count in zip(texts, counts, strict=True)]
    return [text if unit in ("", "1") else f"{text} {unit}" for text in texts]


def _scaled(amount: Amount, times: float) -> Amount:
    if times == 1 or isinstance(amount, tuple):
        return amount
    return amount * times


def _numbers(amount: Amount) -> Iterator[float]:
    if not isinstance(amount, tuple):
        yield amount
        return
    for one in amount:
        yield from _numbers(one)


def _decimals(numbers: Iterable[float], digits: int) -> int:
    """How many decimals give the greatest of some numbers so many digits, and the least one if it is near."""
    sizes = [floor(log10(abs(one))) for one in numbers if one]
    if not sizes:
        return 0
    enough = digits - 1 - max(sizes)
    return min(max(enough, -min(sizes)), enough + DIGITS)


def _shapes(amounts: Sequence[Amount], decimals: int) -> list[str]:
    """Numbers with so many decimals (below 0: rounded to tens …), without zeros that all end with."""
    rounded = [
        [f"{round(one, decimals):.{max(0, decimals)}f}" for one in _ends(amount)] for amount in amounts
    ]
    every = [text for texts in rounded for text in texts]
    while every and all("." in one and one.endswith(("0", ".")) for one in every):
        every = [one[:-1] for one in every]
    trimmed = iter(every)
    return [_shape([_zero(next(trimmed)) for _ in texts]) for texts in rounded]


def _zero(text: str) -> str:
    return text.lstrip("-") if not text.strip("-0.") else text


def _ends(amount: Amount) -> Iterator[float]:
    """A number; both ends of a band; the lowest and the highest corner of points."""
    if isinstance(amount, tuple) and amount and isinstance(amount[0], tuple):
        points = [one for one in amount if isinstance(one, tuple)]
        yield from map(min, zip(*points, strict=True))
        yield from map(max, zip(*points, strict=True))
    else:
        yield from _numbers(amount)


def _shape(texts: Sequence[str]) -> str:
    """``5``; ``5 to 9``; ``(5, 6) to (9, 9)``."""
    half = len(texts) // 2
    if half > 1:
        return f"({', '.join(texts[:half])}) to ({', '.join(texts[half:])})"
    return " to ".join(texts)
