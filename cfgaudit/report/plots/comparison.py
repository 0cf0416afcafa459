"""The picture of an upgrade: a row a quantity, what it was before being 100 %, with what is known of it."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from warnings import catch_warnings, simplefilter

from cfgaudit.evidence.comparing.quantity import Measured, Quantity
from cfgaudit.evidence.statistics import CONFIDENCE, Summary, spread_interval
from cfgaudit.history.upgrade import Upgrade
from cfgaudit.report.change_words import revision_text
from cfgaudit.report.comparison_amounts import values
from cfgaudit.report.comparison_words import conclusion, title
from cfgaudit.report.lines import cut, one_line
from cfgaudit.report.plots.canvas import COLOURS, INK, new_figure, save

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDE = 4.0
"""Times between the largest and the smallest value from which on the scale is logarithmic."""
LARGEST = 1e6
"""Per cent. What is farther off makes the rest of a picture a dot."""
WORDS = 44
"""Letters of a row's words at most."""
CLOSE = 10.0
"""Times between two bounds up to which a logarithmic scale has closer marks."""
APART = 0.14
"""Rows: how far the two sides of one quantity are apart."""


class Bar(NamedTuple):
    """One side of a row in per cent of the value before; bounds where it was measured more than once."""

    value: float
    low: float | None
    high: float | None


def draw_comparison(upgrade: Upgrade, path: Path) -> None:
    """Every quantity that can be given in per cent of what it was before. Raises NotDrawn."""
    shown = [one for one in upgrade.quantities if one.relative is not None and _is_drawable(one)]
    rows = max(1, len(shown))
    states = [revision_text(one._replace(mark=None, date=None)) for one in (upgrade.before, upgrade.after)]
    title_text = as_is(f"Before and after: {' to '.join(states)}")
    figure, axes = new_figure(title_text, wide=10.0, high=2.0 + 0.55 * rows)
    sides = [(_bar(one, one.before), _bar(one, one.after)) for one in shown]
    axes.axvline(100.0, color="#888888", linewidth=1.0, zorder=1)
    _draw_side(axes, [before for before, _ in sides], -APART, INK, "o", "before")
    _draw_side(axes, [after for _, after in sides], APART, COLOURS[1], "D", "after")
    _label_rows(axes, shown, upgrade)
    _scale(axes, [bar for pair in sides for bar in pair])
    left_out = len(upgrade.quantities) - len(shown)
    note = f"; {left_out} more have no such share, or one side only" if left_out else ""
    axes.set_xlabel(f"% of what was measured before{note}")
    if not shown:
        axes.text(0.5, 0.5, "nothing was measured on both sides", transform=axes.transAxes, ha="center")
    else:
        figure.legend(loc="outside lower center", ncols=4, fontsize=9, frameon=False)
    with catch_warnings():
        simplefilter("ignore")  # a letter that the font lacks is drawn as a box
        save(figure, path)


def _is_drawable(quantity: Quantity) -> bool:
    """Whether all bounds are within what a scale can show."""
    bars = _bar(quantity, quantity.before), _bar(quantity, quantity.after)
    return all(abs(edge or 0.0) < LARGEST for bar in bars for edge in bar)


def as_is(text: str) -> str:
    """A text on one line in which the drawing library sees no formulas."""
    return one_line(text).replace("$", r"\$")


def interval(side: Measured) -> tuple[float, float] | None:
    """The 95 % confidence interval of a side's mean, x̄ ± t s ÷ √n, or of its deviation; None of one value."""
    if side.deviation is not None:
        bounds = spread_interval(Summary(side.deviation.freedom + 1, 0.0, side.deviation.value))
        return None if bounds is None else (bounds.low, bounds.high)
    size, mean, spread = side.summary
    if spread is None:
        return None
    from scipy.special import stdtrit

    reach = float(stdtrit(size - 1, 0.5 + CONFIDENCE / 2.0)) * spread / sqrt(size)
    return mean - reach, mean + reach


def _bar(quantity: Quantity, side: Measured | None) -> Bar:
    assert side is not None
    assert quantity.before is not None
    scale = 100.0 / quantity.before.summary.mean
    bounds = interval(side)
    low, high = (None, None) if bounds is None else sorted(scale * one for one in bounds)
    return Bar(scale * side.summary.mean, low, high)


def _draw_side(axes: Axes, bars: Sequence[Bar], shift: float, colour: str, marker: str, word: str) -> None:
    """One marker a row: filled with its 95 % interval, hollow where there is one measurement only."""
    repeated = [(row, bar.value, bar.low, bar.high) for row, bar in enumerate(bars) if bar.low is not None]
    single = [(row, bar.value) for row, bar in enumerate(bars) if bar.low is None]
    for row, value, low, high in repeated:
        axes.plot(
            [low or 0.0, high or 0.0],
            [row + shift] * 2,
            color=colour,
            linewidth=1.8,
            marker="|",
            markersize=8,
        )
        axes.plot([value], [row + shift], color=colour, marker=marker, markersize=6, linestyle="none")
    for row, value in single:
        axes.plot(
            [value], [row + shift], color=colour, marker=marker, markersize=6, linestyle="none", mfc="white"
        )
    label = f"{word}, mean and 95 % interval"
    if repeated:
        axes.plot([], [], color=colour, marker=marker, markersize=6, linewidth=1.8, label=label)
    if single:
        axes.plot(
            [],
            [],
            color=colour,
            marker=marker,
            markersize=6,
            linestyle="none",
            mfc="white",
            label=f"{word}, one value",
        )


def _label_rows(axes: Axes, shown: Sequence[Quantity], upgrade: Upgrade) -> None:
    """What a row is to its left, and what is said of it to its right."""
    axes.set_yticks(range(len(shown)), [as_is(cut(title(one), WORDS)) for one in shown])
    axes.grid(visible=False, axis="y")
    for row in range(0, len(shown), 2):
        axes.axhspan(row - 0.5, row + 0.5, color=INK, alpha=0.04, linewidth=0)
    axes.set_ylim(max(len(shown), 1) - 0.5, -0.5)
    for row, one in enumerate(shown):
        said = "\n".join(as_is(cut(text, WORDS)) for text in (values(one), conclusion(one, upgrade)))
        axes.annotate(
            said,
            (1.0, row),
            xycoords=("axes fraction", "data"),
            xytext=(8, 0),
            textcoords="offset points",
            va="center",
            fontsize=9,
            color=INK,
        )


def _ticks(low: float, high: float) -> list[float]:
    """1, 2 and 5 of each power of ten between two bounds; more of them where these are near one another."""
    digits = (1, 2, 5) if high > CLOSE * low else (1, 1.5, 2, 3, 4, 5, 6, 7, 8)
    steps = [digit * 10.0**power for power in range(-6, 7) for digit in digits]
    return [one for one in steps if low <= one <= high]


def _scale(axes: Axes, bars: Sequence[Bar]) -> None:
    """Logarithmic where the values are far apart."""
    found = [one.value for one in bars]
    if found and max(found) > WIDE * min(found):
        from matplotlib.ticker import FuncFormatter, NullFormatter

        axes.set_xscale("log")
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        axes.xaxis.set_minor_formatter(NullFormatter())
        axes.set_xticks(_ticks(*axes.get_xlim()))
