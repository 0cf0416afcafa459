"""Heron's raw measurements, simulated: no recording of a real machine is among them.

    python simulate.py FOLDER

writes the files of every run of runs.toml. Only the standard library is used, and its plain generator of
random numbers, which gives the same numbers everywhere: the same parameters make the same bytes, so that the
digests in the records hold.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import cos, exp, pi, sin, sqrt
from pathlib import Path
from random import Random
from statistics import NormalDist
from typing import Any

HERE = Path(__file__).parent
NOT_REAL = "# Simulated by samples/heron/measuring/simulate.py: not a recording of a real machine."
RATE, SECONDS = 800.0, 16.0
"""Samples a second, and how long each axis or belt is shaken."""
SWEEP = (8.0, 140.0)
"""Hz. From the lowest to the highest frequency that is shaken."""
PUSH = 1.0
"""m/s². How hard it is shaken."""
UNEVENNESS = 0.15
"""m/s². The standard deviation of what shakes besides: motors, bearings, the room."""
SENSOR_NOISE = 0.04
"""m/s²."""
CROSSTALK = {"x": (1.0, 0.06, 0.03), "y": (0.05, 1.0, 0.04)}
"""What the sensor's three directions see of an axis that is shaken."""
WEIGHT = (0.0, 0.0, 9.81)
HEADERS = {
    "resonance": "time (s),x (m/s²),y (m/s²),z (m/s²)",
    "belt": "time (s),y (m/s²)",
    "probe": "height (mm)",
    "heatup": "time (s),temperature (°C),duty",
}

Row = Sequence[str]


def runs() -> list[dict[str, Any]]:
    """Every run, in the order in which they were taken."""
    told: list[dict[str, Any]] = tomllib.loads((HERE / "runs.toml").read_text(encoding="utf-8"))["run"]
    return told


def raw_files(run: Mapping[str, Any]) -> dict[str, str]:
    """The files of a run, by name: one or two; none where only a number was written down."""
    return {one["file"]: text(one) for one in run.get("simulate", ())}


def text(parameters: Mapping[str, Any]) -> str:
    kind = parameters["kind"]
    rows = {"resonance": shaken_axis, "belt": shaken_belt, "probe": touches, "heatup": heating}[kind]
    lines = (",".join(row) for row in rows(parameters, noise(parameters["seed"])))
    return "\n".join([NOT_REAL, HEADERS[kind], *lines]) + "\n"


def noise(seed: int) -> Iterator[float]:
    """Normal numbers of mean 0 and deviation 1. What `Random.random` gives for a seed never changes."""
    random, normal = Random(seed), NormalDist()
    while True:
        yield normal.inv_cdf(max(random.random(), 1e-12))


def shaken_axis(given: Mapping[str, Any], random: Iterator[float]) -> Iterator[Row]:
    shares = CROSSTALK[given["axis"]]
    for time, seen in ringing([(given["frequency"], given["damping"], 1.0)], random):
        parts = zip(shares, WEIGHT, strict=True)
        told = (share * seen + weight + SENSOR_NOISE * next(random) for share, weight in parts)
        yield (f"{time:.5f}", *(f"{one:.2f}" for one in told))


def shaken_belt(given: Mapping[str, Any], random: Iterator[float]) -> Iterator[Row]:
    """A belt's span rings, and so does the beam that it moves."""
    modes = [(given["frequency"], given["damping"], 1.0), (given["beam"], 0.1, given["share"])]
    for time, seen in ringing(modes, random):
        yield f"{time:.5f}", f"{seen + SENSOR_NOISE * next(random):.2f}"


def ringing(
    modes: Sequence[tuple[float, float, float]], random: Iterator[float]
) -> Iterator[tuple[float, float]]:
    """Time in s and acceleration in m/s² of masses on springs, shaken by a sweep and by noise.

    Modes are Hz, damping ratio, and share. Each step of ÿ + 2ζω ẏ + ω² y = u is exact for a u that is
    constant in it.
    """
    step = 1.0 / RATE
    states = [(0.0, 0.0)] * len(modes)
    moves = [transition(frequency, damping, step) for frequency, damping, _ in modes]
    low, high = SWEEP
    for number in range(int(RATE * SECONDS)):
        time = number * step
        push = PUSH * sin(2.0 * pi * (low + (high - low) * time / SECONDS / 2.0) * time)
        push += UNEVENNESS * next(random)
        seen = 0.0
        for at, ((frequency, damping, share), move) in enumerate(zip(modes, moves, strict=True)):
            place, speed = states[at]
            pulse = 2.0 * pi * frequency
            seen += share * (push - 2.0 * damping * pulse * speed - pulse**2 * place)
            states[at] = moved(move, place, speed, push / pulse**2)
        yield time, seen


def transition(frequency: float, damping: float, step: float) -> tuple[float, float, float, float]:
    """How place and speed after a step come from those before it."""
    pulse = 2.0 * pi * frequency
    ring = pulse * sqrt(1.0 - damping**2)
    fade, c, s = exp(-damping * pulse * step), cos(ring * step), sin(ring * step)
    lag = damping * pulse / ring
    return fade * (c + lag * s), fade * s / ring, -fade * s * pulse**2 / ring, fade * (c - lag * s)


def moved(
    move: tuple[float, float, float, float], place: float, speed: float, rest: float
) -> tuple[float, float]:
    """Place and speed after a step towards where the push would hold the mass at rest."""
    off = place - rest
    return rest + move[0] * off + move[1] * speed, move[2] * off + move[3] * speed


def touches(given: Mapping[str, Any], random: Iterator[float]) -> Iterator[Row]:
    """Heights in mm: where the probe saw the bed, to whole steps of the lift."""
    for _ in range(given["count"]):
        height = given["mean"] + given["deviation"] * next(random)
        yield (f"{round(height / given['step']) * given['step']:.5f}",)


def heating(given: Mapping[str, Any], random: Iterator[float]) -> Iterator[Row]:
    """A first-order heater with dead time: cold, then at its full duty up to the top, then off."""
    temperature, room = given["room"], given["room"]
    fade = exp(-1.0 / given["time constant"])
    duties: list[float] = []
    for second in range(given["seconds"]):
        begun = second >= given["begins"]
        reached = temperature >= given["top"] or (duties and duties[-1] == 0.0 and max(duties) > 0)
        duties.append(given["duty"] if begun and not reached else 0.0)
        late = second - given["dead time"]
        duty = duties[late] if late >= 0 else 0.0
        yield f"{second}", f"{temperature + 0.05 * next(random):.2f}", f"{duties[-1]:.2f}"
        aim = room + given["gain"] * duty
        temperature = aim + (temperature - aim) * fade


def write_all(folder: Path, some: Iterable[Mapping[str, Any]]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for run in some:
        for name, content in raw_files(run).items():
            (folder / name).write_text(content, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write_all(Path(sys.argv[1]), runs())
