"""Which states to print next, as text and JSON."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence

from cfgaudit.history.blame.bisect import BisectPlan, Fitness, Outcome, Trial, Unfit, Verdict
from cfgaudit.history.blame.suspects import Suspect
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.changes_json import revision_form
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, counted, one_line, visible, wrapped

STEP = 2
"""Columns that each level of the plan is moved to the right."""
BRANCH = "trials"
NAMED_AT_MOST = 3


def plan_lines(plan: BisectPlan, since: str, width: int) -> Iterator[Line]:
    """The plan as a tree of prints, how to get at each state and back, and the cautions.

    ``since`` is what the user calls the good print.
    """
    if not isinstance(plan.first, Trial):
        yield from wrapped(_nothing_to_halve(plan.first), width, 0)
        for one in plan.first.passed_over:
            yield from wrapped(_unfit(one), width, STEP, "warning")
    else:
        count = counted(plan.prints, "print")
        told = f"the next {count} at most" if _goes_on(plan.first) else f"at most {count}"
        yield from wrapped(f"What to print next, so that each print halves the suspects: {told}.", width, 0)
        yield from _preparation(plan, since, width)
        yield BLANK
        yield from _outcome_lines(plan.first, "", 0, since, width)
        yield BLANK
        yield from wrapped(_afterwards(plan), width, 0)
    if plan.unplaced:
        told = f"No commit between is known to have made {_listed(plan.unplaced)}: not in this plan."
        yield from wrapped(told, width, 0)
    yield BLANK
    yield from wrapped(CAUTIONS, width, 0)


def _nothing_to_halve(left: Verdict) -> str:
    if not left.suspects:
        return "There is nothing to halve: no suspect can be tied to a state in between."
    if len(left.suspects) == 1:
        return f"There is nothing to halve: {_listed(left.suspects)} is the only suspect."
    return (
        f"Nothing tells these apart, neither a state in between nor a working tree: {_listed(left.suspects)}."
    )


def _preparation(plan: BisectPlan, since: str, width: int) -> Iterator[Line]:
    if _restores(plan.first) and isinstance(plan.first, Trial) and plan.first.stop is None:
        told = f"No state between would tell the suspects apart: halves are put back to {since} instead."
        yield from wrapped(visible(told), width, 0)
    if plan.last is not None:
        told = f"The working tree as it is is not fit to print: {fitness_text(plan.last.fitness)}."
        if _restores(plan.first):
            told += " Mend these first, and print only what cfgaudit check calls free of errors and dangers."
        yield from wrapped(told, width, 0, _style(plan.last.fitness))
    if plan.restorable:
        yield from wrapped("Keep your files first, so that nothing gets lost:", width, 0)
        for command in (
            f"git switch --create {BRANCH}",
            "git add --all",
            "git commit --no-verify --message 'before the trials'",
        ):
            yield from wrapped(command, width, 2 * STEP, "mark")
    else:
        yield from wrapped("Commit first what is not committed yet, or put it aside: git stash", width, 0)


def _afterwards(plan: BisectPlan) -> str:
    back = f"git switch {BRANCH}" if plan.restorable else "git switch with the name of your branch"
    told = f"Run cfgaudit check before each print. {back} brings your files back as they were"
    if _restores(plan.first):
        told += "; so does git restore . after a print with settings put back: do it before the next one"
    return told + "."


def _goes_on(outcome: Outcome) -> bool:
    if isinstance(outcome, Verdict):
        return outcome.later
    return _goes_on(outcome.good) or _goes_on(outcome.bad)


def _restores(outcome: Outcome) -> bool:
    if not isinstance(outcome, Trial):
        return False
    return bool(outcome.restored) or _restores(outcome.good) or _restores(outcome.bad)


def _outcome_lines(outcome: Outcome, opening: str, indent: int, since: str, width: int) -> Iterator[Line]:
    hanging = indent + STEP
    told = _verdict(outcome) if isinstance(outcome, Verdict) else _task(outcome)
    yield from wrapped(told, width, hanging, first=" " * indent + opening)
    if isinstance(outcome, Trial):
        yield from wrapped(_command(outcome, since), width, hanging + STEP, "mark")
        if not outcome.fitness.fit:
            told = f"not fit to print as it would be: {fitness_text(outcome.fitness)}: mend these first"
            yield from wrapped(told, width, hanging + STEP, _style(outcome.fitness))
    for one in outcome.passed_over:
        yield from wrapped(_unfit(one), width, hanging + STEP, "warning")
    if isinstance(outcome, Verdict):
        return
    yield from _outcome_lines(outcome.good, "good: ", hanging, since, width)
    yield from _outcome_lines(outcome.bad, "bad: ", hanging, since, width)


def _verdict(verdict: Verdict) -> str:
    if verdict.later:
        named = _listed(verdict.suspects)
        return f"it is one of {named}: plan again then"
    if len(verdict.suspects) == 1:
        return f"it is {_listed(verdict.suspects)}"
    return f"it is one of {_listed(verdict.suspects)}"


def _task(trial: Trial) -> str:
    if trial.stop is None:
        return f"put back {_listed(trial.restored)}, and print"
    summary = f" ({visible(one_line(trial.stop.summary))})" if trial.stop.summary else ""
    return f"print with {visible(trial.stop.revision.label)}{summary}"


def _command(trial: Trial, since: str) -> str:
    if trial.stop is None:
        addresses = " ".join(shlex.quote(one.change.address) for one in trial.restored)
        return visible(f"cfgaudit restore {addresses} --from {shlex.quote(since)}")
    return f"git switch --detach {(trial.stop.revision.commit or '')[:12]}"


def _unfit(one: Unfit) -> str:
    label = visible(one.stop.revision.label)
    return f"not {label}, which would halve better: not fit to print: {fitness_text(one.fitness)}"


def _style(fitness: Fitness) -> str:
    return "danger" if fitness.dangers else "warning"


def fitness_text(fitness: Fitness) -> str:
    """``2 dangers, 1 error``."""
    if fitness.unreadable:
        return visible(one_line(fitness.unreadable))
    told = [counted(fitness.dangers, "danger")] if fitness.dangers else []
    told += [counted(fitness.errors, "error")] if fitness.errors else []
    return ", ".join(told) or "nothing speaks against it"


def _listed(suspects: Sequence[Suspect]) -> str:
    names = [visible(one.change.address) for one in suspects]
    if len(names) > NAMED_AT_MOST + 1:
        rest = len(names) - NAMED_AT_MOST
        names = [*names[:NAMED_AT_MOST], f"{rest} more"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def plan_form(plan: BisectPlan) -> Json:
    """The plan as JSON: a tree of trials that ends in verdicts."""
    return {
        "prints": plan.prints,
        "first": _outcome_form(plan.first),
        "unplaced": [one.change.address for one in plan.unplaced],
        "working_tree": None if plan.last is None else _fitness_form(plan.last.fitness),
    }


def _outcome_form(outcome: Outcome) -> Json:
    if isinstance(outcome, Verdict):
        return {
            "suspects": [one.change.address for one in outcome.suspects],
            "later": outcome.later,
            "passed_over": _passed_over(outcome),
        }
    stop = outcome.stop
    return {
        "print": None
        if stop is None
        else {"commit": stop.revision.commit, "label": stop.revision.label, "summary": stop.summary},
        "restore": [one.change.address for one in outcome.restored],
        **_fitness_form(outcome.fitness),
        "passed_over": _passed_over(outcome),
        "good": _outcome_form(outcome.good),
        "bad": _outcome_form(outcome.bad),
    }


def _passed_over(outcome: Outcome) -> list[Json]:
    return [{**revision_form(one.stop.revision), **_fitness_form(one.fitness)} for one in outcome.passed_over]


def _fitness_form(fitness: Fitness) -> Json:
    return {"dangers": fitness.dangers, "errors": fitness.errors, "unreadable": fitness.unreadable or None}
