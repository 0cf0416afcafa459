"""The picture of a heat-up: measured and modelled temperature, and the duty that was given."""

from __future__ import annotations

from pathlib import Path

from cfgaudit.checks.rule import format_amount
from cfgaudit.evidence.heating.heated import Heated
from cfgaudit.evidence.heating.heater_fit import simulated
from cfgaudit.report.heatup import off_by
from cfgaudit.report.plots.canvas import COLOURS, INK, save, stacked

PER_CENT = 100.0
MINUTES_FROM = 600.0
"""s from which times are written in minutes."""


def draw_heatup(found: Heated, path: Path) -> None:
    """Above the temperatures, below what they are off by and the duty."""
    run, fit, plant = found.run, found.fit, found.fit.plant
    title = f"{found.title[:1].upper()}{found.title[1:]}: heat-up, measured and modelled"
    figure, (above, middle, below) = stacked(title, (3.0, 1.0, 1.0), high=6.8)
    slow = fit.seconds > MINUTES_FROM
    times = run.time / (60.0 if slow else 1.0)
    model = simulated(plant, run.duty, run.step, fit.ambient, fit.start)
    above.plot(times, run.temperature, color=COLOURS[5], linewidth=4.0, label="measured")
    told = f"{format_amount(plant.gain, 'K')}, time constant {format_amount(plant.time_constant, 's')}"
    label = f"model: {told}, dead time {plant.dead_time:.2g} s"
    above.plot(times, model, color=COLOURS[1], linestyle="--", linewidth=1.4, label=label)
    if found.limit is not None:
        limit = f"upper limit, {found.limit:g} °C"
        above.axhline(found.limit, color=INK, linestyle=":", linewidth=1.2, label=limit)
    middle.axhline(0.0, color=INK, linewidth=0.8)
    middle.plot(times, run.temperature - model, color=COLOURS[3], linewidth=1.0)
    middle.set_title(f"off by {off_by(fit)}", loc="right", fontsize=9, color=INK)
    below.step(times, PER_CENT * run.duty, where="post", color=COLOURS[2], linewidth=1.4)
    above.set_ylabel("temperature in °C")
    middle.set_ylabel("measured −\nmodel in K")
    below.set_ylabel("duty in %")
    below.set_ylim(0, 1.1 * PER_CENT)
    below.set_xlabel("time in min" if slow else "time in s")
    below.set_xlim(0, float(times[-1]))
    figure.legend(loc="outside lower center", ncols=3, fontsize=9, frameon=False)
    save(figure, path)
