"""A sign of life on standard error for whatever takes more than a second."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Timer

from cfgaudit.cli.screen import complain
from cfgaudit.report.lines import one_line

PATIENCE = 1.0
"""Seconds."""


@contextmanager
def progress(doing: str) -> Iterator[None]:
    """Say once what goes on if it is not over within a second."""
    timer = Timer(PATIENCE, lambda: complain(f"{one_line(doing)} …"))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
