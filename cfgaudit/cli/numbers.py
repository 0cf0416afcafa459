"""Numbers of the command line."""

from __future__ import annotations

import re
from collections.abc import Iterable

from cfgaudit.cli.failure import UsageError

DECIMAL = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?", re.ASCII | re.IGNORECASE)


def no_options(words: Iterable[str]) -> None:
    """Raise UsageError for an unknown option: where numbers may be negative it comes as an argument."""
    for word in words:
        if word.startswith("--"):
            raise UsageError(f"no such option: {word}: --help lists those that there are")


def decimal(text: str, example: str) -> float:
    """A finite decimal number. ``example`` says what to give instead. Raises UsageError."""
    amount = float(text) if DECIMAL.fullmatch(text.strip()) else None
    if amount is None:
        raise UsageError(f'"{text}" is no number: {example}')
    if amount in (float("inf"), float("-inf")):
        raise UsageError(f'"{text}" is larger than any number that can be kept: {example}')
    return amount
