"""The picture of a resonance: what was measured, and what the shapers leave of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.resonance import Resonance
from cfgaudit.evidence.shaper_choice import Candidate
from cfgaudit.physics.shapers import impulses
from cfgaudit.physics.shaping import residual_vibration
from cfgaudit.report.plots.canvas import COLOURS, INK, save, stacked

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy import ndarray

HIGHEST_SHOWN = 2.0
"""Times the highest natural frequency up to which the picture goes."""
MM2_PER_M2 = 1e6


class Curve(NamedTuple):
    """One shaper in the picture."""

    shaper: Candidate
    word: str
    colour: str
    style: str

    @property
    def label(self) -> str:
        one = self.shaper
        return f"{self.word}: {one.kind} {one.frequency:.1f} Hz leaves {one.remains:.1%}"


def draw_resonance(found: Resonance, path: Path) -> None:
    """Above the spectrum, as it is and as the shapers leave it; below the share that they leave."""
    title = f"Axis {found.axis}: what rings, and what is left of it with a shaper"
    figure, (above, below) = stacked(title, (3.0, 2.0), high=6.4)
    highest = HIGHEST_SHOWN * max(one.frequency for one in found.modes)
    shown = found.spectrum.frequencies <= highest
    frequencies, density = found.spectrum.frequencies[shown], found.spectrum.density[shown] / MM2_PER_M2
    above.fill_between(frequencies, density, color=INK, alpha=0.12)
    above.plot(frequencies, density, color=INK, linewidth=1.4, label="measured, without a shaper")
    for curve in _curves(found):
        left = _left(curve.shaper, frequencies)
        above.plot(
            frequencies, density * left**2, color=curve.colour, linestyle=curve.style, label=curve.label
        )
        below.plot(frequencies, 100.0 * left, color=curve.colour, linestyle=curve.style, label=curve.word)
    below.axhline(
        100.0 * found.leaves, color="#888888", linewidth=1.0, label=f"{found.leaves:.0%}, what may remain"
    )
    _name_modes(found, above, below)
    above.set_ylabel("density in (m/s²)²/Hz")
    above.set_ylim(bottom=0)
    below.set_ylabel("% of a vibration left")
    below.set_ylim(0, 100)
    below.set_xlim(0, highest)
    below.set_xlabel("frequency in Hz")
    above.legend(loc="upper right", fontsize=9)
    below.legend(loc="upper right", fontsize=9)
    save(figure, path)


def _curves(found: Resonance) -> list[Curve]:
    """The recommended shaper, and the configured one if there is one."""
    curves = [Curve(found.choice.recommended, "recommended", COLOURS[0], "-")]
    if found.choice.configured is not None:
        curves.append(Curve(found.choice.configured, "configured", COLOURS[1], "--"))
    return curves


def _left(one: Candidate, frequencies: ndarray) -> ndarray:
    """The share of a vibration of each frequency that a shaper leaves."""
    import numpy

    shaper = impulses(one.kind, one.frequency, one.damping)
    return numpy.array([residual_vibration(shaper, float(f), one.damping) for f in frequencies])


def _name_modes(found: Resonance, above: Axes, below: Axes) -> None:
    for number, mode in enumerate(found.modes):
        for axes in (above, below):
            axes.axvline(mode.frequency, color="#888888", linestyle=":", linewidth=1.2)
        above.annotate(
            f"{mode.frequency:.1f} Hz, ζ = {mode.damping:.3f}",
            (mode.frequency, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(4, -12 - 14 * number),
            textcoords="offset points",
            fontsize=9,
            color=INK,
        )
