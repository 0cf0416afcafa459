"""The picture of a resonance: what was measured, and what the shapers leave of it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from cfgaudit.evidence.vibration.resonance import Resonance
from cfgaudit.evidence.vibration.shaper_choice import Candidate
from cfgaudit.physics.shapers import impulses
from cfgaudit.physics.shaping import residual_vibration
from cfgaudit.report.per_cent import per_cent
from cfgaudit.report.plots.canvas import COLOURS, INK, save, stacked

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D
    from numpy import ndarray

HIGHEST_SHOWN = 2.0
"""Times the highest natural frequency up to which the picture goes."""
MM_PER_M = 1e3
FAINT = "#888888"
HEADROOM = 1.22
"""Times the highest amplitude up to which the scale goes: the modes' names stand there."""
NAME_AT, NAME_STEP = 0.97, 0.075
"""Where the first mode's name stands, and how far below it the next, in shares of the height."""


class Curve(NamedTuple):
    """One shaper in the picture."""

    shaper: Candidate
    word: str
    colour: str
    style: str

    @property
    def label(self) -> str:
        one = self.shaper
        return f"{self.word}: {one.kind} at {one.frequency:.1f} Hz, leaves {per_cent(one.remains, 1)}"

    @property
    def line(self) -> Mapping[str, Any]:
        """How it is drawn."""
        return {"color": self.colour, "linestyle": self.style, "linewidth": 2.0, "label": self.label}


def draw_resonance(found: Resonance, path: Path) -> None:
    """Above the spectrum, as it is and as the shapers leave it; below what they leave of a vibration.

    Raises NotDrawn.
    """
    first = found.modes[0]
    at = f"{first.frequency:.1f} Hz, damping {first.damping:.3f}"
    seems = f"Doubtful: axis {found.axis} seems to ring at {at}"
    title = seems if found.doubts else f"Axis {found.axis} rings at {at}"
    figure, (above, below) = stacked(title, (3.0, 2.0), high=6.8)
    highest = HIGHEST_SHOWN * max(one.frequency for one in found.modes)
    shown = found.spectrum.frequencies <= highest
    frequencies, amplitude = (
        found.spectrum.frequencies[shown],
        found.spectrum.density[shown] ** 0.5 / MM_PER_M,
    )
    above.fill_between(frequencies, amplitude, color=INK, alpha=0.12)
    handles = above.plot(frequencies, amplitude, color=INK, linewidth=1.2, label="measured, without a shaper")
    for curve in _curves(found):
        left = _left(curve.shaper, frequencies)
        above.plot(frequencies, amplitude * left, **curve.line)
        handles += below.plot(frequencies, 100.0 * left, **curve.line)
    handles.append(_asked(below, found.leaves))
    _name_modes(found, above, below)
    _scale(above, below, float(amplitude.max()), highest)
    figure.legend(handles=handles, loc="outside lower left", ncols=2, fontsize=9, frameon=False)
    save(figure, path)


def _asked(axes: Axes, leaves: float) -> Line2D:
    """A line at what may be left."""
    label = f"{100.0 * leaves:g} %, which may be left"
    return axes.axhline(100.0 * leaves, color=FAINT, linewidth=1.0, linestyle="-.", label=label)


def _curves(found: Resonance) -> list[Curve]:
    """The recommended shaper, unless the recording is doubtful, and the configured one if there is one."""
    best = () if found.doubts else (found.choice.recommended,)
    curves = [Curve(one, "recommended", COLOURS[0], "-") for one in best]
    if found.choice.configured is not None:
        curves.append(Curve(found.choice.configured, "configured", COLOURS[1], "--"))
    return curves


def _left(one: Candidate, frequencies: ndarray) -> ndarray:
    """The share of a vibration of each frequency that a shaper leaves."""
    import numpy

    shaper = impulses(one.kind, one.frequency, one.damping)
    return numpy.array([residual_vibration(shaper, float(f), one.damping) for f in frequencies])


def _name_modes(found: Resonance, above: Axes, below: Axes) -> None:
    """A line at each mode, with its numbers above the curves where there are several, each below the last.

    A single one stands in the title.
    """
    named = len(found.modes) > 1
    for number, mode in enumerate(sorted(found.modes)):
        for axes in (above, below):
            axes.axvline(mode.frequency, color=FAINT, linestyle=":", linewidth=1.2, zorder=0)
        if not named:
            continue
        above.annotate(
            f"{mode.frequency:.1f} Hz, damping {mode.damping:.3f}",
            (mode.frequency, NAME_AT - NAME_STEP * number),
            xycoords=("data", "axes fraction"),
            xytext=(4, 0),
            textcoords="offset points",
            va="top",
            fontsize=9,
            color=INK,
            bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none"},
        )


def _scale(above: Axes, below: Axes, highest_amplitude: float, highest: float) -> None:
    above.set_ylabel("amplitude (√ of density)\n(m/s²)/√Hz")
    above.set_ylim(0.0, HEADROOM * highest_amplitude)
    below.set_ylabel("left of a vibration\n%")
    below.set_ylim(0.0, 100.0)
    below.set_xlim(0.0, highest)
    below.set_xlabel("frequency in Hz")
