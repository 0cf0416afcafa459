"""``measure hardware``: a change of the machine that no file tells."""

from __future__ import annotations

from typing import Annotated

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.record_keeping import Circumstances, Note, keep, new_record, open_measured
from cfgaudit.cli.screen import show, width
from cfgaudit.cli.states import MainFile

What = Annotated[str, typer.Argument(metavar="WHAT", help='What was changed: "new rails on X".')]
Affects = Annotated[
    list[str],
    typer.Option(
        "--affects",
        metavar="PART",
        help="What it concerns: axis.x, 'axis.*', heater.bed, belts. Measurements of it from before are stale then.",
        show_default=False,
    ),
]


def run(what: What, affects: Affects, main: MainFile = None, note: Note = "") -> None:
    """Declare that something was changed on the machine itself: what was measured before no longer holds."""
    from cfgaudit.evidence.record import MeasurementKind
    from cfgaudit.evidence.staleness import affects_part
    from cfgaudit.report.lines import one_line, wrapped

    if not what.strip():
        raise UsageError("say what was changed: the text is empty")
    measured = open_measured(main)
    known = [*(part.title for part in measured.subject.machine.parts), *_axes(measured.subject), "belts"]
    for pattern in affects:
        if not any(affects_part(pattern, part) for part in known):
            raise UsageError(_unknown(pattern, known))
    said = Circumstances(note=note)
    record = new_record(
        measured, MeasurementKind.HARDWARE, what.strip(), (), said=said, affects=tuple(affects)
    )
    path = keep(measured, record)
    told = f"{path} is written: what was measured of {', '.join(affects)} before now is stale."
    show(wrapped(one_line(told), width(), 0))


def _axes(subject: object) -> list[str]:
    return [f"axis {axis.letter}" for axis in subject.machine.axes()]  # type: ignore[attr-defined]


def _unknown(pattern: str, known: list[str]) -> str:
    from cfgaudit.nearest import or_nearest

    return f"nothing here is called {or_nearest(pattern, known)}: name a part, such as axis.x or heater.bed"
