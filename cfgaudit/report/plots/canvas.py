"""What all pictures share: size, colours that do without seeing colours, and how they are saved."""

from __future__ import annotations

import errno
import os
from collections.abc import Sequence
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK = "#1f2430"
COLOURS = ("#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9")
"""M. Okabe, K. Ito, Color Universal Design (2008), from memory: told apart whatever one's eyes are."""
STYLES = ("-", "--", "-.", ":")
FULL = frozenset({errno.ENOSPC, errno.EDQUOT})
"""What a full disk says."""


class NotDrawn(Exception):  # noqa: N818 - the name says what is wrong
    """A picture that cannot be written; one line."""


def new_figure(title: str, *, wide: float = 9.0, high: float = 5.4) -> tuple[Figure, Axes]:
    """A figure with one pair of axes; sizes in inches."""
    figure, (axes,) = stacked(title, (1.0,), wide=wide, high=high)
    return figure, axes


def stacked(
    title: str, heights: Sequence[float], *, wide: float = 9.0, high: float = 5.4, shared: bool = True
) -> tuple[Figure, tuple[Axes, ...]]:
    """Axes one above the other, of these relative heights; ``shared``: with one lower scale."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(wide, high), layout="constrained")
    ratios = list(heights)
    found = figure.subplots(len(heights), 1, sharex=shared, squeeze=False, height_ratios=ratios)[:, 0]
    for axes in found:
        axes.grid(visible=True, color="#dddddd", linewidth=0.7)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
    found[0].set_title(title, loc="left", color=INK, fontsize=12, fontweight="bold")
    return figure, tuple(found)


def save(figure: Figure, path: Path) -> None:
    """Write a figure as SVG or PNG, the same bytes for the same content. Raises NotDrawn."""
    import matplotlib

    form, drawn = path.suffix.removeprefix(".").casefold(), BytesIO()
    told = {"Date": None} if form == "svg" else {}
    with matplotlib.rc_context({"svg.hashsalt": "cfgaudit", "svg.fonttype": "none"}):
        figure.savefig(drawn, format=form, dpi=120, metadata=told)
    try:
        _write_whole(path, drawn.getvalue())
    except OSError as error:
        remedy = "make space on its disk" if error.errno in FULL else "name a file in a folder of yours"
        raise NotDrawn(f"{path} cannot be written ({error.strerror}): {remedy}") from error


def _write_whole(path: Path, data: bytes) -> None:
    """Write a file wholly or not at all: what stood there stays until the new one is complete."""
    target = path.resolve() if path.is_symlink() else path
    draft = target.with_name(f".{os.urandom(8).hex()}")
    try:
        with open(draft, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(target)
    except BaseException:
        with suppress(OSError):
            draft.unlink()
        raise
