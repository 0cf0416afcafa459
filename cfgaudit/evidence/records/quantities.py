"""What results of measurements may be, and how people call them: ``results.toml``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from cfgaudit.evidence.records.record import MeasurementKind, Result
from cfgaudit.own_toml import read_own_toml

NO_UNIT = "1"
_NUMBER = re.compile(r" \d+$")


class KnownQuantity(NamedTuple):
    """One table of ``results.toml``. A bound that is None is none."""

    unit: str
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    shown_as: str = ""
    per_cent: bool = False
    apart: tuple[str, ...] = ()
    needed: bool = False

    def expected(self, value: float) -> str:
        """The bound that a value does not keep, in words and with its unit; empty where it keeps all."""
        broken = (
            ("above", self.above, self.above is not None and value <= self.above),
            ("at least", self.at_least, self.at_least is not None and value < self.at_least),
            ("at most", self.at_most, self.at_most is not None and value > self.at_most),
        )
        unit = "" if self.unit == NO_UNIT else f" {self.unit}"
        return next((f"{how} {bound:g}{unit}" for how, bound, is_broken in broken if is_broken), "")


@cache
def _quantities() -> Mapping[MeasurementKind, Mapping[str, KnownQuantity]]:
    tables = read_own_toml(Path(__file__).with_name("results.toml"))
    return {MeasurementKind(kind): dict(map(_named, named.items())) for kind, named in tables.items()}


def _named(item: tuple[str, dict[str, object]]) -> tuple[str, KnownQuantity]:
    name, table = item
    fields = {"shown_as" if key == "as" else key: value for key, value in table.items()}
    return name, KnownQuantity(**fields)  # type: ignore[arg-type]  # a test holds the file against it


def known_quantity(kind: MeasurementKind, name: str) -> KnownQuantity | None:
    """What a result of that name may be in a record of that kind; None where nothing is known of it."""
    return _quantities().get(kind, {}).get(_NUMBER.sub("", name))


def known_quantities() -> Mapping[tuple[MeasurementKind, str], KnownQuantity]:
    """All that something is known of."""
    return {(kind, name): one for kind, named in _quantities().items() for name, one in named.items()}


def missing(kind: MeasurementKind, results: Iterable[Result]) -> str | None:
    """The first result that a record of that kind needs and does not have; None where it has them all."""
    there = {one.name for one in results}
    return next((name for name in needed_results(kind) if name not in there), None)


def needed_results(kind: MeasurementKind) -> tuple[str, ...]:
    """The results without which a record of that kind says nothing."""
    return tuple(name for name, known in _quantities().get(kind, {}).items() if known.needed)


def unfit(kind: MeasurementKind, result: Result) -> tuple[str, str] | None:
    """The key that is wrong in a result, and what is expected of it; None where nothing is."""
    known = known_quantity(kind, result.name)
    if known is None:
        return None
    if result.unit not in ("", known.unit):
        return "unit", f'in "{known.unit}"'
    expected = known.expected(result.value)
    return ("value", expected) if expected else None
