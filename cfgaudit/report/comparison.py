"""An upgrade as text: the gist, what changed of what was measured, each quantity before and after, and the
verdicts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

from cfgaudit.evidence.comparing.quantity import Quantity, Verdict
from cfgaudit.evidence.records.record import MeasurementKind
from cfgaudit.history.upgrade import Upgrade
from cfgaudit.report.comparison_amounts import change_text, values
from cfgaudit.report.comparison_doubts import doubted_texts, doubts, reserve, stale_texts
from cfgaudit.report.comparison_words import (
    IN_GIST,
    NOTHING,
    acceleration_text,
    conclusion,
    gist,
    others_text,
    setting_text,
    sizes_text,
    span_text,
    summary,
    title,
    titles,
)
from cfgaudit.report.lines import (
    BLANK,
    Line,
    Piece,
    breadth,
    counted,
    line,
    one_line,
    padded,
    visible,
    wrapped,
)
from cfgaudit.tree.names import fold_name

SHOWN = 12
"""Changes that are told."""
WIDE = 70
"""Columns from which on the names of a part's quantities stand in a column of their own."""
LONGEST = 24
"""Columns of such a name."""
KINDS = {MeasurementKind.HEATUP: "heat-up"}
"""In words, where the word of the records is none."""
ONE_SIDED = (Verdict.ONLY_BEFORE, Verdict.ONLY_AFTER)
STYLES = {Verdict.BETTER: "strong", Verdict.WORSE: "warning"}
LEGEND = "Before → after, and the difference, ± with 95 % confidence."


def comparison_lines(upgrade: Upgrade, width: int, picture: Path | None = None) -> Iterator[Line]:
    """The report of ``compare``, the verdicts last. ``picture`` is what was drawn."""
    yield from wrapped(visible(f"{upgrade.main}, {span_text(upgrade)}."), width, 0)
    if not upgrade.quantities:
        yield from wrapped(NOTHING, width, 0)
    yield from _gist(upgrade, width)
    yield from _changes(upgrade, width)
    yield from _measured(upgrade, width)
    yield from _accelerations(upgrade, width)
    if picture is not None:
        yield BLANK
        yield from wrapped(visible(f"Drawn in {picture}."), width, 0)
    yield from _verdicts(upgrade.quantities, upgrade, width)
    for doubt in doubts(upgrade):
        yield BLANK
        yield from wrapped(doubt, width, 0)


def _gist(upgrade: Upgrade, width: int) -> Iterator[Line]:
    told = tuple(gist(upgrade))
    if not told:
        return
    yield BLANK
    columns = max(breadth(word) for word, _ in told) + 2
    for word, text in told:
        style = next((style for verdict, style in STYLES.items() if verdict == word), "")
        first = line(Piece(padded(f"{word[:1].upper()}{word[1:]}", columns), style))
        yield from wrapped(text, width, columns if width >= WIDE else 4, first=first)


def _changes(upgrade: Upgrade, width: int) -> Iterator[Line]:
    if not upgrade.changes and not upgrade.others:
        return
    yield BLANK
    if upgrade.changes:
        yield from wrapped("Changed settings that matter to the measurements", width, 0, "strong")
    for one in upgrade.changes[:SHOWN]:
        name, told = setting_text(one)
        yield from wrapped(told, width, 6, first=line("  ", f"{name}  "))
    rest = len(upgrade.changes) - SHOWN
    if rest > 0:
        yield from wrapped(f"and {counted(rest, 'more like these', 'more like these')}", width, 2)
    if upgrade.others:
        yield from wrapped(others_text(upgrade), width, 4 if upgrade.changes else 2, first="  ")


def _measured(upgrade: Upgrade, width: int) -> Iterator[Line]:
    if any(one.test is not None for one in upgrade.quantities):
        yield BLANK
        yield from wrapped(LEGEND, width, 0, "faint")
    for (kind, part), quantities in groupby(upgrade.quantities, key=lambda one: (one.kind, one.part)):
        yield BLANK
        yield from _group(kind, part, tuple(quantities), upgrade, width)


def _group(
    kind: MeasurementKind, part: str, quantities: Sequence[Quantity], upgrade: Upgrade, width: int
) -> Iterator[Line]:
    """The quantities of one part; a quantity that is its own part needs no heading."""
    sizes = {sizes_text(one) for one in quantities}
    shared = sizes.pop() if len(sizes) == 1 else ""
    own = [fold_name(one.name) for one in quantities] == [fold_name(part)]
    if not own:
        named = part if fold_name(part) == kind else f"{part}, {KINDS.get(kind, kind)}"
        heading = line(Piece(one_line(named), "strong"), f": {one_line(shared)}" if shared else "")
        yield from wrapped("", width, 2, first=heading)
    if not own and shared in ONE_SIDED:
        told = "; ".join(f"{one_line(one.name)} {values(one)}" for one in quantities)
        yield from wrapped(told, width, 6, first="  ")
    else:
        yield from _rows(quantities, own, bool(shared), width)
    reserves = (text for one in quantities for text in (*stale_texts(one, upgrade), *doubted_texts(one)))
    for told in dict.fromkeys(reserves):
        yield from wrapped(told, width, 4, "warning", first="  ")


def _rows(quantities: Sequence[Quantity], own: bool, shared: bool, width: int) -> Iterator[Line]:
    names = [one_line(one.name) for one in quantities]
    columns = max(map(breadth, names)) if width >= WIDE else 0
    for one, name in zip(quantities, names, strict=True):
        shown = Piece(padded(name, min(columns, LONGEST)), "strong" if own else "")
        opening = line("" if own else "  ", shown, "  ")
        yield from _quantity(one, opening, "" if shared and not own else sizes_text(one), width)


def _quantity(one: Quantity, opening: Line, sizes: str, width: int) -> Iterator[Line]:
    told = ", ".join(text for text in (values(one), change_text(one)) if text)
    yield from wrapped(f"{told}; {one_line(sizes)}" if sizes else told, width, 6, first=opening)


def _accelerations(upgrade: Upgrade, width: int) -> Iterator[Line]:
    if not upgrade.accelerations:
        return
    yield BLANK
    yield from wrapped("Configured acceleration", width, 0, "strong")
    for one in upgrade.accelerations:
        yield from wrapped(acceleration_text(one), width, 6, first="  ")


def _verdicts(quantities: Sequence[Quantity], upgrade: Upgrade, width: int) -> Iterator[Line]:
    """A line a quantity for what is shown; the rest by what is said of it."""
    if not quantities:
        return
    yield BLANK
    yield line(Piece("Verdicts", "strong"))
    alike: dict[str, list[Quantity]] = {}
    for one in sorted(quantities, key=lambda one: tuple(Verdict).index(one.verdict)):
        if one.verdict not in IN_GIST:
            alike.setdefault(conclusion(one, upgrade), []).append(one)
            continue
        style = "warning" if reserve(one, upgrade) else STYLES.get(one.verdict, "")
        yield from wrapped(conclusion(one, upgrade), width, 6, style, first=line("  ", f"{title(one)}: "))
    for said, some in alike.items():
        style = "warning" if reserve(some[0], upgrade) else ""
        yield from wrapped(titles(some), width, 6, first=line("  ", Piece(said, style), ": "))
    yield BLANK
    yield from wrapped(summary(upgrade), width, 0)
