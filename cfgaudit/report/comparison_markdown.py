"""An upgrade as Markdown: a table of all quantities. What a builder wrote is escaped, or in code spans."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.evidence.comparing.quantity import Quantity
from cfgaudit.history.upgrade import Upgrade
from cfgaudit.report.changes_markdown import code, escaped
from cfgaudit.report.comparison_amounts import change_text, sides_text
from cfgaudit.report.comparison_doubts import doubted_texts, doubts, stale_texts
from cfgaudit.report.comparison_words import (
    NOTHING,
    acceleration_text,
    conclusion,
    others_text,
    setting_text,
    sizes_text,
    span_text,
    summary,
    title,
)


def comparison_markdown(upgrade: Upgrade) -> str:
    """The report of ``compare`` for a pull request or a log book."""
    return "\n".join(_lines(upgrade)) + "\n"


def _lines(upgrade: Upgrade) -> Iterator[str]:
    yield f"**{escaped(summary(upgrade) if upgrade.quantities else NOTHING)}**"
    yield ""
    yield f"{code(upgrade.main)} {escaped(span_text(upgrade))}."
    if upgrade.changes or upgrade.others:
        yield from _changes(upgrade)
    if upgrade.quantities:
        yield ""
        yield "| quantity | before | after | difference, ± with 95 % confidence | verdict |"
        yield "| --- | ---: | ---: | ---: | --- |"
        for one in upgrade.quantities:
            yield _row(one, upgrade)
    yield from _items("Configured acceleration", map(acceleration_text, upgrade.accelerations))
    for doubt in doubts(upgrade):
        yield ""
        yield escaped(doubt)


def _changes(upgrade: Upgrade) -> Iterator[str]:
    yield ""
    for one in upgrade.changes:
        name, told = setting_text(one)
        yield f"- {code(name)}: {escaped(told)}"
    if upgrade.others:
        yield f"- {escaped(others_text(upgrade))}"


def _row(one: Quantity, upgrade: Upgrade) -> str:
    said = [conclusion(one, upgrade), *stale_texts(one, upgrade), *doubted_texts(one)]
    if one.test is not None:
        said.insert(1, f"from {sizes_text(one)}")
    verdict = "<br>".join(escaped(text) for text in said if text)
    cells = [title(one), *sides_text(one), change_text(one)]
    return f"| {' | '.join(escaped(cell) for cell in cells)} | {verdict} |"


def _items(heading: str, texts: Iterator[str]) -> Iterator[str]:
    items = [f"- {escaped(text)}" for text in texts]
    if items:
        yield from ("", f"### {heading}", "", *items)
