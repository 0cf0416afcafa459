"""Where lines are shown: a terminal in colour, or anything else plainly."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from contextlib import suppress

from cfgaudit.report.lines import NARROWEST, WIDTH, Line, plain

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
    """Columns to fill: ``COLUMNS``, else the terminal's, from 40 to 120; 80 where there is neither."""
    stated = os.environ.get("COLUMNS", "")
    if stated.isascii() and stated.isdigit() and int(stated):
        columns = int(stated)
    elif sys.stdout.isatty():
        columns = _terminal_columns()
    else:
        columns = WIDTH
    return max(NARROWEST, min(WIDEST, columns))


def _terminal_columns() -> int:
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns or WIDTH
    except (OSError, ValueError):
        return WIDTH


def show(lines: Iterable[Line]) -> None:
    """Print lines on standard output."""
    if _coloured():
        _show_coloured(lines)
    else:
        write("".join(f"{plain(one)}\n" for one in lines))


def write(text: str) -> None:
    """Print text as UTF-8 whatever the locale says; what cannot be written is escaped.

    Where the reader has gone (``head``, ``less``) the rest is dropped in silence: the exit status still tells
    what was found. Raises OSError where it cannot be written for another reason (a full disk).
    """
    data = text.encode("utf-8", "backslashreplace")
    buffer = getattr(sys.stdout, "buffer", None)
    if buffer is None:
        sys.stdout.write(data.decode("utf-8"))
        return
    try:
        sys.stdout.flush()
        buffer.write(data)
        buffer.flush()
    except BrokenPipeError:
        _abandon()
    except OSError as error:
        _abandon()
        raise OSError(error.errno, error.strerror, "standard output") from error


def _abandon() -> None:
    """Lead standard output nowhere, so that what is left in its buffer makes no noise at the end."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


def complain(text: str) -> None:
    """One line on standard error."""
    told = f"cfgaudit: {text}".encode("utf-8", "backslashreplace").decode("utf-8")
    with suppress(OSError):  # nobody can be told
        print(told, file=sys.stderr, flush=True)


def _coloured() -> bool:
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _show_coloured(lines: Iterable[Line]) -> None:
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=True)
    for one in lines:
        text = Text.assemble(*((piece.text, STYLES.get(piece.style, "")) for piece in one))
        text.rstrip()
        console.print(text)
