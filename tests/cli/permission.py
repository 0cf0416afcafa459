"""Running where permissions count, also for root."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable

import pytest

CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH = 1, 2
PR_CAPBSET_DROP = 24
"""Linux: capabilities(7), prctl(2)."""


def bound() -> Callable[[], None] | None:
    """What a child does before it starts, so that permissions bind it; None where they do so anyway.

    Root may read and write everything by two capabilities of Linux; these are dropped for good.
    """
    if os.name == "nt":
        pytest.skip("permissions are another matter there")
    if os.geteuid() != 0:
        return None
    if not sys.platform.startswith("linux"):
        pytest.skip("root's rights cannot be dropped here")
    return _drop


def _drop() -> None:
    libc = ctypes.CDLL(None, use_errno=True)
    for capability in (CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH):
        if libc.prctl(PR_CAPBSET_DROP, capability, 0, 0, 0) != 0:
            os._exit(77)
