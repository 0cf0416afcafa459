"""``measure heatup``: what a heater is like, and its guard and its regulator held against it."""

from __future__ import annotations

from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.drawing import drawing
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.measuring import Columns, Plot, column_names, measuring, plot_file
from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.progress import progress
from cfgaudit.cli.record_keeping import (
    Circumstances,
    Conditions,
    DryRun,
    Instrument,
    Measured,
    Note,
    keep,
    new_record,
    open_measured,
    tell_more,
)
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile

if TYPE_CHECKING:
    from cfgaudit.evidence.heating.heated import Configured
    from cfgaudit.machine.model import Part
    from cfgaudit.report.heatup import Budgets

File = Annotated[str, typer.Argument(metavar="FILE.csv", help="Time, temperature and duty.")]
Heater = Annotated[str, typer.Option("--heater", metavar="NAME", help="The heater that was heated up.")]
FullOutput = Annotated[
    Optional[float],  # noqa: UP045
    typer.Option(
        "--full-output",
        metavar="N",
        help="What P, I and D give for full power: 1, 100, 255 … No file tells; without it 255 is assumed.",
        show_default=False,
    ),
]


def run(
    file: File,
    heater: Heater,
    full_output: FullOutput = None,
    main: MainFile = None,
    columns: Columns = None,
    plot: Plot = None,
    instrument: Instrument = "",
    conditions: Conditions = "",
    note: Note = "",
    dry_run: DryRun = False,
    form: Form = Format.TEXT,
) -> None:
    """Fit a heater to a recorded heat-up, hold its guard and its P, I and D against it, and keep that as a
    record.

    Record from cold to hot, with fans and doors as in use: time in s, temperature in °C, duty from 0 to 1, or
    in the units that the header states, such as time (ms) and temperature (K).
    """
    from cfgaudit.evidence.heating.heated import heatup_results, judge
    from cfgaudit.evidence.heating.heater_fit import fit_heater
    from cfgaudit.evidence.heating.heatup import read_heatup
    from cfgaudit.evidence.heating.plausibility import refuse_implausible
    from cfgaudit.evidence.records.record import MeasurementKind
    from cfgaudit.report.heatup import heatup_lines
    from cfgaudit.report.heatup_json import heatup_form
    from cfgaudit.report.json_form import dump

    picture = plot_file(plot)
    output = _output(full_output)
    measured = open_measured(main)
    part, path = _heater(measured, heater), Path(file)
    with measuring(), progress(f"measuring from {path.name}"):
        recorded = read_heatup(path, column_names(columns))
        configured = configured_for(measured, part)
        refuse_implausible(path, recorded, part.title, configured.limit, place_of(measured, part))
        found = judge(part.title, recorded, fit_heater(path, recorded), configured, output)
    budgets = _budgets(measured, part)
    record = new_record(
        measured,
        MeasurementKind.HEATUP,
        part.title,
        heatup_results(found),
        raw=(path,),
        said=Circumstances(instrument, conditions, note),
        doubts=found.doubts,
    )
    if picture is not None:
        from cfgaudit.report.plots.heatup import draw_heatup

        with drawing():
            draw_heatup(found, picture)
    kept = None if dry_run else keep(measured, record)
    if form is Format.JSON:
        write(dump(heatup_form(found, budgets, kept)))
    else:
        show(heatup_lines(found, budgets, kept, picture, width()))
        tell_more(measured, record)


def _output(full_output: float | None) -> float | None:
    if full_output is not None and not (isfinite(full_output) and full_output > 0):
        raise UsageError(
            f"--full-output {full_output:g} cannot be: give what full power is, such as 1, 100 or 255"
        )
    return full_output


def _heater(measured: Measured, name: str) -> Part:
    """The heater of that name, with or without the word heater before it."""
    from cfgaudit.tree.names import fold_name

    wanted = fold_name(name)
    heaters = list(measured.subject.machine.kind("heater"))
    for one in heaters:
        if wanted and wanted in (fold_name(one.title), fold_name(one.name), fold_name(one.section.name)):
            return one
    there = ", ".join(dict.fromkeys(one.title for one in heaters)) or "none at all"
    raise UsageError(f"this machine has no heater {name.strip() or 'without a name'}: it has {there}")


def configured_for(measured: Measured, heater: Part) -> Configured:
    """How a heater is guarded, limited and regulated."""
    from cfgaudit.checks.evidence.heat import gains_of, limit_of, watchings
    from cfgaudit.evidence.heating.heated import Configured

    duty = heater.get("power.max")
    return Configured(
        tuple(one for _, one in watchings(measured.subject.machine, heater)),
        limit_of(heater),
        gains_of(heater),
        duty.amount if duty is not None else None,
    )


def place_of(measured: Measured, heater: Part) -> str | None:
    """What the heater heats: ``bed``, ``hotend``, ``chamber``, or None."""
    from cfgaudit.checks.heated_place import heated_place

    return heated_place(measured.subject, heater)


def _budgets(measured: Measured, heater: Part) -> Budgets:
    """The limits of the two rules that hold heat-ups against settings, with the builder's own."""
    from cfgaudit.checks.evidence.heat import budget_for, thin_margins
    from cfgaudit.checks.ruleset import load_rules
    from cfgaudit.report.heatup import Budgets

    project = measured.opened.project
    limits = {one.name: one.limits for one in load_rules(limits=project.limits, house=project.house)}
    beyond = budget_for(measured.subject, heater, limits["guard-against-heatup"])
    return Budgets(beyond, thin_margins(limits["pid-margin-thin"]))
