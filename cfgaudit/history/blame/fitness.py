"""Whether a state of the files may be printed with, as far as its own audit tells."""

from __future__ import annotations

from collections.abc import Sequence

from cfgaudit.audit import Audit
from cfgaudit.checks.finding import Severity
from cfgaudit.history.blame.bisect import Fitness, FitnessOf, RestoredFitness
from cfgaudit.history.blame.suspects import Suspect
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.findings_between import carried
from cfgaudit.history.comparing.selection import changes_at
from cfgaudit.history.git.line import Stop
from cfgaudit.history.restoring.restore import RestoreError, plan_restore
from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.history.states.states import States
from cfgaudit.source import Overlay, SourceError


def fitness_in(states: States, good: Snapshot, last: Snapshot) -> FitnessOf:
    """What judges a stop between ``good`` and ``last``, by its findings at or above ``error``.

    An error that the good print had as well did not stop it; a danger is one whoever had it before.
    """
    had = states.audit(good)

    def fitness_of(stop: Stop) -> Fitness:
        commit = stop.revision.commit
        try:
            found = states.audit(last if commit is None else states.at(commit))
        except SourceError as error:
            return Fitness(unreadable=str(error))
        return _judged(found, had)

    return fitness_of


def restored_fitness_in(states: States, good: Snapshot, last: Snapshot) -> RestoredFitness:
    """What judges the files of ``last`` with settings put back to what ``good`` has, as ``restore`` does."""
    had = states.audit(good)
    subjects = states.subject(good), states.subject(last)
    every = compare_machines(*subjects)

    def restored_fitness(suspects: Sequence[Suspect]) -> Fitness:
        chosen = [one for suspect in suspects for one in changes_at(every, suspect.change.address)]
        try:
            plan = plan_restore(tuple(dict.fromkeys(chosen)), *subjects, every, traits=states.project.traits)
            put_back = last._replace(source=Overlay(last.source, plan.files))
            found = states.audit(put_back)
        except (RestoreError, SourceError) as error:
            return Fitness(unreadable=str(error))
        return _judged(found, had)

    return restored_fitness


def _judged(found: Audit, good: Audit) -> Fitness:
    had = {one.fingerprint for one in carried(good, found).findings}
    findings = [one for one in found.findings.findings if not one.known]
    dangers = sum(one.severity is Severity.DANGER for one in findings)
    errors = [one for one in findings if one.severity is Severity.ERROR and one.fingerprint not in had]
    return Fitness(dangers, len(errors))
