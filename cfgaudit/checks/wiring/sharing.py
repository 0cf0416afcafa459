"""pin-shared: one pin that two settings use for different things."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.checks.boards_named import BoardNames
from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.pin_words import pin_text, user_title
from cfgaudit.checks.registry import check
from cfgaudit.checks.ties import refers, same_name
from cfgaudit.machine.model import Machine, PinUse
from cfgaudit.tree.names import fold_name

BUS_LINES = frozenset({"pin.clock", "pin.data_in", "pin.data_out", "pin.uart"})
READ = frozenset({"pin.endstop", "pin.probe", "pin.sensor", "pin.tach", "pin.filament"})
DRIVEN = frozenset(
    {
        "pin.step",
        "pin.direction",
        "pin.enable",
        "pin.heater",
        "pin.fan",
        "pin.servo",
        "pin.output",
        "pin.light",
    }
)
OTHER = "pin.other"


@check("pin-shared")
def pin_shared(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Two settings use one pin, and nothing that is written explains it."""
    order = {path: rank for rank, path in enumerate(subject.tree.documents)}
    boards = BoardNames(subject.machine)
    for pins in subject.machine.pins.values():
        numbered = all(key.isdigit() for key, uses in pins.items() if _is_surely_pin(uses))
        for key, uses in pins.items():
            if len(uses) > 1 and _is_surely_pin(uses) and (numbered or not key.isdigit()):
                yield from _clashes(subject.machine, boards, key, distinct(uses, order))


def _on_one_board(boards: BoardNames, one: PinUse, other: PinUse) -> bool:
    """Whether nothing in the two sections may say that they are on two boards."""
    if one.part is None or other.part is None or one.pin.board or other.pin.board:
        return True
    return boards.named_in(one.part.section) == boards.named_in(other.part.section)


def _is_surely_pin(uses: Sequence[PinUse]) -> bool:
    """A chip's pin, an alias, or a name with a board before it; any other name may be no pin at all.

    Nor may a bare number, unless all pins of the board are bare numbers.
    """
    return any(use.pin.on_chip or use.via is not None or use.pin.board is not None for use in uses)


def distinct(uses: Sequence[PinUse], order: dict[str, int]) -> list[PinUse]:
    """One use a setting, in the order of reading; pins of other parts and of unknown boards left out."""
    real = [use for use in uses if use.virtual is None and use.known_board]
    real.sort(key=lambda use: (order.get(use.place.file, 0), use.place))
    return list({_setting_key(use): use for use in reversed(real)}.values())[::-1]


def _setting_key(use: PinUse) -> tuple[str, str]:
    return fold_name(use.meaning.setting.section), use.meaning.setting.key


def _clashes(machine: Machine, boards: BoardNames, key: str, uses: Sequence[PinUse]) -> Iterator[Problem]:
    """Every use that clashes with an earlier one; many users of one enable or bus line need no comparing."""
    roles = {use.meaning.role for use in uses}
    if len(roles) == 1 and roles <= BUS_LINES | {"pin.enable"}:
        return
    for index, later in enumerate(uses):
        for earlier in uses[:index]:
            if not may_share(machine, earlier, later) and _on_one_board(boards, earlier, later):
                yield _problem(key, earlier, later)
                break


def may_share(machine: Machine, one: PinUse, other: PinUse) -> bool:
    """Whether two uses of a pin go together, or could, for all that is written."""
    roles = {one.meaning.role, other.meaning.role}
    if _setting_key(one)[0] == _setting_key(other)[0]:
        return _may_share_within(roles)
    if roles <= BUS_LINES | {OTHER} and roles & BUS_LINES:
        return True
    if roles == {"pin.enable"}:
        return True
    if roles <= READ | {OTHER}:
        return roles != {OTHER} and _one_input(machine, one, other, roles)
    if roles == {"pin.select"} and _chained(one, other):
        return True
    if roles == {"pin.servo"} and {use.part.kind for use in (one, other) if use.part} == {"probe", "servo"}:
        return True
    return len(roles) == 1 and roles != {OTHER} and _one_thing(machine, one, other)


def _may_share_within(roles: set[str]) -> bool:
    """Two settings of one section: the same input twice, or a line that carries data both ways."""
    if roles <= BUS_LINES:
        return "pin.clock" not in roles or len(roles) == 1
    return OTHER in roles or (len(roles) == 1 and not roles & DRIVEN)


def _one_input(machine: Machine, one: PinUse, other: PinUse, roles: set[str]) -> bool:
    """Inputs that several parts may read: one switch of one axis, the probe as Z switch, one sensor."""
    if OTHER in roles:
        return True
    axes = {use.part.axis for use in (one, other) if use.part is not None and use.part.axis}
    if roles <= {"pin.endstop", "pin.probe"} and roles != {"pin.probe"}:
        if "pin.probe" in roles:
            return axes <= {"z"}
        return len(axes) == 1 and one.part is not None and other.part is not None
    return len(roles) == 1 and _one_thing(machine, one, other)


def _one_thing(machine: Machine, one: PinUse, other: PinUse) -> bool:
    """Two sections that state the same pin of one thing: a heater and the sensor of the same name."""
    if one.part is None or other.part is None:
        return False
    return same_name(one.part, other.part) or refers(machine, one.part, other.part)


def _chained(one: PinUse, other: PinUse) -> bool:
    """Chips in a chain share a select line; each then has a place in it, or words that we do not know."""
    return all(
        use.part is None
        or bool(use.part.unknown or use.part.get("driver.address") or use.part.get("bus.address"))
        for use in (one, other)
    )


def _is_doubtful(roles: set[str], one: PinUse, other: PinUse) -> bool:
    """Whether the two may mean no harm: a line for two motors, or a user of whom nobody knows what it does.

    Such a user does the same harm as any other where it has just this pin and the other one drives it; a
    list of pins may be a list of what is watched.
    """
    if OTHER not in roles:
        return _wired_in_parallel(roles, one, other)
    unknown = one if one.meaning.role == OTHER else other
    return not roles & DRIVEN or any(mark in unknown.meaning.text for mark in ",;\n")


def _wired_in_parallel(roles: set[str], one: PinUse, other: PinUse) -> bool:
    """Two motors of one axis, whose drivers may hang on one line: odd, but they would turn together."""
    axes = {use.part.axis if use.part is not None else None for use in (one, other)}
    return len(axes) == 1 and None not in axes and len(roles) == 1 and roles <= {"pin.step", "pin.direction"}


def _problem(key: str, earlier: PinUse, later: PinUse) -> Problem:
    roles = {earlier.meaning.role, later.meaning.role}
    pin = pin_text(later)
    if _setting_key(earlier)[0] == _setting_key(later)[0]:
        names = f"{earlier.meaning.setting.name} and {later.meaning.setting.name}"
        message = f"{user_title(later)} uses {pin} twice: {names}"
    else:
        verb = "drive" if roles <= DRIVEN else "read" if roles <= READ else "use"
        message = f"{user_title(earlier)} and {user_title(later)} both {verb} {pin}"
    return Problem(
        later.place,
        message,
        subject=" ".join((*(f"{user_title(use)} {use.meaning.role}" for use in (earlier, later)), key)),
        related=(earlier.place,),
        severity=Severity.WARNING if _is_doubtful(roles, earlier, later) else None,
    )
