"""The picture of two belts: both spectra and their peaks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cfgaudit.evidence.vibration.belts import NAMES, Belts
from cfgaudit.report.per_cent import per_cent
from cfgaudit.report.plots.canvas import COLOURS, INK, STYLES, new_figure, save

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BEYOND = 1.25
"""Times the upper end of the compared band up to which the picture goes."""
PER_CENT = 100.0


def draw_belts(found: Belts, path: Path) -> None:
    """Both densities, each as a share of its own peak, so that shapes compare and not how hard was shaken."""
    compared = found.comparison
    alike = f"{per_cent(compared.likeness, 1)} alike"
    told = f"Two belts, {alike}: {compared.match}" if not found.doubts else f"Doubtful: two belts, {alike}"
    figure, axes = new_figure(told)
    low, high = compared.band
    axes.axvspan(low, high, color=INK, alpha=0.05, label=f"compared, {low:.0f} to {high:.0f} Hz")
    highest = 0.0
    for at, (belt, peak) in enumerate(zip(found.belts, compared.peaks, strict=True)):
        colour, style = COLOURS[at], STYLES[at]
        shares = PER_CENT * belt.spectrum.density / belt.spectrum.density.max()
        label = f"belt {NAMES[at]}, peak at {peak:.1f} Hz"
        axes.plot(
            belt.spectrum.frequencies, shares, color=colour, linestyle=style, linewidth=1.8, label=label
        )
        axes.axvline(peak, color=colour, linestyle=style, linewidth=0.9)
        highest = max(highest, float(belt.spectrum.frequencies[-1]))
    _name_peaks(axes, compared.peaks)
    if not found.crossed and not found.doubts:
        axes.plot([], [], " ", label=f"tension A ÷ B about {compared.tension_ratio:.2f}, spans being equal")
    axes.set_xlim(0, min(highest, BEYOND * high))
    axes.set_ylim(0, 1.12 * PER_CENT)
    axes.set_xlabel("frequency in Hz")
    axes.set_ylabel("spectral density in % of each belt's peak")
    figure.legend(loc="outside lower center", ncols=2, fontsize=9, frameon=False)
    save(figure, path)


def _name_peaks(axes: Axes, peaks: tuple[float, float]) -> None:
    """The belts' letters above their peaks, the lower one to the left of its line."""
    left = int(peaks[1] < peaks[0])
    for at, peak in enumerate(peaks):
        side = "right" if at == left else "left"
        axes.annotate(
            NAMES[at],
            (peak, 1.06 * PER_CENT),
            xytext=(-3 if at == left else 3, 0),
            textcoords="offset points",
            horizontalalignment=side,
            color=COLOURS[at],
            fontweight="bold",
        )
