"""An upgrade as text: what changed of what was measured, each quantity before and after, and the verdicts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

from cfgaudit.evidence.comparing.comparison import Quantity, Verdict
from cfgaudit.evidence.records.record import MeasurementKind
from cfgaudit.history.upgrade import Upgrade
from cfgaudit.report.comparison_words import (
    NOTHING,
    acceleration_text,
    certainty_text,
    change_text,
    conclusion,
    doubts,
    is_stale,
    others_text,
    setting_text,
    span_text,
    stale_texts,
    summary,
    title,
    values,
    verdict_text,
)
from cfgaudit.report.lines import BLANK, Line, Piece, counted, line, one_line, visible, wrapped
from cfgaudit.tree.names import fold_name

SHOWN = 12
"""Changes that are told."""
ONE_SIDED = (Verdict.ONLY_BEFORE, Verdict.ONLY_AFTER)
STYLES = {Verdict.BETTER: "strong", Verdict.WORSE: "warning"}


def comparison_lines(upgrade: Upgrade, width: int, picture: Path | None = None) -> Iterator[Line]:
    """The report of ``compare``, the verdicts last. ``picture`` is what was drawn."""
    yield from wrapped(visible(f"{upgrade.main}, {span_text(upgrade)}."), width, 0)
    if not upgrade.quantities:
        yield from wrapped(NOTHING, width, 0)
    yield from _changes(upgrade, width)
    for (kind, part), quantities in groupby(upgrade.quantities, key=lambda one: (one.kind, one.part)):
        yield BLANK
        yield from _group(kind, part, tuple(quantities), upgrade, width)
    yield from _accelerations(upgrade, width)
    if picture is not None:
        yield BLANK
        yield from wrapped(visible(f"Drawn in {picture}."), width, 0)
    yield from _verdicts(upgrade.quantities, upgrade, width)
    for doubt in doubts(upgrade):
        yield BLANK
        yield from wrapped(doubt, width, 0)


def _changes(upgrade: Upgrade, width: int) -> Iterator[Line]:
    if not upgrade.changes and not upgrade.others:
        return
    yield BLANK
    if upgrade.changes:
        yield from wrapped("Settings that changed of what was measured", width, 0, "strong")
    for one in upgrade.changes[:SHOWN]:
        name, told = setting_text(one)
        yield from wrapped(told, width, 6, first=line("  ", f"{name}  "))
    rest = len(upgrade.changes) - SHOWN
    if rest > 0:
        yield from wrapped(f"and {counted(rest, 'more like these', 'more like these')}", width, 2)
    if upgrade.others:
        yield from wrapped(others_text(upgrade), width, 4 if upgrade.changes else 2, first="  ")


def _group(
    kind: MeasurementKind, part: str, quantities: Sequence[Quantity], upgrade: Upgrade, width: int
) -> Iterator[Line]:
    """The quantities of one part; a quantity that is its own part needs no heading."""
    own = [fold_name(one.name) for one in quantities] == [fold_name(part)]
    if not own:
        named = part if fold_name(part) == kind else f"{part}, {kind}"
        yield from wrapped(one_line(named), width, 2, "strong", first="")
    for one in quantities:
        name = Piece(one_line(one.name), "strong" if own else "")
        yield from _quantity(one, line("" if own else "  ", name, "  "), width)
    for stale in dict.fromkeys(text for one in quantities for text in stale_texts(one, upgrade)):
        yield from wrapped(stale, width, 4, "warning", first="  ")


def _quantity(one: Quantity, opening: Line, width: int) -> Iterator[Line]:
    change = change_text(one)
    told = values(one) + (f" ({change})" if change else "")
    yield from wrapped(told, width, 6, first=opening)
    certainty = certainty_text(one)
    told = f"{verdict_text(one)}: {certainty}" if certainty else verdict_text(one)
    yield from wrapped(told, width, 6, STYLES.get(one.verdict, "faint"), first="    ")


def _accelerations(upgrade: Upgrade, width: int) -> Iterator[Line]:
    if not upgrade.accelerations:
        return
    yield BLANK
    yield from wrapped("Configured acceleration", width, 0, "strong")
    for one in upgrade.accelerations:
        yield from wrapped(acceleration_text(one), width, 6, first="  ")


def _verdicts(quantities: Sequence[Quantity], upgrade: Upgrade, width: int) -> Iterator[Line]:
    if not quantities:
        return
    yield BLANK
    yield line(Piece("Verdicts", "strong"))
    for one in quantities:
        if one.verdict in ONE_SIDED:
            continue
        style = "warning" if is_stale(one, upgrade) else STYLES.get(one.verdict, "")
        yield from wrapped(conclusion(one, upgrade), width, 6, style, first=line("  ", f"{title(one)}: "))
    for verdict in ONE_SIDED:
        titles = [title(one) for one in quantities if one.verdict is verdict]
        if titles:
            yield from wrapped("; ".join(titles), width, 6, first=line("  ", f"{verdict}: "))
    yield BLANK
    yield from wrapped(summary(upgrade), width, 0)
