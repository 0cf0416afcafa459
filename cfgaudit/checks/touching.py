"""Where the nozzle must go so that the probe touches a point."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.travel import Bounds
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.machine.places import place_of_piece
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.value import Items, numbers

HORIZONTAL = "xy"


class Shift(NamedTuple):
    """How far the probe stands from the nozzle along one axis, in mm; ``meaning`` is None for no distance."""

    amount: float
    meaning: Meaning | None = None


class Point(NamedTuple):
    """Where something is touched, in mm, as far as it is written; ``place`` is that of the point itself."""

    at: Mapping[str, float]
    meaning: Meaning
    place: Place


class Miss(NamedTuple):
    """One axis along which a point cannot be reached."""

    letter: str
    touched: float
    shift: Shift
    bounds: Bounds
    limit: Meaning

    def __str__(self) -> str:
        """``x 488 mm (450 mm less the probe's offset of -38 mm), but x travels from -5 to 470 mm``."""
        needed = format_amount(self.touched - self.shift.amount, "mm")
        touched, shift = format_amount(self.touched, "mm"), format_amount(self.shift.amount, "mm")
        reason = f" ({touched} less the probe's offset of {shift})" if self.shift.amount else ""
        return f"{self.letter} at {needed}{reason}, but {self.bounds}"


def misses(point: Point, shifts: Mapping[str, Shift], bounds: Mapping[str, Bounds]) -> Iterator[Miss]:
    """The axes along which the nozzle must leave its travel so that the probe stands over the point."""
    for letter, touched in point.at.items():
        if letter in shifts and letter in bounds:
            limit = bounds[letter].beyond(touched - shifts[letter].amount)
            if limit is not None:
                yield Miss(letter, touched, shifts[letter], bounds[letter], limit)


def probe_for(machine: Machine, part: Part) -> Part | None:
    """The probe that a mesh or a levelling uses: the one that it is tied to, else the only one."""
    tied = machine.partners(part, "probe")
    probes = tied or tuple(machine.kind("probe"))
    return probes[0] if len(probes) == 1 else None


def shifts_for(machine: Machine, part: Part) -> dict[str, Shift]:
    """The offsets of the probe that the part uses, by axis; an axis whose offset nobody can tell is left out.

    Without any probe the nozzle itself touches, unless a part that nobody understands may be the probe.
    """
    probe = probe_for(machine, part)
    if probe is not None:
        return probe_shifts(probe)
    strangers = any(list(other.all("pin.")) for other in machine.kind("other"))
    if strangers or any(True for _ in machine.kind("probe")):
        return {}
    return {letter: Shift(0.0) for letter in HORIZONTAL}


def probe_shifts(probe: Part) -> dict[str, Shift]:
    """The probe's offsets that are written; one that is not is zero where every setting is understood."""
    shifts = {} if probe.unknown else {letter: Shift(0.0) for letter in HORIZONTAL}
    for meaning in probe.all("offset"):
        written = numbers(meaning.value) if meaning.fits else ()
        letters = [meaning.axis] if meaning.axis else list("xyz"[: len(written)] if len(written) > 1 else "")
        if len(letters) != len(written):
            return {}
        shifts.update(
            {letter: Shift(amount, meaning) for letter, amount in zip(letters, written, strict=True)}
        )
    return shifts


def points_in(meaning: Meaning) -> Iterator[Point]:
    """The points of a setting: pairs, or x, y and z, in a list or one a line; nothing if it holds else."""
    value = meaning.value
    if not meaning.fits or not isinstance(value, Items) or meaning.axis is not None:
        return
    grouped = [numbers(item) for item in value.items]
    if any(len(group) > 1 for group in grouped):
        sizes = {len(group) for group in grouped}
        if sizes <= {2, 3}:
            places = _places(meaning, len(grouped))
            for group, place in zip(grouped, places, strict=True):
                yield Point(dict(zip(HORIZONTAL, group, strict=False)), meaning, place)
        return
    flat = numbers(value)
    if len(flat) % 2 == 0:
        for pair in zip(flat[::2], flat[1::2], strict=True):
            yield Point(dict(zip(HORIZONTAL, pair, strict=True)), meaning, meaning.place)


def _places(meaning: Meaning, count: int) -> list[Place]:
    """The place of each line of the value where each holds one point, else the whole value's."""
    text, start, found = meaning.setting.value, 0, []
    for line in text.split("\n"):
        if stripped := line.strip():
            begin = text.index(stripped, start)
            found.append(place_of_piece(meaning.setting, begin, begin + len(stripped)))
        start += len(line) + 1
    return found if len(found) == count else [meaning.place] * count
