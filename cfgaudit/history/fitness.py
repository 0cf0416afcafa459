"""Whether a state of the files may be printed with, as far as its own audit tells."""

from __future__ import annotations

from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.history.bisect import Fitness, FitnessOf
from cfgaudit.history.line import Stop
from cfgaudit.history.snapshot import Snapshot
from cfgaudit.history.states import States
from cfgaudit.source import SourceError


def fitness_in(states: States, good: Snapshot, last: Snapshot) -> FitnessOf:
    """What judges a stop between ``good`` and ``last``, by its findings at or above ``error``.

    An error that the good print had as well did not stop it; a danger is one whoever had it before.
    """
    had = {one.fingerprint for one in states.audit(good).findings.findings}

    def fitness_of(stop: Stop) -> Fitness:
        commit = stop.revision.commit
        try:
            found = states.audit(last if commit is None else states.at(commit)).findings.findings
        except SourceError as error:
            return Fitness(unreadable=str(error))
        return _judged([one for one in found if not one.known], had)

    return fitness_of


def _judged(findings: list[Finding], had: set[str]) -> Fitness:
    dangers = sum(one.severity is Severity.DANGER for one in findings)
    errors = [one for one in findings if one.severity is Severity.ERROR and one.fingerprint not in had]
    return Fitness(dangers, len(errors))
