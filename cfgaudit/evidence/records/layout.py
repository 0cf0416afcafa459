"""Whether a machine's files say how its carriage is driven, on which it hangs whose settings count."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.evidence.records.dependencies import CARRIAGE, MOVING
from cfgaudit.evidence.records.record import MeasurementKind
from cfgaudit.machine.kinematics import SHARED
from cfgaudit.machine.model import Machine
from cfgaudit.tree.config_tree import Setting
from cfgaudit.tree.names import fold_name

LAYOUTS = (*SHARED, "cartesian", "delta")
"""As the trade calls them, folded."""


def layout_note(kind: MeasurementKind, part: str, machine: Machine) -> str:
    """How to say what drives x and y where nothing does that is understood; empty where that does not matter.

    Two crossed belts turn both motors for either axis: the settings of both then count for a measurement.
    """
    carriage = [one for one in machine.axes() if one.letter in CARRIAGE]
    concerns = kind is MeasurementKind.BELTS or part in {f"axis {one.letter}" for one in carriage}
    if not concerns or len(carriage) < len(CARRIAGE) or _understood(machine):
        return ""
    named, said = "SECTION:SETTING", "If a setting does"
    if (one := next(_stated(machine), None)) is not None:
        named, said = f"{one.section}:{one.name}", f"If [{one.section}] {one.name} = {one.value} does"
    return (
        f'Nothing that is understood says how x and y are driven. {said}, write "{named}" = "kinematics" '
        "under [roles] in cfgaudit.toml before this record is relied on."
    )


def _understood(machine: Machine) -> bool:
    return any(one.get("kinematics") is not None for one in machine.kind("motion"))


def _stated(machine: Machine) -> Iterator[Setting]:
    """Settings without a role that name a layout."""
    kinds = {*MOVING, "other"}
    for section in machine.reading.sections:
        if section.parts and not any(part.kind in kinds for part in section.parts):
            continue
        for one in section.readings:
            if one.role is None and any(layout in fold_name(one.setting.value) for layout in LAYOUTS):
                yield one.setting
