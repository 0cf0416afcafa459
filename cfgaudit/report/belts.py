"""Two belts against one another as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from cfgaudit.evidence.vibration.belts import FAIRLY, NAMES, WELL, Belts, Match
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.doubts import doubt_lines
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, one_line, wrapped
from cfgaudit.report.per_cent import per_cent

MATCHES = {
    Match.WELL: f"From {per_cent(WELL)} on two belts count as well matched; 93 % are an ordinary good result",
    Match.FAIRLY: (
        f"From {per_cent(FAIRLY)} on two belts count as fairly alike, from {per_cent(WELL)} on as well "
        "matched"
    ),
    Match.UNLIKE: (
        f"Below {per_cent(FAIRLY)} the belts or how they run differ: look at tension, pulleys and idlers"
    ),
}
NO_SOURCE = "common practice, no source"


def belts_lines(found: Belts, kept: Path | None, picture: Path | None, width: int) -> Iterator[Line]:
    """How alike they are, which one is looser, the numbers, and where the record is."""
    yield from wrapped(_heading(found), width, 2, "strong", first="")
    if found.doubts:
        yield from doubt_lines(found.doubts, "Judge no belt by this", width)
    else:
        told = f"{MATCHES[found.comparison.match]} ({NO_SOURCE})."
        yield from wrapped(one_line(told), width, 2, first="  ")
        yield from wrapped(tension_sentence(found), width, 2, first="→ ")
        yield from wrapped(HONESTLY, width, 2, first="  ")
    yield BLANK
    for name, text in _numbers(found):
        yield from wrapped(one_line(text), width, 17, first=f"  {name:<15}")
    for note in found.notes:
        yield from wrapped(one_line(f"{note[:1].upper()}{note[1:]}."), width, 4, first="  ")
    yield BLANK
    if picture is not None:
        yield from wrapped(one_line(f"{picture} is drawn."), width, 0)
    told = f"{kept} is written." if kept is not None else "No record is written (--dry-run)."
    yield from wrapped(one_line(told), width, 0)
    yield from wrapped(CAUTIONS, width, 0)


def _heading(found: Belts) -> str:
    compared = found.comparison
    if found.doubts:
        return f"Doubtful: the belts seem {per_cent(compared.likeness, 1)} alike"
    return f"The belts are {per_cent(compared.likeness, 1)} alike: {compared.match}"


HONESTLY = (
    "A belt's span sounds like a string, f = √(T ÷ µ) ÷ 2L, so its tension goes with the square of its "
    "frequency: if both spans are equally long, both belts of one kind, and these peaks are the spans' own."
)


def tension_sentence(found: Belts) -> str:
    """Which belt is looser and by how much, in plain words."""
    compared = found.comparison
    if found.crossed:
        low, high = sorted(compared.peaks)
        return (
            f"Both belts ring near {low:.0f} and near {high:.0f} Hz, and not the same is louder: the highest "
            "peaks do not tell which belt is looser. Draw them (--plot), and compare peaks side by side."
        )
    if compared.looser is None:
        return (
            f"Their peaks lie within {compared.step / 2.0:.1f} Hz, closer than these recordings can tell: "
            "no difference in tension is shown."
        )
    looser, tighter = NAMES[compared.looser], NAMES[1 - compared.looser]
    return (
        f"Belt {looser} is looser: its tension is about {per_cent(compared.slack)} below that of belt "
        f"{tighter}, if both spans are equally long."
    )


def _numbers(found: Belts) -> Iterator[tuple[str, str]]:
    compared = found.comparison
    for name, belt, peak in zip(NAMES, found.belts, compared.peaks, strict=True):
        yield (
            f"peak {name}",
            f"{peak:.1f} Hz ({belt.file}: {belt.seconds:.0f} s at {belt.rate:.0f} samples a second)",
        )
    if not found.crossed:
        yield "tension ratio", f"{compared.tension_ratio:.3f}, A to B"
    low, high = compared.band
    yield (
        "compared",
        f"from {low:.0f} to {high:.0f} Hz, which hold 95 % of the energy: the shapes of both spectra alone, "
        "not how strongly the belts shake",
    )


def belts_form(found: Belts, kept: Path | None) -> Json:
    """The report of ``measure belts``; likeness from 0 to 1, frequencies in Hz."""
    compared = found.comparison
    return {
        "likeness": compared.likeness,
        "match": str(compared.match),
        "belts": [
            {
                "belt": name,
                "file": belt.file,
                "peak": peak,
                "direction": belt.direction,
                "rate": belt.rate,
                "seconds": belt.seconds,
            }
            for name, belt, peak in zip(NAMES, found.belts, compared.peaks, strict=True)
        ],
        "tension_ratio": None if found.crossed else compared.tension_ratio,
        "looser": None if found.looser is None else NAMES[found.looser],
        "band": list(compared.band),
        "notes": list(found.notes),
        "doubts": [one.told for one in found.doubts],
        "record": None if kept is None else str(kept),
    }
