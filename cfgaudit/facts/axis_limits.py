"""Which of the written limits counts for an axis."""

from __future__ import annotations

from cfgaudit.facts.inputs import positive
from cfgaudit.machine.kinematics import partners_of
from cfgaudit.machine.model import MACHINE_WIDE, Axis, Meaning


def limit_of(axis: Axis, role: str) -> Meaning | None:
    """The top speed or acceleration that counts: the axis's own, but never above the whole machine's.

    An axis without one has the machine's; where there is none either, and the axis shares its motors with
    another one, that one's. The feeder moves alone, so the machine's limits are none of its own.
    """
    own = axis.own(role)
    whole = machine_limit(axis, role)
    if own is None:
        return axis.find(role) or next(
            (one for other in partners_of(axis)[1:] if (one := other.own(role)) is not None), None
        )
    top, ceiling = positive(own), positive(whole)
    return whole if top is not None and ceiling is not None and ceiling < top else own


def machine_limit(axis: Axis, role: str) -> Meaning | None:
    """The machine-wide limit for an axis; of several the largest, for nobody knows which counts when.

    None for the feeder, and for a role that has no machine-wide limit.
    """
    if axis.letter == "e" or role not in MACHINE_WIDE:
        return None
    stated = [
        meaning
        for part in axis.machine.kind("motion")
        for meaning in part.all(role)
        if meaning.axis is None and part.axis is None and positive(meaning) is not None
    ]
    return max(stated, key=lambda one: one.amount or 0.0, default=None)
