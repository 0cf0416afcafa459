"""A resonance as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from cfgaudit.evidence.vibration.modes import Mode
from cfgaudit.evidence.vibration.resonance import Resonance
from cfgaudit.evidence.vibration.shaper_choice import Candidate
from cfgaudit.physics.shaping import BUDGET
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.doubts import doubt_lines
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, line, one_line, wrapped
from cfgaudit.report.per_cent import per_cent
from cfgaudit.report.shaper_advice import acceleration_text, advice, robust

COLUMNS = ("shaper", "at", "leaves", "rounds", "allows", "damps")
WIDTHS = (14, 9, 8, 9, 13, 14)
RECOMMENDED, CONFIGURED = "recommended", "configured"
TABLE_WIDTH = 2 + sum(WIDTHS) + len(RECOMMENDED)
NO_PROMISE = (
    "That a shaper allows an acceleration does not say that motors, belts and frame bear it: raise it in "
    "small steps, and measure again."
)


def resonance_lines(found: Resonance, kept: Path | None, picture: Path | None, width: int) -> Iterator[Line]:
    """What rings, the shapers held against it, what to take and why, and where the record is."""
    yield from wrapped(_heading(found), width, 2, "strong", first="")
    if found.doubts:
        yield from doubt_lines(found.doubts, "Take no shaper from this", width)
        yield BLANK
    for text in _details(found):
        yield from wrapped(one_line(text), width, 4, first="  ")
    yield BLANK
    if not found.doubts:
        yield from _choice(found, width)
    if picture is not None:
        yield from wrapped(one_line(f"{picture} is drawn."), width, 0)
    yield from wrapped(one_line(_record(found, kept)), width, 0)
    yield from wrapped(CAUTIONS, width, 0)


def _choice(found: Resonance, width: int) -> Iterator[Line]:
    """The shapers, and what to take and why."""
    yield from _table(found, width)
    yield from wrapped(_legend(found), width, 2, "faint")
    yield BLANK
    yield from wrapped(one_line(advice(found)), width, 2, first="→ ")
    if told := one_line(robust(found)):
        yield from wrapped(told, width, 2)
    yield from wrapped(NO_PROMISE, width, 2)
    yield BLANK


def _record(found: Resonance, kept: Path | None) -> str:
    if kept is None:
        return "No record is written (--dry-run)."
    best = found.choice.same_kind
    if best is None:
        return f"{kept} is written."
    usual = acceleration_text(best.ceiling * BUDGET / found.budget)
    return (
        f"{kept} is written. Its acceleration ceiling, {usual}, is what {best.kind} allows at its best "
        f"frequency within {BUDGET:g} mm, whatever is set now, so that records can be compared."
    )


def _heading(found: Resonance) -> str:
    first = found.modes[0]
    at = f"{first.frequency:.1f} Hz with a damping ratio of {first.damping:.3f}"
    if found.doubts:
        return f"Doubtful: axis {found.axis} seems to ring at {at}"
    return f"Axis {found.axis} rings at {at}"


def _details(found: Resonance) -> Iterator[str]:
    first, *others = found.modes
    yield f"Measured for {found.seconds:.3g} s, {found.rate:.0f} times a second. {_second_way(first)}"
    for mode in others:
        yield (
            f"It rings at {mode.frequency:.1f} Hz too, with {mode.damping:.3f}; {per_cent(mode.share)} of "
            f"the energy is there. {_second_way(mode)}"
        )
    for note in found.notes:
        yield f"{note[:1].upper()}{note[1:]}."


def _second_way(mode: Mode) -> str:
    """The damping by the half-power bandwidth beside that of the fit."""
    if mode.half_power is None or mode.disagreement is None:
        return "The half-power bandwidth says no damping: the peak does not fall to half on both sides."
    by = mode.disagreement
    compared = "as much" if abs(by) < 0.005 else f"{per_cent(abs(by))} {'more' if by > 0 else 'less'}"
    return f"The half-power bandwidth says {mode.half_power:.3f} ({compared})."


def _table(found: Resonance, width: int) -> Iterator[Line]:
    if width >= TABLE_WIDTH:
        yield _row(COLUMNS, "faint")
    for one in found.choice.candidates:
        mark = RECOMMENDED if one is found.choice.recommended else ""
        yield from _shaper(one, mark, width)
    if found.choice.configured is not None:
        yield from _shaper(found.choice.configured, CONFIGURED, width)


def _shaper(one: Candidate, mark: str, width: int) -> Iterator[Line]:
    """A row of the table, or a paragraph where the window is too narrow for it."""
    style = "strong" if mark == RECOMMENDED else ""
    cells = _cells(one)
    if width >= TABLE_WIDTH:
        yield _row((*cells, mark), style)
        return
    words = [f"{name} {cell}" for name, cell in zip(COLUMNS[2:], cells[2:], strict=True)]
    text = f"{cells[0]} at {cells[1]}{f' ({mark})' if mark else ''}: {', '.join(words)}"
    yield from wrapped(text, width, 4, style, first="  ")


def _row(cells: Sequence[str], style: str) -> Line:
    text = "".join(cell.ljust(columns) for cell, columns in zip(cells, (*WIDTHS, 0), strict=False))
    return line("  ", Piece(text.rstrip(), style))


def _cells(one: Candidate) -> tuple[str, ...]:
    band = "no band" if one.band is None else f"{one.band[0]:.0f} to {one.band[1]:.0f} Hz"
    rounds = "-" if one.rounding is None else f"{one.rounding:.3f} mm"
    return (
        one.kind,
        f"{one.frequency:.1f} Hz",
        per_cent(one.remains, 1),
        rounds,
        acceleration_text(one.ceiling),
        band,
    )


def _legend(found: Resonance) -> str:
    set_to = found.configured.acceleration
    rounds = (
        "" if set_to is None else f"rounds: a full reversal at {acceleration_text(set_to)}, as configured; "
    )
    return (
        f"leaves: of all that was measured; {rounds}allows: the acceleration at which that is rounded by "
        f"{found.budget:g} mm; damps: where at most 5 % is left."
    )


def resonance_form(found: Resonance, kept: Path | None) -> Json:
    """The report of ``measure resonance``; shares from 0 to 1, Hz, mm, mm/s²."""
    choice, best = found.choice, found.choice.recommended
    return {
        "axis": found.axis,
        "seconds": found.seconds,
        "rate": found.rate,
        "notes": list(found.notes),
        "doubts": [one.told for one in found.doubts],
        "modes": [{**one._asdict(), "disagreement": one.disagreement} for one in found.modes],
        "asked": found.wanted._asdict(),
        "shapers": [one._asdict() for one in choice.candidates],
        "configured": None if choice.configured is None else choice.configured._asdict(),
        "recommended": None if found.doubts else {**best._asdict(), "verdict": str(choice.verdict)},
        "advice": "" if found.doubts else f"{advice(found)} {robust(found)}".rstrip(),
        "record": None if kept is None else str(kept),
    }
