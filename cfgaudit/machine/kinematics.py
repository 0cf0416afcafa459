"""Kinematics: which axes share their motors, and which motors therefore belong together.

Two crossed belts of one length (CoreXY, H-bot) turn both motors for a move along either axis. Everywhere else
an axis has motors of its own: one, or several that lift it together.
"""

from __future__ import annotations

from collections.abc import Mapping

from cfgaudit.machine.model import Axis, Machine, Part
from cfgaudit.tree.names import fold_name

SHARED: Mapping[str, str] = {"corexy": "xy", "hbot": "xy", "corexz": "xz", "coreyz": "yz"}
"""By the trade's name of the layout, folded: the axes whose two motors drive both."""
LONE_MOTORS = "ab"
"""The letters that the trade gives the two motors where they are not called after the axes."""


def shared_axes(machine: Machine) -> str:
    """The letters of the two axes that share their motors; empty where no layout says so.

    A layout that is only partly of that kind (a hybrid) is none: its motors differ.
    """
    for part in machine.kind("motion"):
        stated = part.get("kinematics")
        text = fold_name(stated.text) if stated is not None else ""
        for layout, letters in SHARED.items():
            if layout in text and "hybrid" not in text:
                return letters
    return ""


def partners_of(axis: Axis) -> tuple[Axis, ...]:
    """The axis itself, then the other one that its motors also drive, then what the motors are called by."""
    shared = shared_axes(axis.machine)
    if axis.letter not in shared:
        return (axis,)
    letters = [axis.letter, *(one for one in shared if one != axis.letter), *LONE_MOTORS]
    return tuple(axis.machine.axis(letter) for letter in letters)


def motors_of(axis: Axis) -> tuple[Part, ...]:
    """Every motor that turns when the axis moves: its own, and those that it shares with another axis.

    Motors that are called after neither axis count only where the axes name none of their own.
    """
    own, *others = [one.parts("motor") for one in partners_of(axis)]
    if not others:
        return own
    both = dict.fromkeys([*own, *others[0]])
    return tuple(both or dict.fromkeys(motor for some in others[1:] for motor in some))
