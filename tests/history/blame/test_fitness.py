"""Whether a state may be printed with: what the good print had does not speak against it."""

from __future__ import annotations

from pathlib import Path

from cfgaudit.history.blame.bisect import Fitness
from cfgaudit.history.blame.fitness import fitness_in
from cfgaudit.history.git.line import line_between
from cfgaudit.history.states.states import States
from cfgaudit.project import Project
from cfgaudit.working_tree import WorkingTree
from history.machines import STORK, edited
from history.real_git import commit

FAULTY = edited(STORK, ("lowest = 5 °C\nhighest = 285 °C", "lowest = 295 °C\nhighest = 285 °C"))


def test_an_error_that_the_good_print_had_under_another_name(folder: Path) -> None:
    """The bed has no guard in any of them, which is a danger whoever had it before."""
    start = commit(folder, "all", FAULTY)
    renamed = edited(FAULTY, ("heater nozzle", "heater melter"), ("guard nozzle", "guard melter"))
    commit(folder, "names", renamed)
    commit(folder, "worse", edited(renamed, ("highest = 110 °C", "highest = 1 °C")))
    states = States(WorkingTree(folder), "stork.ini", Project(), folder)
    last = states.at("HEAD")
    fitness_of = fitness_in(states, states.at(start), last)
    line = line_between(states.repository, start, last.revision)
    assert [fitness_of(stop) for stop in line] == [Fitness(1, 0), Fitness(1, 1)]
