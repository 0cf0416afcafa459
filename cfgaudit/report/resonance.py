"""A resonance as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from cfgaudit.evidence.modes import Mode
from cfgaudit.evidence.resonance import Resonance
from cfgaudit.evidence.shaper_choice import Candidate
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, line, one_line, wrapped

COLUMNS = ("shaper", "at", "leaves", "rounds", "allows", "damps")
WIDTHS = (14, 9, 8, 9, 12, 14)


def resonance_lines(found: Resonance, kept: Path | None, picture: Path | None, width: int) -> Iterator[Line]:
    """What rings, the shapers held against it, what to take, and where the record is."""
    yield from wrapped(_heading(found), width, 2, "strong", first="")
    for note in found.notes:
        yield from wrapped(one_line(f"{note}."), width, 4, first="  ")
    for mode in found.modes:
        yield from wrapped(_mode_text(mode), width, 4, first="  ")
    yield BLANK
    yield from _table(found, width)
    yield BLANK
    yield from wrapped(one_line(_advice(found)), width, 2, first="→ ")
    yield BLANK
    if picture is not None:
        yield from wrapped(one_line(f"{picture} is drawn."), width, 0)
    told = f"{kept} is written." if kept is not None else "No record is written (--dry-run)."
    yield from wrapped(one_line(told), width, 0)
    yield from wrapped(CAUTIONS, width, 0)


def _heading(found: Resonance) -> str:
    first = found.modes[0]
    return (
        f"Axis {found.axis} rings at {first.frequency:.1f} Hz with a damping ratio of {first.damping:.3f} "
        f"({found.seconds:.0f} s at {found.rate:.0f} samples a second)"
    )


def _mode_text(mode: Mode) -> str:
    told = f"{mode.frequency:.1f} Hz, damping {mode.damping:.3f} by the fitted response"
    if mode.half_power is not None and mode.disagreement is not None:
        told += f" and {mode.half_power:.3f} by the half-power bandwidth ({mode.disagreement:+.0%})"
    return f"{told}; {mode.share:.0%} of the energy."


def _table(found: Resonance, width: int) -> Iterator[Line]:
    yield from _row(COLUMNS, width, "faint")
    for one in found.choice.candidates:
        chosen = " ◀" if one is found.choice.recommended else ""
        yield from _row(_cells(one), width, "strong" if chosen else "", chosen)
    if found.choice.configured is not None:
        yield from _row(_cells(found.choice.configured), width, "", " is configured")


def _row(cells: tuple[str, ...], width: int, style: str, end: str = "") -> Iterator[Line]:
    text = "".join(cell.ljust(columns) for cell, columns in zip(cells, WIDTHS, strict=True)).rstrip() + end
    if len(text) + 2 <= width:
        yield line("  ", Piece(text, style))
    else:
        yield from wrapped(" ".join((*cells, end)), width, 6, style, first="  ")


def _cells(one: Candidate) -> tuple[str, ...]:
    band = "no band" if one.band is None else f"{one.band[0]:.0f} to {one.band[1]:.0f} Hz"
    rounds = "?" if one.rounding is None else f"{one.rounding:.2f} mm"
    return one.kind, f"{one.frequency:.1f} Hz", f"{one.remains:.1%}", rounds, f"{one.ceiling:.0f} mm/s²", band


def _advice(found: Resonance) -> str:
    best = found.choice.recommended
    return (
        f"Take {best.kind} at {best.frequency:.1f} Hz with damping {best.damping:.3f}: {found.choice.reason}."
    )


def resonance_form(found: Resonance, kept: Path | None) -> Json:
    """The report of ``measure resonance``."""
    return {
        "axis": found.axis,
        "seconds": found.seconds,
        "rate": found.rate,
        "notes": list(found.notes),
        "modes": [one._asdict() for one in found.modes],
        "shapers": [_candidate_form(one) for one in found.choice.candidates],
        "configured": None if found.choice.configured is None else _candidate_form(found.choice.configured),
        "recommended": {**_candidate_form(found.choice.recommended), "reason": found.choice.reason},
        "record": None if kept is None else str(kept),
    }


def _candidate_form(one: Candidate) -> Mapping[str, Any]:
    return one._asdict()
