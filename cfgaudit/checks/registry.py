"""The functions behind function-form cards, by the rule's name."""

from __future__ import annotations

from collections.abc import Callable

from cfgaudit.checks.finding import Check

CHECKS: dict[str, Check] = {}


def check(rule: str) -> Callable[[Check], Check]:
    """Register the function that finds what the card ``rules/<concern>/<rule>.toml`` describes."""

    def register(function: Check) -> Check:
        if rule in CHECKS:
            raise ValueError(f"two functions for the rule {rule}")
        CHECKS[rule] = function
        return function

    return register
