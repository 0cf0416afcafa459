"""heater-without-sensor and heater-without-limits: what every heater needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.heated_place import driven_heaters
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.ties import mentions, namesakes, tied
from cfgaudit.checks.unknown_settings import could_limit, could_name
from cfgaudit.machine.model import Machine, Part

SENSING = ("pin.sensor", "sensor.", "pin.select", "bus.", "pin.other")
"""Roles in a heater's section that show how its temperature is read, or may."""
NO_SENSOR = ("pin.fan", "pin.enable", "pin.step", "pin.direction", "pin.uart")


@check("heater-without-sensor")
def heater_without_sensor(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A heater whose temperature nothing reads.

    Silent where the section holds words or a further pin that could be a sensor's, and, on a machine whose
    heaters do not say which sensor they have, where a section is left that could be one.
    """
    machine = subject.machine
    heaters = driven_heaters(machine)
    if not any(_states_sensor(machine, heater) for heater in heaters) and _unclaimed_sensor(machine):
        return
    for heater in heaters:
        sensed = _states_sensor(machine, heater) or bool(tied(machine, heater, "sensor"))
        unsure = could_name(heater) or _may_be_sensed(machine, heater)
        if not sensed and heater.place is not None and not unsure:
            yield Problem(
                heater.place,
                f"{heater.title} has no temperature sensor, so nothing ends its heating",
                subject=heater.title,
            )


def _states_sensor(machine: Machine, heater: Part) -> bool:
    """Whether the heater's own section says, or may say, what reads its temperature."""
    parts = (heater, *machine.mates(heater))
    if any(True for part in parts for role in SENSING for _ in part.all(role)) or _further_pin(parts):
        return True
    links = machine.from_part(heater)
    return any(link.kind in ("sensor", "heater") and not link.implied for link in links)


def _further_pin(parts: Iterable[Part]) -> bool:
    """Whether the section holds a pin besides the heater's own that may be a sensor's, its word misread."""
    pins = {pin.place: pin.role for part in parts for pin in part.all("pin.") if pin.role not in NO_SENSOR}
    return len(pins) > 1


def _may_be_sensed(machine: Machine, heater: Part) -> bool:
    """Whether a section that nobody understands has a pin and speaks of the heater."""
    strangers = (part for part in machine.kind("other") if any(True for _ in part.all("pin.")))
    return any(mentions(part, (heater,)) for part in strangers)


def _unclaimed_sensor(machine: Machine) -> bool:
    """Whether a section with a pin that is a sensor, or of a kind that tells little, is tied to no heater."""
    return any(
        any(True for _ in part.all("pin.")) and not tied(machine, part, "heater")
        for part in machine.kind("sensor", "probe", "other")
    )


@check("heater-without-limits")
def heater_without_limits(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A heater without an upper limit, or without the lower one that others have.

    Where no heater has an upper limit the firmware may have its own, so that is a warning only.
    """
    machine = subject.machine
    coolest, hottest = number(limits, "plausible_limit"), number(limits, "hottest_limit")
    heaters = driven_heaters(machine)
    limiting = {heater: list(_limiting(machine, heater)) for heater in heaters}
    upper = {heater for heater in heaters if any(part.get("temp.max") for part in limiting[heater])}
    lower = {heater for heater in heaters if any(part.get("temp.min") for part in limiting[heater])}
    for heater, parts in limiting.items():
        if heater not in upper and not could_limit(parts, coolest, hottest):
            yield from _without_upper(heater, None if upper else Severity.WARNING)
        elif heater in upper and heater not in lower and lower and not any(part.unknown for part in parts):
            yield from _without_lower(heater)


def _without_upper(heater: Part, severity: Severity | None) -> Iterator[Problem]:
    if heater.place is not None:
        message = f"{heater.title} has no upper temperature limit"
        yield Problem(heater.place, message, f"{heater.title} upper", severity=severity)


def _without_lower(heater: Part) -> Iterator[Problem]:
    if heater.place is not None:
        yield Problem(
            heater.place,
            f"{heater.title} has no lower temperature limit, so an unplugged sensor reads as cold",
            f"{heater.title} lower",
            advice="Write a lower limit, a few degrees under the coldest the room gets.",
            severity=Severity.WARNING,
        )


def _limiting(machine: Machine, heater: Part) -> Iterator[Part]:
    """The parts that may state a heater's limits: itself, its section's others, its sensors and guards."""
    yield from (heater, *machine.mates(heater), *tied(machine, heater, "sensor", "guard"))
    if heater.get("temp.max") is None or heater.get("temp.min") is None:
        for kind in ("sensor", "guard", "other"):
            yield from namesakes(machine, heater, kind)
