"""Plans of what to print next: they find the culprit, in as few prints as halving needs."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, log2

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.history.blame.bisect import BisectPlan, Fitness, Outcome, Trial, Verdict, plan
from cfgaudit.history.blame.suspects import Suspect
from cfgaudit.history.blame.symptoms import Cause
from cfgaudit.history.change import Revision
from cfgaudit.history.git.line import Stop
from history.change_making import accel, commit

CAUSE = Cause(1.0, "because", "common practice, no source")
WORKING_TREE = Stop(Revision("working tree", None))


def stops(count: int) -> list[Stop]:
    return [Stop(Revision(f"commit {n}", commit(n).id), "", frozenset({commit(n).id})) for n in range(count)]


def suspect(number: int | None, score: float = 0.5, name: str = "x") -> Suspect:
    """One that a commit made; one of the working tree where there is no number."""
    commits = () if number is None else (commit(number),)
    return Suspect(
        accel(name, "1", "2", commits=commits, uncommitted=number is None), score, "because", CAUSE
    )


def found(made: BisectPlan, culprit: Suspect, line: Sequence[Stop]) -> tuple[Verdict, int]:
    """Where a builder ends up who prints as the plan says, if this change is to blame."""
    outcome: Outcome = made.first
    prints = 0
    at = len(line) - 1 if culprit.change.uncommitted else int(culprit.change.commits[-1].id, 16)
    while isinstance(outcome, Trial):
        prints += 1
        if outcome.stop is None:
            outcome = outcome.good if culprit in outcome.restored else outcome.bad
        else:
            outcome = outcome.bad if at <= line.index(outcome.stop) else outcome.good
    return outcome, prints


@given(st.integers(1, 40), st.data())
@settings(max_examples=60, deadline=None)
def test_any_single_culprit_is_found_in_as_few_prints_as_halving_takes(
    count: int, data: st.DataObject
) -> None:
    line = stops(count)
    suspects = [suspect(number) for number in range(count)]
    culprit = data.draw(st.sampled_from(suspects))
    made = plan(suspects, line)
    verdict, prints = found(made, culprit, line)
    assert verdict.suspects == (culprit,)
    assert prints <= made.prints <= ceil(log2(count + 1))


@given(
    st.lists(st.tuples(st.integers(0, 15), st.floats(0, 1)), min_size=1, max_size=25),
    st.booleans(),
    st.data(),
)
@settings(max_examples=80, deadline=None)
def test_the_culprit_is_found_whatever_the_scores(
    made_by: list[tuple[int, float]], in_work: bool, data: st.DataObject
) -> None:
    line = [*stops(16), *([WORKING_TREE] * in_work)]
    suspects = [suspect(number, score, f"a{index}") for index, (number, score) in enumerate(made_by)]
    culprit = data.draw(st.sampled_from(suspects))
    verdict, _ = found(plan(suspects, line), culprit, line)
    if in_work:
        assert verdict.suspects == (culprit,), "settings of one commit are told apart by putting them back"
    else:
        assert {one.change.commits for one in verdict.suspects} == {culprit.change.commits}


@given(st.integers(2, 30), st.data())
@settings(max_examples=40, deadline=None)
def test_uncommitted_suspects_are_halved_by_putting_them_back(count: int, data: st.DataObject) -> None:
    line = [WORKING_TREE]
    suspects = [suspect(None, name=f"a{number:02}") for number in range(count)]
    culprit = data.draw(st.sampled_from(suspects))
    made = plan(suspects, line)
    assert isinstance(made.first, Trial)
    assert made.first.stop is None
    verdict, prints = found(made, culprit, line)
    assert verdict.suspects == (culprit,)
    assert prints <= ceil(log2(count))


def test_the_heavier_suspect_is_cut_off_first() -> None:
    line = stops(6)
    suspects = [suspect(0, 0.9), *(suspect(number, 0.05) for number in range(1, 6))]
    first = plan(suspects, line).first
    assert isinstance(first, Trial)
    assert first.stop == line[0]
    assert first.bad == Verdict((suspects[0],))


def test_a_state_with_a_danger_is_never_proposed() -> None:
    line, suspects = stops(8), [suspect(number) for number in range(8)]
    unfit = set(line[2:5])
    made = plan(suspects, line, fitness_of=lambda stop: Fitness(dangers=2 * (stop in unfit)))
    proposed = [one.stop for one in trials(made.first)]
    assert proposed
    assert unfit.isdisjoint(proposed)
    assert isinstance(made.first, Trial)
    assert made.first.stop in (line[1], line[5]), "the nearest that is fit"
    assert {one.stop for one in made.first.passed_over} == unfit


def test_a_later_state_with_the_same_suspects_stands_in() -> None:
    line = stops(6)
    suspects = [suspect(0), suspect(5)]
    made = plan(suspects, line, fitness_of=lambda stop: Fitness(errors=int(stop is line[0])))
    assert isinstance(made.first, Trial)
    assert made.first.stop == line[1]


def test_where_no_state_is_fit_nothing_is_proposed() -> None:
    line = stops(4)
    made = plan([suspect(0), suspect(3)], line, fitness_of=lambda _: Fitness(errors=1))
    assert isinstance(made.first, Verdict)
    assert made.first.passed_over


def test_a_working_tree_that_is_not_fit_is_told() -> None:
    made = plan(
        [suspect(None, name="a"), suspect(None, name="b")], [WORKING_TREE], fitness_of=lambda _: Fitness(2)
    )
    assert made.last is not None
    assert made.last.fitness.dangers == 2


def test_a_half_that_leaves_what_is_fit_is_put_back_instead() -> None:
    suspects = [suspect(None, name=name) for name in "abcd"]
    broken = tuple(suspects[:2])

    def fitness_of(chosen: Sequence[Suspect]) -> Fitness:
        return Fitness(dangers=int(tuple(chosen) == broken))

    first = plan(suspects, [WORKING_TREE], restored_fitness=fitness_of).first
    assert isinstance(first, Trial)
    assert first.restored != broken
    assert first.fitness.fit


def test_a_half_that_is_not_fit_either_way_says_so() -> None:
    suspects = [suspect(None, name=name) for name in "ab"]
    first = plan(suspects, [WORKING_TREE], restored_fitness=lambda _: Fitness(dangers=1)).first
    assert isinstance(first, Trial)
    assert first.fitness == Fitness(dangers=1)


def test_what_cannot_be_put_back_is_not_proposed() -> None:
    suspects = [suspect(None, name=name) for name in "ab"]
    made = plan(suspects, [WORKING_TREE], restored_fitness=lambda _: Fitness(unreadable="it is tied to b"))
    assert made.first == Verdict(tuple(suspects))


def test_a_suspect_that_no_commit_between_made_is_left_out_and_told() -> None:
    stranger = suspect(99)
    made = plan([suspect(0), suspect(1), stranger], stops(2))
    assert made.unplaced == (stranger,)


def test_looking_few_prints_ahead() -> None:
    suspects = [suspect(number) for number in range(16)]
    made = plan(suspects, stops(16), depth=2)
    assert made.prints == 2
    ends = ends_of(made.first)
    assert [len(one.suspects) for one in ends] == [4, 4, 4, 4]
    assert all(one.later for one in ends)


def test_nobody_to_suspect() -> None:
    assert plan([], stops(3)).first == Verdict(())
    assert plan([], []).first == Verdict(())


def trials(outcome: Outcome) -> list[Trial]:
    if isinstance(outcome, Verdict):
        return []
    return [outcome, *trials(outcome.good), *trials(outcome.bad)]


def ends_of(outcome: Outcome) -> list[Verdict]:
    if isinstance(outcome, Verdict):
        return [outcome]
    return [*ends_of(outcome.good), *ends_of(outcome.bad)]
