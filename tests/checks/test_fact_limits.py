"""Which limits apply to a fact, and the room that they leave."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.cards import CardError, read_head
from cfgaudit.checks.fact_limits import limits_of, rules_over_facts

HEAD = {"title": "t", "severity": "note", "why": "w", "advice": "a", "source": "ours"}
TEXT = "[axis x]\nlowest = 0\nhighest = 300\nhome speed = 40\nacceleration = 1000\nhome backoff = 2\n"


def room(require: dict[str, object], name: str = "axis.x.travel") -> list[tuple[str, float | None]]:
    rule = read_head({**HEAD, "require": require}, "ours", "house")
    facts = audit_text({"m.ini": TEXT}).facts
    fact = facts.get(name)
    assert fact is not None
    return [(one.kind, one.room) for one in limits_of(fact, facts, [rule])]


@pytest.mark.parametrize(
    ("comparison", "left"),
    [
        ({"at_most": 500}, 200),
        ({"below": 250}, -50),
        ({"at_least": 120}, 180),
        ({"above": 310}, -10),
        ({"between": [250, 360]}, 50),
        ({"between": [290, 360]}, 10),
        ({"one_of": [300, 400]}, None),
        ({"at_most": "axis.*.home_room"}, -298),
    ],
)
def test_room(comparison: dict[str, object], left: float | None) -> None:
    kind = next(iter(comparison))
    assert room({"fact": "axis.*.travel", **comparison}) == [(kind, left)]


@pytest.mark.parametrize(
    "require",
    [
        {"fact": "axis.y.travel", "at_most": 5},
        {"fact": "axis.*.travel", "at_most": "axis.*.nothing"},
        {"role": "travel.max", "at_most": 5},
    ],
)
def test_what_does_not_apply_is_not_told(require: dict[str, object]) -> None:
    assert room(require) == []


def test_limits_of_the_project_count() -> None:
    facts = audit_text({"m.ini": TEXT.replace("home backoff = 2", "")}).facts
    fact = facts.get("axis.x.home_stop_distance")
    assert fact is not None
    limits = {"home-overrun.usual_room": 1.5}
    (limit,) = limits_of(fact, facts, rules_over_facts(limits, (), ()))
    assert (limit.rule, limit.limit, limit.room) == ("home-overrun", (1.5,), pytest.approx(0.7))
    assert limits_of(fact, facts, rules_over_facts({}, {"home-overrun"}, ())) == ()


def test_a_limit_that_does_not_exist_is_refused() -> None:
    with pytest.raises(CardError, match="no limit"):
        rules_over_facts({"home-overrun.nothing": 3}, (), ())
