"""A probe's repeatability as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor, log10
from pathlib import Path

from cfgaudit.evidence.probing.repeatability import FAIR, GOOD, MANY, SUSPICIOUS, Grade, Repeatability
from cfgaudit.evidence.statistics import Trend
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, counted, one_line, wrapped

MOST_DECIMALS = 9
"""Of lengths in mm: a millionth of a µm is nothing."""
NAMED_AT_MOST = 12
"""Outliers that are named one by one."""
ENOUGH_FOR_DRIFT = 5
"""Readings below which chance often makes a row of them that rises (common practice, no source)."""
RAREST = 0.001
"""Of chances; what is smaller is told as smaller than this, for readings are no perfect normal sample."""
GRADES = {
    Grade.GOOD: f"an ordinary good result: good probes stay below {GOOD:g} mm",
    Grade.FAIR: f"fair: good ones stay below {GOOD:g} mm, and up to {FAIR:g} mm first layers come out alike",
    Grade.COARSE: f"coarse: from {FAIR:g} mm on first layers differ visibly",
}
NO_SOURCE = "common practice, no source"


def repeatability_lines(part: str, found: Repeatability, kept: Path | None, width: int) -> Iterator[Line]:
    """The spread and what it is called, the numbers, what the settings say of it, and where the record is."""
    yield from wrapped(one_line(_heading(part, found)), width, 2, "strong", first="")
    failing, told_of_settings = _is_beyond(found), tuple(held_against(found))
    first, rest = (told_of_settings[:1], told_of_settings[1:]) if failing else ((), told_of_settings)
    for told in (*first, _grade(found, "The spread itself" if failing else "That"), *_oddities(found)):
        yield from wrapped(told, width, 2, first="→ ")
    yield BLANK
    for name, text in _numbers(found):
        yield from wrapped(text, width, 22, first=f"  {name:<20}")
    yield BLANK
    for told in rest:
        yield from wrapped(told, width, 2, first="  ")
    yield BLANK
    told = f"{kept} is written." if kept is not None else "No record is written (--dry-run)."
    yield from wrapped(one_line(told), width, 0)


def _heading(part: str, found: Repeatability) -> str:
    size = found.summary.size
    if not found.spread:
        return f"All {size} readings of {part} are equal"
    named = f"{part[:1].upper()}{part[1:]}"
    return f"{named} repeats within {mm(found.spread)} (standard deviation of {size} readings)"


def _is_beyond(found: Repeatability) -> bool:
    """Whether touches as the probe makes them lie further apart than is tolerated."""
    tolerance = found.settings.tolerance
    if tolerance is None or tolerance <= 0 or found.range <= tolerance:
        return False
    return found.sets is None or found.sets.beyond > 0


def _grade(found: Repeatability, what: str) -> str:
    if not found.spread:
        return "The spread is 0 as far as the readings' digits go: it is finer than they resolve."
    return f"{what} is {GRADES[found.grade]} ({NO_SOURCE})."


def _oddities(found: Repeatability) -> Iterator[str]:
    """What is not chance: a drift, readings far off, a spread that no probe has."""
    if found.doubtful:
        yield (
            f"But {found.summary.size} readings are few: the true spread may be as large as "
            f"{mm(found.interval.high)}. Probe the same place {MANY} times or more."
        )
    if found.spread > SUSPICIOUS:
        yield "No probe that works spreads so far: are the readings of one place, and in mm?"
    drift = _drift(found)
    if drift is not None and drift.real:
        whole = drift.slope * (found.summary.size - 1)
        yield (
            f"The readings drift by {_signed(whole)} from the first to the last, which chance alone makes in "
            f"{cases(drift.chance)}: let the machine warm through, and measure again."
        )
    if found.far_off:
        one = len(found.far_off) == 1
        yield (
            f"Reading{'' if one else 's'} {_listed(found.far_off)} {'lies' if one else 'lie'} far off: "
            "look for dirt on the nozzle or the bed. Nothing was left out."
        )


def _drift(found: Repeatability) -> Trend | None:
    """The drift, if there are readings enough to tell one."""
    return found.drift if found.summary.size >= ENOUGH_FOR_DRIFT else None


def cases(chance: float) -> str:
    """How often chance makes something: ``3 of 100 cases``, ``less than 1 of 1000 cases``."""
    if chance < RAREST:
        return f"less than 1 of {1.0 / RAREST:.0f} cases"
    if chance < 0.01:
        return f"{1000.0 * chance:.0f} of 1000 cases"
    return f"{100.0 * chance:.0f} of 100 cases"


def _listed(numbers: tuple[int, ...]) -> str:
    shown = [str(one) for one in numbers[:NAMED_AT_MOST]]
    if rest := len(numbers) - len(shown):
        return f"{', '.join(shown)} and {rest} more"
    return f"{', '.join(shown[:-1])} and {shown[-1]}" if len(shown) > 1 else shown[0]


def _numbers(found: Repeatability) -> Iterator[tuple[str, str]]:
    summary, interval = found.summary, found.interval
    yield "readings", str(summary.size)
    yield "mean", mm(summary.mean)
    yield (
        "standard deviation",
        f"{mm(found.spread)}; the true one lies between {mm(interval.low)} and {mm(interval.high)} with "
        "95 % confidence"
        if found.spread
        else mm(0.0),
    )
    yield "range", f"{mm(found.range)}, from {mm(found.low)} to {mm(found.high)}"
    drift = _drift(found)
    if drift is not None:
        told = "" if drift.real else ", no more than chance makes"
        chance = f"= {drift.chance:.2g}" if drift.chance >= RAREST else f"< {RAREST:g}"
        yield "drift", f"{_fine(drift.slope)} a reading{told} (p {chance})"


def held_against(found: Repeatability) -> Iterator[str]:
    """The readings against the probe's tolerance and one step of Z, a sentence each."""
    tolerance, step = found.settings.tolerance, found.settings.step
    if tolerance is None:
        yield "No tolerance is configured for this probe."
    elif tolerance <= 0:
        yield "The probe's tolerance is 0: it is switched off."
    elif found.range <= tolerance:
        yield f"All readings lie within the tolerance of {mm(tolerance)}."
    else:
        yield _beyond(found, tolerance)
    if step is None:
        yield "What one step of Z is cannot be told from the files."
    elif found.spread < step:
        yield (
            f"The spread is finer than one Z step of {mm(step)}: the probe finds a height better than Z can "
            "set one."
        )
    else:
        yield f"The spread is {found.spread / step:.2g} times one Z step of {mm(step)}."


def _beyond(found: Repeatability, tolerance: float) -> str:
    told = f"The readings span {mm(found.range)}, the tolerance is {mm(tolerance)}"
    sets = found.sets
    if sets is None:
        return f"{told}: touches that lie so far apart count as failed."
    runs = f"of the {counted(sets.runs, 'set')} of {sets.size} in a row, as the probe touches a place,"
    if not sets.beyond:
        return f"{told}; but {runs} none spans more: the tolerance holds."
    return f"{told}: {runs} {sets.beyond} {'spans' if sets.beyond == 1 else 'span'} more."


def mm(length: float) -> str:
    """A length with as many digits as tell something, without exponent: ``0.00079 mm``, ``1.8524 mm``."""
    decimals = 4
    if 0 < abs(length) < 0.01:
        decimals = min(MOST_DECIMALS, 2 - floor(log10(abs(length))))
    text = f"{length:.{decimals}f}"
    return f"{text.rstrip('0').rstrip('.')} mm"


def _fine(length: float) -> str:
    """A small length with its sign; in µm, for in mm it would be a row of zeros."""
    if abs(length) >= GOOD:
        return _signed(length)
    return f"{'−' if length < 0 else '+'}{mm(abs(length) * 1000.0).removesuffix('mm')}µm"


def _signed(length: float) -> str:
    return f"{'−' if length < 0 else '+'}{mm(abs(length))}"


def repeatability_form(part: str, found: Repeatability, kept: Path | None) -> Json:
    """The report of ``measure repeatability``; lengths in mm."""
    return {
        "part": part,
        "readings": found.summary.size,
        "mean": found.summary.mean,
        "standard_deviation": found.spread,
        "interval": found.interval._asdict(),
        "low": found.low,
        "high": found.high,
        "range": found.range,
        "few": found.doubtful,
        "drift": None if found.drift is None else {**found.drift._asdict(), "real": found.drift.real},
        "far_off": list(found.far_off),
        "grade": str(found.grade),
        "settings": found.settings._asdict(),
        "sets": None if found.sets is None else found.sets._asdict(),
        "held_against": list(held_against(found)),
        "record": None if kept is None else str(kept),
    }
