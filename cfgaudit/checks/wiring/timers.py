"""pin-timer-clash: outputs that share a timer of the chip, and want different frequencies of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.checks.chip_pins import ChipUse, chip_uses, unknown_chips
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.hertz import hertz_text
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.pin_words import pin_text, user_title
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Meaning, Part
from cfgaudit.machine.pieces import split_words
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Boolean

PULSED = {
    "heater": "pin.heater",
    "fan": "pin.fan",
    "output": "pin.output",
    "light": "pin.light",
    "servo": "pin.servo",
}
MOST = 8
"""Outputs of one board that are weighed against one another: more than any board has of this kind."""


class Output(NamedTuple):
    """An output whose pulses a timer makes, and the timers' channels that reach its pin."""

    at: ChipUse
    frequency: Meaning
    hertz: float
    channels: frozenset[tuple[str, str]]

    @property
    def timers(self) -> frozenset[str]:
        return frozenset(timer for timer, _ in self.channels)

    @property
    def title(self) -> str:
        return f"{user_title(self.at.use)} on {pin_text(self.at.use)}"


@check("pin-timer-clash")
def pin_timer_clash(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """No choice of timers gives every output its frequency, or two pins are one channel."""
    yield from unknown_chips(subject.machine)
    boards: dict[str, list[Output]] = {}
    for one in _outputs(subject, number(limits, "software_highest")):
        settled = boards.setdefault(one.at.board.board, [])
        problem = _on_one_channel(settled, one) or _on_one_timer(settled, one)
        if problem is not None:
            yield problem
        elif len(settled) < MOST:
            settled.append(one)


def _outputs(subject: Subject, software_highest: float) -> Iterator[Output]:
    if not subject.machine.chips:
        return
    from cfgaudit.machine.chips.chip import PWM

    for one in chip_uses(subject.machine):
        part = one.use.part
        if part is None or one.pin is None or PULSED.get(part.kind) != one.use.meaning.role:
            continue
        frequency = part.get("pwm.frequency")
        hertz = frequency.amount if frequency is not None else None
        channels = frozenset((signal.unit, signal.name.removesuffix("N")) for signal in one.pin.possibly(PWM))
        if frequency is None or not hertz or not channels or one.chip.anywhere:
            continue
        if hertz > software_highest or _says_hardware(part):
            yield Output(one, frequency, hertz, channels)


def _says_hardware(part: Part) -> bool:
    """Whether a setting of the section says that the chip itself makes the pulses."""
    for setting in part.section.settings:
        if "hardware" in split_words(setting.name):
            value = read_value(setting.value)
            return isinstance(value, Boolean) and value.value
    return False


def _on_one_channel(settled: Sequence[Output], one: Output) -> Problem | None:
    """Two pins that the same channel of the same timer drives are on and off together."""
    for other in settled:
        if other.channels == one.channels and len(one.channels) == 1 and other.at.use.key != one.at.use.key:
            ((timer, channel),) = one.channels
            return _problem([other], one, f"are one channel, {timer} {channel}, and get the same pulses")
    return None


def _on_one_timer(settled: Sequence[Output], one: Output) -> Problem | None:
    if _fits((*settled, one), {}):
        return None
    rivals = [other for other in settled if other.timers & one.timers]
    timers = _joined(sorted({timer for other in (*rivals, one) for timer in other.timers}))
    wanted = _joined([hertz_text(other.hertz) for other in (*rivals, one)])
    return _problem(rivals, one, f"share {timers}, but want {wanted}")


def _joined(texts: Sequence[str]) -> str:
    return " and ".join((", ".join(texts[:-1]), texts[-1])) if len(texts) > 1 else texts[0]


def _fits(outputs: Sequence[Output], taken: Mapping[str, float]) -> bool:
    """Whether every output can have a timer that runs at its frequency."""
    if not outputs:
        return True
    first, rest = outputs[0], outputs[1:]
    return any(
        _fits(rest, {**taken, timer: first.hertz})
        for timer in sorted(first.timers)
        if taken.get(timer, first.hertz) == first.hertz
    )


def _problem(rivals: Sequence[Output], one: Output, what: str) -> Problem:
    everyone = [*rivals, one]
    return Problem(
        one.at.use.place,
        f"{_joined([other.title for other in everyone])} {what}",
        subject=" ".join(user_title(other.at.use) for other in everyone),
        related=tuple(place for other in everyone for place in (other.at.use.place, other.frequency.place)),
    )
