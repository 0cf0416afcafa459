"""Every example of every card, run through the whole flow; and cards and functions held to one another."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest
from chip_library import LIBRARY

from cfgaudit.audit import Audit, audit_text
from cfgaudit.checks.all import load_checks
from cfgaudit.checks.allowances import RULES as ABOUT_ALLOWANCES
from cfgaudit.checks.cards import Example, card_path, load_cards, load_examples
from cfgaudit.checks.finding import Severity
from cfgaudit.checks.rule import placeholders
from cfgaudit.checks.run import raise_fault
from cfgaudit.machine.chips.chip import NO_TABLE

CARDS = load_cards()


def _examples(*, bad: bool) -> Iterator[object]:
    for rule in CARDS:
        for number, example in enumerate(load_examples(rule), 1):
            if example.bad is bad:
                yield pytest.param(rule, example, id=f"{rule}-{number}")


BAD, GOOD = list(_examples(bad=True)), list(_examples(bad=False))


@cache
def run(rule: str, number: int) -> Audit:
    example = load_examples(rule)[number]
    return audit_text(
        dict(example.files),
        example.project,
        encoding=example.encoding,
        library=LIBRARY,
        on_fault=raise_fault,
    )


def result(rule: str, example: Example) -> Audit:
    return run(rule, load_examples(rule).index(example))


@pytest.mark.parametrize(("rule", "example"), BAD)
def test_a_bad_example_is_found_exactly_where_it_says(rule: str, example: Example) -> None:
    found = [one for one in result(rule, example).findings.findings if one.rule == rule]
    if (rule, NO_TABLE) in {(one.rule, one.reason) for one in result(rule, example).findings.skipped}:
        pytest.skip(NO_TABLE)
    assert sorted((one.where.file, one.where.line) for one in found) == sorted(example.places)


@pytest.mark.parametrize(("rule", "example"), GOOD)
def test_a_good_example_has_no_finding_of_its_rule(rule: str, example: Example) -> None:
    assert [str(one) for one in result(rule, example).findings.findings if one.rule == rule] == []


@pytest.mark.parametrize(("rule", "example"), GOOD)
def test_a_good_example_is_no_error_to_any_rule(rule: str, example: Example) -> None:
    grave = (Severity.DANGER, Severity.ERROR)
    found = [one for one in result(rule, example).findings.findings if one.severity in grave]
    assert [f"{one.where} {one.rule}: {one.message}" for one in found] == []


@pytest.mark.parametrize("rule", list(CARDS))
def test_a_card_has_examples_of_both_kinds(rule: str) -> None:
    assert {example.bad for example in load_examples(rule)} == {True, False}


@pytest.mark.parametrize("rule", list(CARDS))
def test_a_cards_examples_stand_last(rule: str) -> None:
    """Only the head is read when rules run, so nothing of it may follow an example."""
    import tomllib

    from cfgaudit.checks.cards import head_text

    path = card_path(rule)
    whole = tomllib.loads(path.read_text(encoding="utf-8"))
    head = {key: value for key, value in whole.items() if key not in ("bad", "good")}
    assert tomllib.loads(head_text(path)) == head


@pytest.mark.parametrize("rule", list(CARDS))
def test_a_card_has_either_a_requirement_or_a_function(rule: str) -> None:
    ways = [CARDS[rule].requirement is not None, rule in load_checks(), rule in ABOUT_ALLOWANCES]
    assert ways.count(True) == 1


@pytest.mark.parametrize("rule", list(load_checks()))
def test_a_function_has_a_card(rule: str) -> None:
    assert rule in CARDS


@pytest.mark.parametrize("rule", list(CARDS))
def test_a_filled_text_has_no_placeholder_left(rule: str) -> None:
    card = CARDS[rule]
    assert placeholders(card.fill(card.advice)) == ()
    assert placeholders(card.fill(card.why)) == ()


@pytest.mark.parametrize(("rule", "example"), BAD)
def test_a_finding_is_one_plain_sentence(rule: str, example: Example) -> None:
    for one in result(rule, example).findings.findings:
        if one.rule == rule:
            assert "\n" not in one.message
            assert not one.message.endswith(".")
