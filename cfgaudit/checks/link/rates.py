"""bitrate-mismatch and bitrate-beyond-standard: the speed of a CAN bus."""

from __future__ import annotations

from collections.abc import Iterator
from math import isclose

from cfgaudit.checks.bus_rate import BusRate, bus_rate
from cfgaudit.checks.buses import bus_name, flexible_rate, on_can
from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Machine, Meaning, Part


@check("bitrate-mismatch")
def bitrate_mismatch(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Boards on one CAN bus that do not speak at one rate, or not at the bus's own, hear only errors."""
    boards = list(_rates(subject.machine))
    first_on: dict[str, tuple[Part, Meaning]] = {}
    for board, rate in boards:
        one, first = first_on.setdefault(bus_name(board) or "", (board, rate))
        if first.amount == rate.amount:
            continue
        place, related = at_later(subject.tree, first.place, rate.place)
        yield Problem(
            place,
            f"{board.title} speaks at {rate.text.strip()}, "
            f"but {one.title} on the same CAN bus at {first.text.strip()}",
            subject=f"{one.title} {board.title}",
            related=related,
        )
    for name, (board, rate) in first_on.items():
        own = bus_rate(subject, name, alone=len(first_on) == 1)
        if own is not None and rate.amount is not None and not isclose(own.amount, rate.amount):
            yield _off_bus(subject, board, rate, own)


def _off_bus(subject: Subject, board: Part, rate: Meaning, own: BusRate) -> Problem:
    place, related = at_later(subject.tree, own.setting.place, rate.place)
    return Problem(
        place,
        f"{board.title} speaks at {rate.text.strip()}, "
        f"but its CAN bus has {own.setting.value.strip()} in [{own.setting.section}]",
        subject=f"{board.title} {own.setting.section}",
        related=related,
    )


@check("bitrate-beyond-standard")
def bitrate_beyond_standard(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A rate that no classical CAN controller has to reach."""
    highest = limits["highest"].value
    assert isinstance(highest, (int, float))
    for board, rate in _rates(subject.machine):
        if rate.amount is not None and rate.amount > highest:
            yield Problem(
                rate.place,
                f"{board.title} speaks at {rate.text.strip()}, but classical CAN ends at 1 Mbit/s",
                subject=board.title,
            )


def _rates(machine: Machine) -> Iterator[tuple[Part, Meaning]]:
    """Every board that is known to be on classical CAN, with its rate."""
    for board in machine.kind("board"):
        rate = board.get("board.bitrate")
        if rate is not None and rate.amount is not None and on_can(board) and not flexible_rate(board):
            yield board, rate
