"""Drawing for commands: a picture that cannot be written is told in one line."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from cfgaudit.cli.failure import UsageError


@contextmanager
def drawing() -> Iterator[None]:
    """Turn a picture that cannot be written into a UsageError."""
    from cfgaudit.report.plots.canvas import NotDrawn

    try:
        yield
    except NotDrawn as error:
        raise UsageError(str(error)) from error
