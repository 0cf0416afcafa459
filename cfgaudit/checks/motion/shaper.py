"""Input shapers: their kinds and frequencies, and whether both horizontal axes have one."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number, words
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.travel import axis_meanings
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.nearest import nearest
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.value import Text
from cfgaudit.syntax.value import numbers as amounts_in
from cfgaudit.tree.names import fold_name

SHAPED = ("shaper", "axis", "motion")
"""Parts that can have a shaper. An accelerometer's frequencies are those of a test, not of a shaper."""


@check("shaper-kind-unknown")
def shaper_kind_unknown(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A shaper of a name that the trade does not know: a slip, or something that we cannot compute."""
    known = {fold_name(word): word for word in (*words(limits, "known"), *words(limits, "none"))}
    for part, meaning in _settings(subject.machine, "shaper.kind"):
        name = fold_name(meaning.value.text) if isinstance(meaning.value, Text) and meaning.fits else ""
        if name and name not in known:
            near = nearest(name, known)
            yield Problem(
                meaning.place,
                f"{part.title} has the shaper {meaning.text}, which is none that the trade knows",
                subject=f"{part.title} {meaning.axis or ''}",
                advice=f"Did you mean {known[near]}?" if near else None,
            )


@check("shaper-frequency-implausible")
def shaper_frequency_implausible(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A frequency at which no printer's frame rings. Zero may mean "off"."""
    low, high = number(limits, "lowest"), number(limits, "highest")
    for part, meaning in _settings(subject.machine, "shaper.frequency"):
        for amount in amounts_in(meaning.value) if meaning.fits else ():
            if amount and not low <= amount <= high:
                yield Problem(
                    meaning.place,
                    f"{part.title} is shaped at {format_amount(amount, 'Hz')}; printers ring between about "
                    f"{format_amount(low)} and {format_amount(high, 'Hz')}",
                    subject=f"{part.title} {meaning.axis or ''}",
                )


@check("shaper-on-one-axis")
def shaper_on_one_axis(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """One horizontal axis is shaped and the other one is not."""
    machine = subject.machine
    settings = [pair for role in ("shaper.frequency", "shaper.kind") for pair in axis_meanings(machine, role)]
    if _covers_both(machine) or not {"x", "y"} <= {axis.letter for axis in machine.axes()}:
        return
    shaped = {letter: [one for other, one in settings if other == letter] for letter in "xy"}
    for letter, other in ("xy", "yx"):
        on = next((one for one in shaped[letter] if _switched(one)), None)
        off = next((one for one in shaped[other] if _switched(one) is False), None)
        if on is None or (shaped[other] and off is None):
            continue
        yield Problem(
            off.place if off is not None else on.place,
            f"{letter} has an input shaper, {other} has none",
            subject=f"axis {other}",
            related=(on.place,) if off is not None else (),
        )


def _switched(meaning: Meaning) -> bool | None:
    """Whether a frequency is above zero; None where it is no frequency, or is not known."""
    if meaning.role != "shaper.frequency" or meaning.amount is None:
        return None
    return meaning.amount > 0


def _covers_both(machine: Machine) -> bool:
    """Whether a shaper may serve both axes: it names none, or has words that nobody understands."""
    of_an_axis = {id(part) for axis in machine.axes() for part in axis.parts()}
    for part in machine.kind(*SHAPED):
        own = list(part.all("shaper."))
        if any(one.axis is None and id(part) not in of_an_axis for one in own):
            return True
        if part.unknown and (own or part.kind == "shaper"):
            return True
    return any(
        part.get("shaper.frequency") is None and part.get("shaper.kind") is None
        for part in machine.kind("shaper")
    )


def _settings(machine: Machine, role: str) -> Iterator[tuple[Part, Meaning]]:
    """Every setting of the role, once."""
    seen: set[Place] = set()
    for part in machine.kind(*SHAPED):
        for meaning in part.all(role):
            if meaning.place not in seen:
                seen.add(meaning.place)
                yield part, meaning
