"""The clock, and how far it can be believed."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from cfgaudit.evidence.records.record import FOLDER


def current_time() -> datetime:
    """To the millisecond, which is what a record keeps, with the offset from UTC."""
    now = datetime.now().astimezone()
    return now.replace(microsecond=now.microsecond // 1000 * 1000)


def time_of_reading(folder: Path) -> datetime:
    """Now; or when the folder of records below ``folder`` was last written, where that is later.

    A board without a battery starts with a clock of long ago, and that puts no record into the future.
    """
    now = current_time()
    try:
        written = datetime.fromtimestamp(os.stat(folder / FOLDER).st_mtime).astimezone()
    except (OSError, ValueError, OverflowError):
        return now
    return max(now, written)
