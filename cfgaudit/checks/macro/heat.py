"""Temperatures that are asked for and that the heater's own limit forbids."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.checks.body import all_lines, macro_title
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.heated_place import heated_place
from cfgaudit.checks.limit_value import number, words
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.gcode import Word

PLACES = ("bed", "hotend", "chamber")


@check("temperature-above-limit")
def temperature_above_limit(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A macro or a setting asks for more than the heater may reach."""
    least = number(limits, "plausible_limit")
    yield from _settings(subject.machine, least)
    tops = _tops(subject, least)
    addressed = {code: place for place in PLACES for code in words(limits, place)}
    for line in all_lines(subject.machine):
        if line.line.opaque or line.line.fault is not None or not line.codes:
            continue
        top = tops.get(addressed.get(line.codes[0], ""))
        word = _asked(line.line.words)
        if top is None or word is None or word.number is None or word.number <= (top.amount or 0.0):
            continue
        asked, most = format_amount(word.number, "°C"), format_amount(top.amount or 0.0, "°C")
        yield Problem(
            line.word_place(word),
            f"{macro_title(line.macro)}: {line.codes[0]} asks for {asked}, "
            f"[{top.setting.section}] allows {most}",
            subject=f"{macro_title(line.macro)} {line.codes[0]}",
            related=(top.place,),
        )


def _settings(machine: Machine, least: float) -> Iterator[Problem]:
    for heater in machine.kind("heater"):
        top = _top([heater], least)
        for target in heater.all("temp.target") if top is not None and top.amount is not None else ():
            if target.amount is not None and top is not None and target.amount > (top.amount or 0.0):
                yield Problem(
                    target.place,
                    f"{heater.title} is to keep {format_amount(target.amount, '°C')}, "
                    f"its limit is {format_amount(top.amount or 0.0, '°C')}",
                    subject=f"{heater.title} {target.setting.key}",
                    related=(top.place,),
                )


def _tops(subject: Subject, least: float) -> dict[str, Meaning | None]:
    """The limit at each place that has a heater."""
    heaters: dict[str, list[Part]] = {}
    for heater in subject.machine.kind("heater"):
        heaters.setdefault(heated_place(subject, heater) or "", []).append(heater)
    return {place: _top(found, least) for place, found in heaters.items()}


def _top(heaters: Sequence[Part], least: float) -> Meaning | None:
    """The highest limit of the heaters: which of several is meant nobody can tell. None if one has none.

    A number below ``least`` is no upper limit: its word was misread.
    """
    limits = [_highest(heater) for heater in heaters]
    known = [limit for limit in limits if limit is not None and (limit.amount or 0.0) >= least]
    return max(known, key=lambda one: one.amount or 0.0) if known and len(known) == len(limits) else None


def _highest(heater: Part) -> Meaning | None:
    stated = (limit for limit in heater.all("temp.max") if limit.amount is not None)
    return max(stated, key=lambda one: one.amount or 0.0, default=None)


def _asked(said: Sequence[Word]) -> Word | None:
    """The word with the temperature: S, or R where the line waits for cooling too."""
    return next((word for word in said if word.letter in "SR" and word.number is not None), None)
