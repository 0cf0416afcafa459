"""Memory management for a process that lives for less than a second."""

from __future__ import annotations

import atexit
import gc

CONTAINERS = 500_000
"""Objects between two collections: more than a large configuration makes."""


def collect_rarely() -> None:
    """Look for cycles only in enormous configurations, and not at all on the way out: it takes a tenth of a
    check to look, and there are hardly any."""
    gc.set_threshold(CONTAINERS)
    atexit.register(gc.freeze)
