"""Where lines are shown: a terminal in colour, or anything else plainly."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable

from cfgaudit.report.lines import WIDTH, Line, plain

STYLES = {
    "danger": "bold white on red",
    "error": "bold red",
    "warning": "yellow",
    "note": "cyan",
    "strong": "bold",
    "faint": "dim",
    "mark": "magenta",
}
WIDEST = 120


def width() -> int:
    """Columns to fill: the terminal's, at most 120; 80 where there is none."""
    if sys.stdout.isatty() or "COLUMNS" in os.environ:
        return max(40, min(WIDEST, shutil.get_terminal_size((WIDTH, 24)).columns))
    return WIDTH


def show(lines: Iterable[Line]) -> None:
    """Print lines on standard output."""
    if _coloured():
        _show_coloured(lines)
    else:
        write("".join(f"{plain(one)}\n" for one in lines))


def write(text: str) -> None:
    """Print text as UTF-8 whatever the locale says; what cannot be written is escaped."""
    data = text.encode("utf-8", "backslashreplace")
    sys.stdout.flush()
    buffer = getattr(sys.stdout, "buffer", None)
    if buffer is None:
        sys.stdout.write(data.decode("utf-8"))
    else:
        buffer.write(data)
        buffer.flush()


def complain(text: str) -> None:
    """One line on standard error."""
    print(f"cfgaudit: {text}".encode("utf-8", "backslashreplace").decode("utf-8"), file=sys.stderr)


def _coloured() -> bool:
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _show_coloured(lines: Iterable[Line]) -> None:
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=True)
    for one in lines:
        console.print(Text.assemble(*((piece.text, STYLES.get(piece.style, "")) for piece in one)))
