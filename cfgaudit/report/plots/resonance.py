"""The picture of a resonance: what was measured, and what the shapers leave of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cfgaudit.evidence.resonance import Resonance
from cfgaudit.evidence.shaper_choice import Candidate
from cfgaudit.physics.shapers import impulses
from cfgaudit.physics.shaping import residual_vibration
from cfgaudit.report.plots.canvas import COLOURS, INK, new_figure, save

if TYPE_CHECKING:
    from matplotlib.axes import Axes

HIGHEST_SHOWN = 3.0
"""Times the natural frequency up to which the picture goes."""


def draw_resonance(found: Resonance, path: Path) -> None:
    """Spectrum, natural frequencies, and the residual curves of the configured and the recommended shaper."""
    figure, axes = new_figure(f"Axis {found.axis}: what rings, and what the shapers leave of it")
    highest = min(
        float(found.spectrum.frequencies[-1]), HIGHEST_SHOWN * max(one.frequency for one in found.modes)
    )
    shown = found.spectrum.frequencies <= highest
    density = found.spectrum.density[shown] / 1e6
    axes.plot(found.spectrum.frequencies[shown], density, color=INK, linewidth=1.4, label="measured")
    axes.set_xlim(0, highest)
    axes.set_ylim(bottom=0)
    axes.set_xlabel("frequency in Hz")
    axes.set_ylabel("power spectral density in (m/s²)²/Hz")
    for number, mode in enumerate(found.modes):
        label = "natural frequencies" if not number else None
        axes.axvline(mode.frequency, color="#888888", linestyle=":", linewidth=1.2, label=label)
        axes.annotate(
            f"{mode.frequency:.1f} Hz, ζ {mode.damping:.3f}",
            (mode.frequency, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(4, -12 - 14 * number),
            textcoords="offset points",
            fontsize=9,
            color=INK,
        )
    beside = axes.twinx()
    beside.set_ylim(0, 1)
    beside.set_ylabel("share of a vibration that remains")
    beside.spines["top"].set_visible(False)
    if found.choice.configured is not None:
        _residual(beside, found.choice.configured, highest, "configured", COLOURS[1], "--")
    _residual(beside, found.choice.recommended, highest, "recommended", COLOURS[0], "-")
    handles = [*axes.get_legend_handles_labels()[0], *beside.get_legend_handles_labels()[0]]
    beside.legend(handles=handles, loc="upper right", framealpha=0.9, fontsize=9)
    save(figure, path)


def _residual(axes: Axes, one: Candidate, highest: float, word: str, colour: str, style: str) -> None:
    shaper = impulses(one.kind, one.frequency, one.damping)
    frequencies = [highest * at / 400 for at in range(401)]
    left = [residual_vibration(shaper, frequency, one.damping) for frequency in frequencies]
    label = f"{word}: {one.kind} {one.frequency:.1f} Hz leaves {one.remains:.1%}"
    axes.plot(frequencies, left, color=colour, linestyle=style, linewidth=1.8, label=label)
