"""``suspects``: after a bad print, which change is to blame."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile, open_states, two_states

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cfgaudit.history.blame.bisect import BisectPlan
    from cfgaudit.history.blame.suspects import Suspect
    from cfgaudit.history.blame.symptoms import Symptom
    from cfgaudit.history.states.snapshot import Snapshot
    from cfgaudit.history.states.states import States

AHEAD = 3
"""Prints that a plan looks ahead: each state that it proposes is audited."""


def _complete(incomplete: str) -> list[str]:
    from cfgaudit.history.blame.symptoms import symptom_names

    return [name for name in symptom_names() if name.startswith(incomplete)]


# ``Optional`` is spelled out: the command-line library evaluates these at run time.
Name = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="SYMPTOM",
        help="What went wrong, in one word. Without it: the list of them.",
        autocompletion=_complete,
        show_default=False,
    ),
]
From = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="FROM", help="The last good revision. Without it: the last mark.", show_default=False
    ),
]
To = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(metavar="TO", help="The bad revision. Without it: the working tree.", show_default=False),
]
Axis = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--axis", metavar="LETTER", help="The axis on which it shows.", show_default=False),
]
Bisect = Annotated[
    bool,
    typer.Option("--bisect", help="Plan which revisions to print next, halving the suspects each time."),
]


def run(
    symptom: Name = None,
    since: From = None,
    until: To = None,
    main: MainFile = None,
    axis: Axis = None,
    bisect: Bisect = False,
    form: Form = Format.TEXT,
) -> None:
    """Rank what changed since the last good print by how well it explains a symptom, with the reasons."""
    if symptom is None:
        _list(form)
        return
    known = _symptom(symptom)
    letter = _letter(axis)
    states = open_states(main)
    before, after = two_states(states, since, until)
    with progress(f"reading {states.main}"):
        suspects, others = _rank(states, known, before, after, letter)
        plan = _plan(states, suspects, before, after) if bisect and suspects else None
    _report(known, before, after, letter, suspects, others, plan, form)


def _list(form: Format) -> None:
    from cfgaudit.history.blame.symptoms import load_symptom, symptom_names
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.suspects import symptoms_form, symptoms_lines

    symptoms = [load_symptom(name) for name in symptom_names()]
    if form is Format.JSON:
        write(dump(symptoms_form(symptoms)))
    else:
        show(symptoms_lines(symptoms, width()))


def _symptom(name: str) -> Symptom:
    from cfgaudit.history.blame.symptoms import load_symptom, symptom_names
    from cfgaudit.nearest import nearest

    names = symptom_names()
    wanted = name.strip().casefold().replace(" ", "-").replace("_", "-")
    if wanted in names:
        return load_symptom(wanted)
    near = nearest(wanted, names)
    hint = f"did you mean {near}? " if near else ""
    raise UsageError(f"no table is about {name or 'nothing'}: {hint}there are {', '.join(names)}")


def _letter(axis: str | None) -> str | None:
    from cfgaudit.vocabulary.catalogue import AXES

    if axis is None:
        return None
    letter = axis.strip().casefold()
    if letter not in AXES:
        raise UsageError(f"{axis!r} is no axis: --axis takes one letter, {', '.join(sorted(AXES))}")
    return letter


def _rank(
    states: States, symptom: Symptom, before: Snapshot, after: Snapshot, axis: str | None
) -> tuple[Sequence[Suspect], int]:
    from cfgaudit.history.blame.suspects import rank
    from cfgaudit.history.comparing.section_axes import with_axes
    from cfgaudit.history.review import review

    changes = review(states, before, after).changes
    machines = (states.audit(before).machine, states.audit(after).machine)
    suspects = rank(with_axes(changes, *machines), symptom, axis=axis)
    return suspects, len(changes) - len(suspects)


def _plan(states: States, suspects: Sequence[Suspect], before: Snapshot, after: Snapshot) -> BisectPlan:
    from cfgaudit.history.blame.bisect import plan
    from cfgaudit.history.blame.fitness import fitness_in, restored_fitness_in
    from cfgaudit.history.git.line import line_between

    assert before.revision.commit is not None
    stops = line_between(states.repository, before.revision.commit, after.revision)
    return plan(
        suspects,
        stops,
        fitness_of=fitness_in(states, before, after),
        restored_fitness=restored_fitness_in(states, before, after),
        depth=AHEAD,
    )


def _report(
    symptom: Symptom,
    before: Snapshot,
    after: Snapshot,
    axis: str | None,
    suspects: Sequence[Suspect],
    others: int,
    plan: BisectPlan | None,
    form: Format,
) -> None:
    from cfgaudit.report.bisect import plan_form, plan_lines
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.lines import BLANK
    from cfgaudit.report.suspects import SuspectsReport, suspects_form, suspects_lines

    report = SuspectsReport(symptom, before.revision, after.revision, axis, suspects, others)
    if form is Format.JSON:
        write(dump({**suspects_form(report), "plan": None if plan is None else plan_form(plan)}))
        return
    show(suspects_lines(report, width()))
    if plan is not None:
        revision = before.revision
        show([BLANK])
        show(plan_lines(plan, revision.label if revision.mark else (revision.commit or "")[:12], width()))
