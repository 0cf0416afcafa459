"""The picture of an upgrade: a row a quantity, what it was before being 100 %, with what is known of it."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING
from warnings import catch_warnings, simplefilter

from cfgaudit.history.upgrade import Upgrade
from cfgaudit.report.change_words import revision_text
from cfgaudit.report.plots.canvas import COLOURS, INK, save, stacked
from cfgaudit.report.plots.comparison_rows import Bar, Row, as_is, is_percentage, left_out, row_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDE = 4.0
"""Times between the largest and the smallest value from which on the scale is logarithmic."""
INCH_A_LINE = 0.17
MARKS = ((10.0, (1, 1.5, 2, 3, 4, 5, 6, 7, 8)), (300.0, (1, 2, 5)), (1e5, (1, 3)), (inf, (1,)))
"""Times between two bounds, and what a logarithmic scale marks of each power of ten up to there."""
APART = 0.14
"""Rows: how far the two sides of one quantity are apart."""


def draw_comparison(upgrade: Upgrade, path: Path) -> None:
    """Every quantity in per cent of what it was before; percentages below, as they are. Raises NotDrawn."""
    rows = [row for one in upgrade.quantities if (row := row_of(one, upgrade)) is not None]
    by_scale = ([row for row in rows if is_percentage(row) is wanted] for wanted in (False, True))
    panels = [panel for panel in by_scale if panel]
    heights = [_height(panel) for panel in panels] or [1.0]
    states = [revision_text(one._replace(mark=None, date=None)) for one in (upgrade.before, upgrade.after)]
    figure, found = stacked(
        as_is(f"Before and after: {' to '.join(states)}"),
        heights,
        wide=10.0,
        high=1.4 + 0.6 * len(heights) + sum(heights),
        shared=False,
    )
    for axes, panel in zip(found, panels, strict=False):
        _draw_panel(axes, panel)
    if note := left_out(upgrade.quantities, [row.quantity for row in rows]):
        found[-1].set_xlabel("\n".join(filter(None, (found[-1].get_xlabel(), note))))
    if rows:
        _explain(figure, rows)
    else:
        found[0].set(xticks=[], yticks=[])
        found[0].text(0.5, 0.5, "nothing to compare", transform=found[0].transAxes, ha="center")
    with catch_warnings():
        simplefilter("ignore")  # a letter that the font lacks is drawn as a box
        save(figure, path)


def _height(panel: Sequence[Row]) -> float:
    """In inches."""
    return len(panel) * (0.1 + INCH_A_LINE * max(row.lines for row in panel))


def _draw_panel(axes: Axes, panel: Sequence[Row]) -> None:
    _draw_side(axes, [row.before for row in panel], -APART, INK, "o")
    _draw_side(axes, [row.after for row in panel], APART, COLOURS[1], "D")
    _label_rows(axes, panel)
    if is_percentage(panel[0]):
        axes.set_xlabel("% as measured")
        return
    axes.axvline(100.0, color="#888888", linewidth=1.0, zorder=1)
    scale = _scale(axes, [bar for row in panel for bar in (row.before, row.after)])
    axes.set_xlabel(f"% of what was measured before{scale}")


def _draw_side(axes: Axes, bars: Sequence[Bar], shift: float, colour: str, marker: str) -> None:
    """One marker a row: filled with its 95 % interval, hollow where there is one measurement only."""
    for row, (value, low, high) in enumerate(bars):
        at, face = row + shift, "white" if low is None else colour
        if low is not None and high is not None:
            axes.plot([low, high], [at] * 2, color=colour, linewidth=1.8, marker="|", markersize=8)
        axes.plot([value], [at], color=colour, marker=marker, markersize=6, linestyle="none", mfc=face)


def _explain(figure: Figure, rows: Sequence[Row]) -> None:
    """What the markers mean, of those that are there."""
    from matplotlib.lines import Line2D

    marks = []
    for word, colour, marker, bars in (
        ("before", INK, "o", [row.before for row in rows]),
        ("after", COLOURS[1], "D", [row.after for row in rows]),
    ):
        several, single = (
            Line2D([], [], color=colour, marker=marker, markersize=6, label=f"{word}, {what}")
            for what in ("mean and 95 % interval", "one value")
        )
        single.set(linestyle="none", markerfacecolor="white")
        marks += [several] if any(bar.low is not None for bar in bars) else []
        marks += [single] if any(bar.low is None for bar in bars) else []
    figure.legend(handles=marks, loc="outside lower center", ncols=4, fontsize=9, frameon=False)


def _label_rows(axes: Axes, panel: Sequence[Row]) -> None:
    """What a row is to its left, and what is said of it to its right."""
    axes.set_yticks(range(len(panel)), [row.left for row in panel])
    axes.grid(visible=False, axis="y")
    for at in range(0, len(panel), 2):
        axes.axhspan(at - 0.5, at + 0.5, color=INK, alpha=0.04, linewidth=0)
    axes.set_ylim(len(panel) - 0.5, -0.5)
    for at, row in enumerate(panel):
        axes.annotate(
            row.right,
            (1.0, at),
            xycoords=("axes fraction", "data"),
            xytext=(8, 0),
            textcoords="offset points",
            va="center",
            fontsize=9,
            color=INK,
        )


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers between two bounds; the closer these, the more of each power of ten."""
    digits = next(digits for times, digits in MARKS if high <= times * low)
    steps = [digit * 10.0**power for power in range(-6, 7) for digit in digits]
    return [one for one in steps if low <= one <= high]


def _scale(axes: Axes, bars: Sequence[Bar]) -> str:
    """Logarithmic where the values are far apart; what is said of that."""
    found = [bar.value for bar in bars]
    if min(found) <= 0 or max(found) <= WIDE * min(found):
        return ""
    from matplotlib.ticker import FuncFormatter, NullLocator

    axes.set_xscale("log")
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_xticks(_ticks(*axes.get_xlim()))
    return ", on a logarithmic scale"
