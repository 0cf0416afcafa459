"""Running rules: order, severities, faults, skips and fingerprints."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit import understand
from cfgaudit.checks.cards import CardError, load_cards
from cfgaudit.checks.finding import Finding, Limits, Problem, Severity, Skip, Skipped, Subject
from cfgaudit.checks.rule import Rule
from cfgaudit.checks.ruleset import load_rules
from cfgaudit.checks.run import raise_fault, run_rules
from cfgaudit.project import Project
from cfgaudit.source import Memory
from cfgaudit.syntax.document import Place
from checks.structure_only import check_structure

MACHINE = """
[axis x]
lowest = 0
highest = 300
highest = 310

[fan bed]
drive =
drive = CHANGE_ME
"""
SUBJECT = understand(Memory({"main.ini": MACHINE.encode()}), "main.ini", Project())


def rule_of(*yielded: Problem | Skip, name: str = "some-rule", severity: Severity = Severity.WARNING) -> Rule:
    def yielding(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
        yield from yielded

    return Rule(name, "Some rule", severity, "structure", "Do something.", check=yielding)


def problem(line: int, subject: str = "something", *, severity: Severity | None = None) -> Problem:
    return Problem(Place("main.ini", line, 1, line, 5), "something is wrong", subject, severity=severity)


def test_findings_stand_in_order_of_file_and_place() -> None:
    stranger = Problem(Place("another.ini", 1, 1, 1, 1), "nothing includes it", "another")
    findings = run_rules(SUBJECT, [rule_of(stranger, problem(7), problem(2))]).findings
    assert [(one.where.file, one.where.line) for one in findings] == [
        ("main.ini", 2),
        ("main.ini", 7),
        ("another.ini", 1),
    ]


def test_a_problem_may_lower_the_severity_of_its_card() -> None:
    findings = run_rules(SUBJECT, [rule_of(problem(2, severity=Severity.NOTE))]).findings
    assert findings[0].severity is Severity.NOTE


def test_a_problem_never_raises_the_severity_of_its_card() -> None:
    findings = run_rules(SUBJECT, [rule_of(problem(2, severity=Severity.DANGER))]).findings
    assert findings[0].severity is Severity.WARNING


def test_a_better_advice_replaces_the_cards() -> None:
    better = problem(2)._replace(advice="Did you mean PA1?")
    findings = run_rules(SUBJECT, [rule_of(better, problem(3))]).findings
    assert [one.advice for one in findings] == ["Did you mean PA1?", "Do something."]


def test_a_rule_that_cannot_run_says_why_once() -> None:
    skipped = run_rules(SUBJECT, [rule_of(Skip("no table of chips"), Skip("no table of chips"))]).skipped
    assert skipped == (Skipped("some-rule", "no table of chips"),)


def failing(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    yield problem(2)
    raise ZeroDivisionError("float division by zero")


FAILING = Rule("broken", "Broken", Severity.ERROR, "structure", "Nothing.", check=failing)


def test_a_fault_in_one_rule_costs_no_other_finding() -> None:
    found = run_rules(SUBJECT, [FAILING, rule_of(problem(3))])
    assert [one.rule for one in found.findings] == ["some-rule"]
    assert found.skipped == (Skipped("broken", "internal fault: ZeroDivisionError: float division by zero"),)


def test_a_fault_surfaces_where_tests_ask_for_it() -> None:
    with pytest.raises(ZeroDivisionError):
        run_rules(SUBJECT, [FAILING], on_fault=raise_fault)


def test_equal_problems_have_different_fingerprints() -> None:
    findings = run_rules(SUBJECT, [rule_of(problem(2), problem(3), problem(4))]).findings
    assert len({one.fingerprint for one in findings}) == 3


def test_the_same_names_under_two_rules_have_different_fingerprints() -> None:
    findings = run_rules(SUBJECT, [rule_of(problem(2)), rule_of(problem(2), name="another")]).findings
    assert len({one.fingerprint for one in findings}) == 2


def prints(findings: tuple[Finding, ...]) -> Counter[tuple[str, str]]:
    return Counter((one.rule, one.fingerprint) for one in findings)


BEFORE = prints(check_structure(MACHINE).findings)
LINES = MACHINE.splitlines()
INSERTED = st.lists(
    st.tuples(st.integers(0, len(LINES)), st.sampled_from(["", "; a comment", "# another", "\t"])), max_size=8
)


@settings(max_examples=40, deadline=None)
@given(INSERTED)
def test_fingerprints_stay_when_lines_move(inserted: list[tuple[int, str]]) -> None:
    lines = list(LINES)
    for at, line in sorted(inserted, reverse=True):
        lines.insert(at, line)
    assert prints(check_structure("\n".join(lines)).findings) == BEFORE
    assert BEFORE


def test_a_rule_that_is_off_does_not_run() -> None:
    rules = load_rules(severities={"repeated-setting": None})
    assert "repeated-setting" not in {rule.name for rule in rules}
    assert {rule.name for rule in load_rules()} - {rule.name for rule in rules} == {"repeated-setting"}


def test_a_severity_is_overridden() -> None:
    rules = {rule.name: rule for rule in load_rules(severities={"repeated-setting": Severity.ERROR})}
    assert rules["repeated-setting"].severity is Severity.ERROR


def test_a_limit_is_overridden_and_the_card_stays() -> None:
    limited = next(rule for rule in load_cards().values() if rule.limits)
    limit = next(iter(limited.limits.values()))
    changed = limit.value if isinstance(limit.value, tuple) else 1234.0
    rules = {rule.name: rule for rule in load_rules(limits={f"{limited.name}.{limit.name}": changed})}
    assert rules[limited.name].limits[limit.name].value == changed
    assert rules[limited.name].limits[limit.name].source == "cfgaudit.toml"
    assert load_cards()[limited.name].limits[limit.name].value == limit.value


@pytest.mark.parametrize(
    "limits", [{"repeated-setting.nothing": 1.0}, {"no-such-rule.low": 1.0}, {"low": 1.0}]
)
def test_an_unknown_limit_is_refused(limits: dict[str, float]) -> None:
    with pytest.raises(CardError):
        load_rules(limits=limits)


def test_an_unknown_rule_is_refused() -> None:
    with pytest.raises(CardError):
        load_rules(severities={"no-such-rule": None})
