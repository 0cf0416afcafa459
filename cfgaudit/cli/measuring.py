"""What the measuring commands share: their extra, and how a file that cannot be used is told."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Optional

import typer

from cfgaudit.cli.failure import UsageError

Columns = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--columns",
        metavar="NAMES",
        help="The file's columns, by name or number, with commas: where its header does not say it.",
        show_default=False,
    ),
]
Plot = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--plot", metavar="FILE", help="Draw it: FILE.svg or FILE.png.", show_default=False),
]
PLOTS = (".svg", ".png")


@contextmanager
def measuring() -> Iterator[None]:
    """Numbers are computed here: what cannot be used is told in one line, and so is what is not installed."""
    from cfgaudit.evidence.recordings.columns import MeasurementError

    need_extra()
    try:
        yield
    except MeasurementError as error:
        raise UsageError(str(error)) from error


def need_extra() -> None:
    """Raise UsageError unless the libraries of the extra are installed."""
    from importlib.util import find_spec

    if missing := [name for name in ("numpy", "scipy") if find_spec(name) is None]:
        raise UsageError(f"measuring needs {' and '.join(missing)}: pip install 'cfgaudit[measure]'")


def column_names(columns: str | None) -> tuple[str, ...]:
    return tuple(columns.split(",")) if columns else ()


def plot_file(plot: str | None) -> Path | None:
    """Where to draw. Raises UsageError for a kind of picture that is not made, and where none can be made."""
    from importlib.util import find_spec

    if plot is None:
        return None
    path = Path(plot)
    if path.suffix.casefold() not in PLOTS:
        raise UsageError(f"{plot}: pictures are made as {' or '.join(PLOTS)}: give such a name")
    if find_spec("matplotlib") is None:
        raise UsageError("pictures need matplotlib: pip install 'cfgaudit[measure]'")
    return path
