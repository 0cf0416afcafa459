"""A sign of life on standard error for whatever takes more than a second."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Timer

PATIENCE = 1.0
"""Seconds."""


@contextmanager
def progress(doing: str) -> Iterator[None]:
    """Say what goes on if it is not over within a second; nothing where nobody looks."""
    timer = Timer(PATIENCE, lambda: print(f"cfgaudit: {doing} …", file=sys.stderr, flush=True))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
