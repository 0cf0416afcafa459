"""A heater as measured as text: its guards, its regulator, and the model behind both."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from pathlib import Path
from typing import NamedTuple

from cfgaudit.checks.rule import format_amount
from cfgaudit.evidence.heating.guarding import NARROW, Watched
from cfgaudit.evidence.heating.heated import Heated
from cfgaudit.evidence.heating.heater_fit import HeaterFit
from cfgaudit.evidence.heating.regulator import COMFORTABLE, Gains, Margins
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.lines import BLANK, Line, one_line, wrapped
from cfgaudit.report.per_cent import per_cent

TROUBLED = ("unstable", "thin")
"""Words for loops that all but swing."""
AGAIN = "This run is no reason to change it: record another one first."
COARSE = 0.1
"""Samples of so much of the dead time, and longer ones, are told (common practice, no source)."""
ADVICE = (
    "These are figures to compare with, from one heat-up of a simplified heater. Change gains only while you "
    "stand beside the machine, and let the firmware's own tuning have the last word."
)


class Budgets(NamedTuple):
    """What the rules allow: K above the upper limit, and margins below which a loop is thin."""

    beyond: float
    thin: Margins


def heatup_lines(
    found: Heated, budgets: Budgets, kept: Path | None, picture: Path | None, width: int
) -> Iterator[Line]:
    """What it says of guards and regulator, the numbers, and where the record is."""
    yield from wrapped(one_line(_heading(found, budgets)), width, 2, "strong", first="")
    for told in (*_guard_sentences(found, budgets), *_regulation_sentences(found, budgets)):
        yield from wrapped(one_line(f"{told[:1].upper()}{told[1:]}"), width, 2, first="→ ")
    yield BLANK
    for name, text in (*_numbers(found), *_gain_rows(found)):
        yield from wrapped(one_line(text), width, 19, first=f"  {name:<17}")
    for note in found.notes:
        yield from wrapped(one_line(f"{note[:1].upper()}{note[1:]}."), width, 4, first="  ")
    yield BLANK
    yield from wrapped(ADVICE, width, 0)
    if picture is not None:
        yield from wrapped(one_line(f"{picture} is drawn."), width, 0)
    told = f"{kept} is written." if kept is not None else "No record is written (--dry-run)."
    yield from wrapped(one_line(told), width, 0)
    yield from wrapped(CAUTIONS, width, 0)


def _heading(found: Heated, budgets: Budgets) -> str:
    """The guard first, then a loop that all but swings, where the builder said what full power is."""
    told, loop = _guard_heading(found, budgets), _loop_trouble(found, budgets)
    if not loop:
        return told
    if found.doubts:
        return f"{told}, and its loop seems {loop}"
    return f"{told}, {'but' if _suits(found, budgets) else 'and'} its loop is {loop}"


def _loop_trouble(found: Heated, budgets: Budgets) -> str:
    regulation = found.regulation
    if not regulation.stated or regulation.margins is None:
        return ""
    word = loop_word(regulation.margins, budgets.thin)
    if word not in TROUBLED:
        return ""
    return f"{word}, unless I and D are times" if _may_be_times(found, budgets) else word


def _may_be_times(found: Heated, budgets: Budgets) -> bool:
    """Whether the loop would be at ease were I and D the times of an ideal regulator."""
    ideal = found.regulation.ideal
    return ideal is not None and loop_word(ideal, budgets.thin) not in TROUBLED


def _guard_heading(found: Heated, budgets: Budgets) -> str:
    title = f"{found.title[:1].upper()}{found.title[1:]}"
    if not found.watched:
        return f"{title} was measured, and no guard with a clear time watches it"
    if found.fit.rough:
        return f"{title} was measured, but too roughly to change its guard by that"
    if found.is_torn:
        return f"{title} was measured, but with a gap of {found.run.gap:.3g} s: too long to judge its guard"
    if any(one.trips for one in found.watched):
        return f"{title} is healthy, and its guard would switch it off"
    if _first(found).beyond > budgets.beyond:
        return f"{title} gets far too hot before its guard looks"
    narrow = min((one for one in found.watched if one.is_narrow), key=lambda one: one.gained, default=None)
    if narrow is not None:
        return (
            f"{title} and its guard barely suit one another: it gains {narrow.gained:.2g} K where "
            f"{narrow.watching.rise:g} K are wanted"
        )
    if any(one.trips_at_hottest for one in found.watched):
        return f"{title} and its guard suit one another as far as was measured, not up to its upper limit"
    return f"{title} and its guard suit one another"


def _suits(found: Heated, budgets: Budgets) -> bool:
    """Whether nothing is wrong with what the headline says of the guard."""
    narrow = any(one.trips or one.is_narrow or one.trips_at_hottest for one in found.watched)
    return bool(found.watched) and not narrow and _first(found).beyond <= budgets.beyond


def _first(found: Heated) -> Watched:
    """The guard that looks first."""
    return min(found.watched, key=lambda one: one.watching.seconds)


def _guard_sentences(found: Heated, budgets: Budgets) -> Iterator[str]:
    for one in found.watched:
        if one.watching.rise is not None:
            yield _healthy(found, one, one.watching.rise)
    if found.watched:
        yield _dead(found, _first(found), budgets)


def _guard_name(found: Heated, one: Watched) -> str:
    """A heater may be watched by settings in its own section."""
    return "its guard" if one.watching.guard == found.title else one.watching.guard


def _healthy(found: Heated, one: Watched, rise: float) -> str:
    told = (
        f"{_guard_name(found, one)} wants {rise:g} K within {one.watching.seconds:g} s. At {one.hot:.0f} °C, "
        f"the hottest measured where it looks, {found.title} gains {one.gained:.2g} K in that time from "
        "standing still"
    )
    if one.trips and found.doubts:
        return f"{told}: it seems to trip on a healthy heater. {AGAIN}"
    if one.trips:
        return f"{told}: it trips on a healthy heater. Give it more time, or let it want less."
    return f"{told}: it does not trip on a healthy heater{_narrowly(one)}.{_near_limit(one)}"


def _narrowly(one: Watched) -> str:
    """How little is to spare."""
    if one.spare is None or not one.is_narrow:
        return ""
    return (
        f", with {per_cent(one.spare)} to spare: a draught, a fan or a weaker supply may take as much, and "
        f"{per_cent(NARROW)} are ordinary (common practice, no source)"
    )


def _near_limit(one: Watched) -> str:
    """What the model says where nobody measured."""
    if not one.trips_at_hottest:
        return ""
    return (
        f" At {one.hottest:.0f} °C, the hottest below its upper limit where it looks, it gains "
        f"{one.gained_at_hottest:.2g} K by the model: there it would trip. Give it more time, or heat no "
        "hotter than was measured."
    )


def _dead(found: Heated, one: Watched, budgets: Budgets) -> str:
    start = "its upper limit" if one.limit is not None else "the highest that was measured"
    told = (
        f"Should the sensor fall off at {one.begins:.0f} °C, {start}, {found.title} gets to about "
        f"{one.reaches:.0f} °C at full power before {_guard_name(found, one)} looks, in its dead time and "
        f"{one.watching.seconds:g} s"
    )
    bearable = f"{budgets.beyond:g} K above that count as bearable (common practice, no source)"
    if one.beyond > budgets.beyond:
        advice = AGAIN if found.doubts else "Let it look sooner."
        return f"{told}: {one.beyond:.0f} K hotter, and {bearable}. {advice}"
    return f"{told}: {one.beyond:.0f} K hotter; {bearable}."


def _regulation_sentences(found: Heated, budgets: Budgets) -> Iterator[str]:
    regulation = found.regulation
    if regulation.gains is None or regulation.margins is None:
        yield f"{found.title} has no P and I as bare numbers in its files, so there is no loop to look at."
        return
    word = loop_word(regulation.margins, budgets.thin)
    named, margins = _gains_text(regulation.gains), _margins_words(regulation.margins)
    if regulation.stated:
        yield f"With {named} the loop is {word}: {margins}.{_calming_text(found, budgets)}"
        yield (
            "The gains are read as parallel ones in a regulator whose full power is "
            f"{regulation.full_output:g}, as you say."
        )
        return
    yield (
        f"With {named} the loop is {word}, if they are parallel gains and full power is "
        f"{regulation.full_output:g}, which is assumed: no file tells. {margins[:1].upper()}{margins[1:]}."
    )
    yield (
        "If your firmware counts to 1 or to 100, say --full-output 1 or --full-output 100; without it check "
        "holds no gains against this record."
    )


def _calming_text(found: Heated, budgets: Budgets) -> str:
    """By how much gains that are too large are too large."""
    regulation = found.regulation
    if not _loop_trouble(found, budgets):
        return ""
    told = "let the firmware tune this heater again"
    if regulation.calming is not None:
        then = _margins_words(regulation.calming.margins)
        told = f"divide P, I and D by {regulation.calming.divisor:g} ({then}), or {told}"
    if _may_be_times(found, budgets):
        return f" If they are parallel gains, {told}."
    return f" {told[:1].upper()}{told[1:]}."


def loop_word(found: Margins, thin: Margins) -> str:
    """What a loop with these margins is called."""
    if found.swings:
        return "unstable"
    if found.gain < thin.gain or found.phase < thin.phase:
        return "thin"
    if found.gain >= COMFORTABLE.gain and found.phase >= COMFORTABLE.phase:
        return "comfortable"
    return "lively"


def _gains_text(gains: Gains) -> str:
    return f"P {gains.p:.4g}, I {gains.i:.4g} and D {gains.d:.4g}"


def _margins_words(found: Margins) -> str:
    if found.swings:
        return f"by this model it swings, and only {found.gain:.2g} times the gains would let it rest"
    gain = f"{found.gain:.3g}" if isfinite(found.gain) else "without end"
    phase = f"{found.phase:.0f}°" if isfinite(found.phase) else "without end"
    return f"gain margin {gain}, phase margin {phase}"


def _numbers(found: Heated) -> Iterator[tuple[str, str]]:
    plant, fit, heater = found.fit.plant, found.fit, found.heater
    yield "gain", f"{format_amount(plant.gain, 'K')} above {fit.ambient:.1f} °C for full power, at rest"
    yield "time constant", format_amount(plant.time_constant, "s")
    yield "dead time", f"{plant.dead_time:.3g} s{_grain(found.run.step, plant.dead_time)}"
    yield "off by", off_by(fit)
    power = "full power" if heater.full == 1.0 else f"{100 * heater.full:.0f} % power, the most allowed,"
    yield (
        "rises by",
        f"{heater.rate(heater.top):.3g} K/s with {power} at {heater.top:.0f} °C, the highest measured",
    )
    if found.limit is not None:
        yield "", f"{heater.rate(found.limit):.3g} K/s at {found.limit:g} °C, the upper limit"


def off_by(fit: HeaterFit) -> str:
    """How far measured and modelled temperatures are apart."""
    return f"{fit.residual:.2g} K (root of the mean square), {fit.worst:.2g} K at the most"


def _grain(step: float, dead_time: float) -> str:
    """How well a dead time can be known: nobody sees when, between two samples, the power came on."""
    return f", known to one sample of {step:.3g} s at best" if step > COARSE * dead_time else ""


def _gain_rows(found: Heated) -> Iterator[tuple[str, str]]:
    regulation = found.regulation
    for output, margins in regulation.others:
        yield f"if full is {output:g}", _margins_words(margins)
    if regulation.ideal is not None and not regulation.ideal.swings:
        yield "if ideal", f"were I and D times in s: {_margins_words(regulation.ideal)}"
    suggested, margins = regulation.suggested, regulation.suggested_margins
    told = (
        f"P {suggested.p:.3g} and I {suggested.i:.3g} without D, full power being "
        f"{regulation.full_output:g} and τ_c = θ = {regulation.closed_loop:.3g} s"
    )
    yield "by Skogestad", f"{told}: {_margins_words(margins)}"
