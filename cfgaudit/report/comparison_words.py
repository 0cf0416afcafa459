"""What is said of one quantity before and after, for every report of ``compare``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from cfgaudit.evidence.comparing.quantity import EQUAL, Quantity, Verdict, counts
from cfgaudit.history.change import Change, Written
from cfgaudit.history.upgrade import Acceleration, Upgrade
from cfgaudit.report.change_words import relative_text, revision_text, values_text
from cfgaudit.report.comparison_amounts import amount_text, growth_text, share_text, size_text, values
from cfgaudit.report.comparison_doubts import reserve
from cfgaudit.report.lines import counted, cut, one_line
from cfgaudit.tree.names import fold_name

NOTHING = "Nothing was measured on either side: cfgaudit measure --help lists what can be."
VALUE = 40
"""Columns of a setting's value at most."""
NEARER = {Verdict.BETTER: "nearer to", Verdict.WORSE: "farther from"}
"""Of what is best at some number."""
IN_GIST = (Verdict.BETTER, Verdict.WORSE, Verdict.DIFFERENT)
"""Verdicts whose quantities are named at once."""


def title(quantity: Quantity) -> str:
    """``axis x natural frequency``; of other values their name alone."""
    part, name = one_line(quantity.part), one_line(quantity.name)
    return name if fold_name(part) == fold_name(name) else f"{part} {name}"


def titles(quantities: Iterable[Quantity]) -> str:
    """``axis x damping, peak frequency; belts peak A``: those of one part together."""
    return _by_part((one, "") for one in quantities)


def _by_part(told: Iterable[tuple[Quantity, str]]) -> str:
    """Quantities, each with what is said of it."""
    parts = []
    for _, some in groupby(told, key=lambda pair: (pair[0].kind, pair[0].part)):
        (first, said), *rest = some
        parts.append(
            ", ".join([f"{title(first)}{said}", *(f"{one_line(one.name)}{more}" for one, more in rest)])
        )
    return "; ".join(parts)


def span_text(upgrade: Upgrade) -> str:
    """``from good/2026-10-03 ("…") to the working tree``."""
    return f"from {revision_text(upgrade.before)} to {revision_text(upgrade.after)}"


def verdict_text(quantity: Quantity) -> str:
    """``better``; ``no statement, one measurement each``; ``not compared, in Hz before, in 1/min after``."""
    if quantity.nearest is not None and quantity.verdict in NEARER:
        return f"{quantity.verdict}, {NEARER[quantity.verdict]} {quantity.nearest:g}"
    if quantity.why == EQUAL:
        return f"no test is possible, {EQUAL}"
    if quantity.why:
        return f"{quantity.verdict}, {one_line(quantity.why)}"
    return str(quantity.verdict)


def sizes_text(quantity: Quantity) -> str:
    """From how many values each side comes; of a single one that it is one."""
    if quantity.verdict is Verdict.UNTOLD:
        return quantity.why
    if quantity.before is None or quantity.after is None or quantity.verdict is Verdict.UNLIKE:
        return str(quantity.verdict)
    return f"{quantity.before.summary.size} and {quantity.after.summary.size} values"


def gist(upgrade: Upgrade) -> Iterator[tuple[str, str]]:
    """What is shown to be better, worse or different, by name, and how much else there is."""
    for verdict in IN_GIST:
        found = [one for one in upgrade.quantities if one.verdict is verdict]
        if found:
            yield str(verdict), _by_part((one, f" {_size(one)}{reserve(one, upgrade)}") for one in found)
    rest = {verdict: count for verdict, count in counts(upgrade.quantities).items() if verdict not in IN_GIST}
    if rest:
        named = ", ".join(f"{count} {verdict}" for verdict, count in rest.items())
        yield ("nothing shown" if len(rest) == len(counts(upgrade.quantities)) else "else"), named


def _size(quantity: Quantity) -> str:
    """How large a difference is; of what is best at some number both sides: they tell how near they are."""
    return values(quantity) if quantity.nearest is not None else size_text(quantity)


def conclusion(quantity: Quantity, upgrade: Upgrade) -> str:
    """The verdict with the size of the difference: ``better, +27 %``; ``better, +27 % (stale)``."""
    told = verdict_text(quantity)
    if quantity.test is not None and quantity.verdict is not Verdict.NOT_SHOWN:
        told = f"{told}, {size_text(quantity)}"
    return told + reserve(quantity, upgrade)


def setting_text(change: Change) -> tuple[str, str]:
    """``[axis x] top acceleration``, and ``5000 mm/s² → 6500 mm/s² (+30 %)``."""
    relative = relative_text(change)
    sides = [
        one and one._replace(settings=tuple(map(_short, one.settings)))
        for one in (change.before, change.after)
    ]
    told = values_text(change._replace(before=sides[0], after=sides[1]))
    name = one_line(f"[{change.section}] {change.setting}")
    return name, f"{told} ({relative})" if relative else told


def _short(one: Written) -> Written:
    """Of a long value its beginning."""
    return one._replace(value=cut(one_line(one.value), VALUE))


def others_text(upgrade: Upgrade) -> str:
    """How many changes are not told, and how to see them."""
    sides = [revision.label for revision in (upgrade.before, upgrade.after) if revision.commit is not None]
    words = " ".join(label.removeprefix("commit ") for label in sides)
    more = "more " if upgrade.changes else ""
    touch = "touches" if upgrade.others == 1 else "touch"
    told = f"{counted(upgrade.others, f'{more}change')} {touch} nothing that was measured"
    return one_line(f"{told}: cfgaudit changes {words}")


def acceleration_text(one: Acceleration) -> str:
    """``axis x: 3000 → 5000 mm/s² (+67 %); measured ceiling 3500 → 6700 mm/s² (+91 %)``.

    Of a ceiling that is not shown to differ it is said.
    """
    sides = [amount_text(side) if side is not None else "nothing" for side in (one.before, one.after)]
    told = f"{one_line(one.axis)}: {sides[0]} → {sides[1]} mm/s²"
    if one.before == one.after:
        told = f"{one_line(one.axis)}: {sides[0]} mm/s² as before"
    elif one.before and one.after:
        told += f" ({growth_text(one.after / one.before - 1.0)})"
    if one.ceiling is None:
        return told
    told = f"{told}; measured ceiling {values(one.ceiling)}"
    if not one.ceiling.change:
        return told
    if one.ceiling.verdict not in IN_GIST:
        return f"{told}, {verdict_text(one.ceiling)}"
    share = share_text(one.ceiling)
    return f"{told} ({share})" if share else told


def summary(upgrade: Upgrade) -> str:
    """``7 quantities: 2 better, 1 no difference shown, 4 no statement.``"""
    found = counts(upgrade.quantities)
    told = ", ".join(f"{count} {verdict}" for verdict, count in found.items())
    size = len(upgrade.quantities)
    return f"{counted(size, 'quantity', 'quantities')}: {told}."
