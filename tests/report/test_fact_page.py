"""The page of a fact: everything of both samples is explained, and what is reckoned there comes out."""

from __future__ import annotations

import re
from functools import cache
from math import log10, sqrt

import pytest

from cfgaudit.audit import Audit, audit, audit_text
from cfgaudit.checks.fact_limits import limits_of, rules_over_facts
from cfgaudit.data import data_folder
from cfgaudit.facts.fact import Fact
from cfgaudit.report.fact_page import fact_page_form, fact_page_lines
from cfgaudit.report.lines import breadth, plain
from cfgaudit.report.worked import worked
from cfgaudit.source import Memory

SAMPLES = data_folder("samples")
MACHINES = {"heron": ("heron.ini", "heron/base"), "gannet": ("gannet.conf", "gannet")}
RULES = rules_over_facts({}, (), ())
UNIT = re.compile(r"(?<=[\d)])[ \u00a0](?:per )?[^\W\d_]+[²³]?(?:/[^\W\d_]+[²³]?)?(?: RMS)?")
SCALES = (1.0, 1e-6, 1e6)
"""ms² stand beside mm/s²: a power of a thousand is a matter of units."""


@cache
def audited(machine: str) -> Audit:
    main, folder = MACHINES[machine]
    paths = [path for path in (SAMPLES / folder).rglob("*") if path.suffix in (".ini", ".conf")]
    files = {path.relative_to(SAMPLES / folder).as_posix(): path.read_bytes() for path in paths}
    return audit(Memory(files), main)


def page(fact: Fact, done: Audit, width: int = 80) -> list[str]:
    return [plain(one) for one in fact_page_lines(fact, limits_of(fact, done.facts, RULES), width)]


@pytest.mark.parametrize("machine", MACHINES)
def test_every_fact_of_the_samples_is_explained(machine: str) -> None:
    done = audited(machine)
    for fact in done.facts.facts:
        assert fact.formula, fact.name
        assert fact.origin, fact.name
        shown = page(fact, done)
        assert fact.name.split(".")[1] in shown[0]
        told = " ".join(" ".join(shown).split())
        for meaning in fact.origin:
            assert f"{meaning.place.file}:{meaning.place.line}" in told


@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("width", [40, 80, 120])
def test_pages_fit_their_window(machine: str, width: int) -> None:
    done = audited(machine)
    for fact in done.facts.facts:
        assert max(map(breadth, page(fact, done, width))) <= width


def reckoned(text: str) -> float:
    """The value of a formula with its numbers put in, by Python."""
    plainly = UNIT.sub("", text)
    for mark, operator in (
        ("×", "*"),
        ("÷", "/"),
        ("−", "-"),
        ("²", "**2"),
        ("√", "sqrt"),
        ("sqrt2", "sqrt(2)"),
    ):
        plainly = plainly.replace(mark, operator)
    return float(eval(plainly, {"sqrt": sqrt}))


@pytest.mark.parametrize("machine", MACHINES)
def test_the_numbers_that_are_put_in_give_the_fact(machine: str) -> None:
    """Four digits are shown of each number."""
    count = 0
    for fact in audited(machine).facts.facts:
        numbers = worked(fact.formula, fact.terms)
        if numbers is None or not isinstance(fact.value, float):
            continue
        count += 1
        value = reckoned(numbers)
        assert any(value * scale == pytest.approx(fact.value, rel=2e-3) for scale in SCALES), (
            fact.name,
            numbers,
        )
    assert count >= 20


WORKED_CASE = "[axis x]\nacceleration = 6700\nshaper = MZV\nshaper frequency = 48\n"


def test_a_page_shows_formula_numbers_limit_and_room() -> None:
    """σ² = 0.082376 ÷ 48² s² = 35.75 ms², by hand; 0.120 mm are 0.020 more than the budget of 0.100 mm."""
    done = audit_text({"m.ini": WORKED_CASE})
    fact = done.facts.get("axis.x.shaper_rounding")
    assert fact is not None
    shown = page(fact, done)
    assert "  a × σ² ÷ 2" in shown
    assert "  = 6700 mm/s² × 35.75 ms² ÷ 2 = 0.1198 mm" in shown
    assert "  m.ini:2  [axis x] acceleration 6700" in shown
    assert "  at most 0.1 mm, 0.01977 mm too far (accel-beyond-shaper)" in shown


def test_a_form_holds_what_the_page_says() -> None:
    done = audit_text({"m.ini": WORKED_CASE})
    rounding, ceiling = (done.facts.get(f"axis.x.shaper_{one}") for one in ("rounding", "accel_ceiling"))
    assert rounding is not None
    assert ceiling is not None
    form = fact_page_form(rounding, limits_of(rounding, done.facts, RULES))
    assert form["worked"] == "6700 mm/s² × 35.75 ms² ÷ 2"
    (limit,) = form["limits"]
    assert (limit["rule"], limit["limit"]) == ("accel-beyond-shaper", 0.1)
    assert limit["room"] == pytest.approx(-0.0198, abs=1e-4)
    bounds = fact_page_form(ceiling, ())["bounds"]
    assert bounds["setting"] == "acceleration"
    assert log10(-bounds["room"]) == pytest.approx(log10(6700 - 5593), abs=0.01)
