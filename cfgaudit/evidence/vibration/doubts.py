"""What speaks against the results of a recording of vibrations: what is missing or contradictory."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.recording import Recording, clipping_note
from cfgaudit.evidence.vibration.modes import Mode
from cfgaudit.evidence.vibration.spectrum import SEGMENTS

if TYPE_CHECKING:
    from numpy import ndarray

LOST = 0.03
"""The share of the vibration that may be missing in gaps. The damping was off by more than a quarter in no
simulated run that lost less than 0.01, in 1 of 100 that lost up to 0.05, in a third that lost 0.1 to 0.2."""
BESIDE = 0.25
"""s, at the least, before and after a gap that tell how much shook in it."""
APART = 0.6
"""The share by which the half-power bandwidth's damping may differ from the fit's. In simulated sweeps of one
mode, and in noise of 16 s and more, it was 0.52 at the most."""
LIGHT = 0.12
"""The damping ratio up to which the bandwidth tells it: beyond, how the force grows with the frequency widens
the peak as well."""
STEPS = 3.0
"""Steps of the spectrum that the bandwidth must hold before it tells anything."""
NEIGHBOUR = 2.0
"""Bandwidths within which another mode makes a peak wider or narrower than its own damping does."""


class Doubt(NamedTuple):
    """Why results are not to be trusted, as one clause, and what to do about it, as another."""

    told: str
    remedy: str


def recording_doubts(recording: Recording, name: str) -> Iterator[Doubt]:
    """What speaks against all that is computed from one direction of a recording."""
    if name in recording.clipped:
        yield Doubt(
            clipping_note(name),
            "shake it more gently, or set the instrument to a wider range of acceleration",
        )
    share = lost_share(recording.signals[name], recording.rate, recording.gaps)
    if share > LOST:
        seconds = sum(end - start for start, end in recording.gaps)
        many = len(recording.gaps)
        what = f"a gap of {seconds:.2g} s" if many == 1 else f"{many} gaps of {seconds:.2g} s in all"
        yield Doubt(
            f"{what} while it was shaken took about {100.0 * share:.0f} % of the vibration",
            "see that the instrument loses no samples on their way",
        )


def told_of_end(end: float) -> str:
    """That the highest peak, at so many Hz, is where the shaking ends, as one clause."""
    return (
        f"it shakes most at {end:.0f} Hz, but there the shaking ends, and what it rings with may lie beyond"
    )


def notes_of_ends(ends: Sequence[float]) -> tuple[str, ...]:
    """What was left out beyond where the shaking ends, in Hz."""
    return tuple(
        f"the shaking ends at about {end:.0f} Hz, and what rings there or beyond is not told" for end in ends
    )


def notes_without(doubts: Sequence[Doubt], recording: Recording) -> tuple[str, ...]:
    """What the builder should know of a recording besides."""
    return tuple(note for note in recording.notes if note not in [one.told for one in doubts])


def damping_doubts(modes: Sequence[Mode], seconds: float) -> Iterator[Doubt]:
    """Whether both ways to tell the damping of the strongest mode contradict one another."""
    first, *others = modes
    width = 2.0 * first.damping * first.frequency
    if first.disagreement is None or first.half_power is None or abs(first.disagreement) <= APART:
        return
    coarse = width < STEPS * (SEGMENTS + 1) / (2.0 * seconds)
    crowded = any(abs(one.frequency - first.frequency) < NEIGHBOUR * width for one in others)
    if coarse or crowded or first.damping > LIGHT:
        return
    yield Doubt(
        f"the fit says a damping of {first.damping:.3f}, the half-power bandwidth {first.half_power:.3f}, "
        f"more than {100.0 * APART:.0f} % apart",
        "shake it evenly through all its frequencies, and for longer",
    )


def lost_share(signal: ndarray, rate: float, gaps: Sequence[tuple[float, float]]) -> float:
    """The share of a signal's energy that gaps took, 0 to 1, judged by how much shook beside them.

    ``gaps`` are begin and end in s; the signal is bridged there.
    """
    import numpy

    energy = numpy.concatenate([[0.0], numpy.cumsum(signal**2)])
    bounds = [min(len(signal), max(0, round(one * rate))) for gap in gaps for one in gap]
    ends = [0, *bounds, len(signal)]
    there = sum(float(energy[ends[at + 1]] - energy[ends[at]]) for at in range(0, len(ends), 2))
    lost = 0.0
    for before, start, stop, after in _with_neighbours(ends):
        beside = max(stop - start, round(BESIDE * rate))
        power = max(
            _power(energy, max(before, start - beside), start),
            _power(energy, stop, min(after, stop + beside)),
        )
        lost += (stop - start) * power
    return lost / (lost + there) if lost > 0 else 0.0


def _with_neighbours(ends: Sequence[int]) -> Iterator[tuple[int, int, int, int]]:
    """Each gap with where the samples before it begin, and those after it end."""
    stretches = list(zip(ends[::2], ends[1::2], strict=True))
    for (before, start), (stop, after) in pairwise(stretches):
        yield before, start, stop, after


def _power(energy: ndarray, start: int, stop: int) -> float:
    return float(energy[stop] - energy[start]) / (stop - start) if stop > start else 0.0
