"""Recordings as text, written by hand."""

from __future__ import annotations

import math
from pathlib import Path


def rows(
    count: int = 400,
    *,
    step: float = 1 / 3200,
    mark: str = ",",
    size: float = 1.0,
    columns: int = 3,
    offset: float = 0.0,
) -> list[str]:
    """Rows of a time and accelerations that swing, all different."""
    made = []
    for at in range(count):
        swings = (offset + size * math.sin(0.7 * at + axis) for axis in range(columns))
        made.append(mark.join(f"{cell:.7g}" for cell in (at * step, *swings)))
    return made


def table(folder: Path, header: str, lines: list[str], end: str = "\n") -> Path:
    """A file of a header, unless it is empty, and rows."""
    return written(folder, end.join([*([header] if header else []), *lines, ""]).encode())


def written(folder: Path, data: bytes, name: str = "run.csv") -> Path:
    path = folder / name
    path.write_bytes(data)
    return path
