"""Numbers in the unit that is meant where it does not stand beside them."""

from __future__ import annotations

from cfgaudit.syntax.units import amount_as, unit_meaning
from cfgaudit.syntax.value import Dimension, Items, Number, Value
from cfgaudit.vocabulary.catalogue import ROLES


def in_unit_of_name(role: str, value: Value, unit: str) -> Value:
    """Bare numbers in the unit that the setting's name ends with, if it measures what the role asks for."""
    dimension, (times, by) = unit_meaning(unit)
    if dimension is Dimension.NONE or dimension is not ROLES[role].dimension:
        return value
    if isinstance(value, Items):
        return value._replace(items=tuple(in_unit_of_name(role, item, unit) for item in value.items))
    if isinstance(value, Number) and not value.unit:
        return value._replace(amount=value.amount * times / by, unit=unit, dimension=dimension)
    return value


def in_unit_of(role: str, value: Value) -> Value:
    """A number whose letter has two uses in the trade, in the unit that its role asks for."""
    wanted = ROLES[role].dimension
    if not isinstance(value, Number) or value.dimension in (wanted, Dimension.NONE):
        return value
    amount = amount_as(value, wanted)
    return value if amount is None else value._replace(amount=amount, dimension=wanted)
