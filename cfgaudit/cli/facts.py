"""``facts``: what the configuration says in numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.chip_tables import InstalledChips
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Form, Format, Main, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write

if TYPE_CHECKING:
    from cfgaudit.facts.fact import Fact, Facts
    from cfgaudit.project import Project
    from cfgaudit.report.facts import LimitsOf

Only = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--only", metavar="GLOB", help="Only facts of this name: 'axis.*.travel'.", show_default=False
    ),
]

Explain = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--explain",
        metavar="FACT",
        help="Work one fact out: formula, numbers, limits, source.",
        show_default=False,
    ),
]


def run(
    main: Main = None,
    rev: Rev = None,
    staged: Staged = False,
    form: Form = Format.TEXT,
    only: Only = None,
    explain: Explain = None,
) -> None:
    """Show what follows from the settings: steps per millimetre, travel, step rates, probing points …"""
    from cfgaudit.audit import understand
    from cfgaudit.report.facts import facts_form, facts_lines
    from cfgaudit.report.json_form import dump

    opened = open_configuration(main, rev=rev, staged=staged)
    with progress(f"reading {opened.main}"):
        subject = understand(opened.source, opened.main, opened.project, InstalledChips())
    if explain is not None:
        _explain(subject.facts, explain, opened.project, form)
        return
    facts = list(subject.facts.matching(only or "*"))
    if form is Format.JSON:
        write(dump(facts_form(facts)))
    else:
        show(facts_lines(facts, width(), _limits_of(subject.facts, opened.project)))


def _explain(facts: Facts, pattern: str, project: Project, form: Format) -> None:
    """The page of every fact of that name; several have a line between them."""
    from cfgaudit.report.fact_page import fact_page_form, fact_page_lines
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.lines import BLANK

    limits_of, found = _limits_of(facts, project), list(facts.matching(pattern))
    if not found:
        raise UsageError(_missing(facts, pattern))
    if form is Format.JSON:
        write(dump({"facts": [fact_page_form(one, limits_of(one)) for one in found]}))
        return
    for rank, one in enumerate(found):
        show([BLANK] * (rank > 0))
        show(fact_page_lines(one, limits_of(one), width()))


def _missing(facts: Facts, pattern: str) -> str:
    from cfgaudit.nearest import nearest

    near = nearest(pattern, [one.name for one in facts.facts])
    hint = f"did you mean {near}? " if near else ""
    return f"there is no fact {pattern or 'without a name'} here: {hint}cfgaudit facts lists them"


def _limits_of(facts: Facts, project: Project) -> LimitsOf:
    from cfgaudit.checks.fact_limits import FactLimit, limits_of, rules_over_facts

    off = {name for name, severity in project.severities.items() if severity is None}
    rules = rules_over_facts(project.limits, off, project.house)

    def limits(fact: Fact) -> Sequence[FactLimit]:
        return limits_of(fact, facts, rules)

    return limits
