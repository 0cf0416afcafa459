"""Every expected failure as one line on standard error and exit status 2."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from cfgaudit.cli.screen import complain
from cfgaudit.report.lines import one_line

UNUSABLE = 2


class UsageError(Exception):
    """What was asked for cannot be done; the message is one line that says why and what to do."""


@contextmanager
def told() -> Iterator[None]:
    """Turn what is the user's to mend into one line; let programming errors through."""
    from cfgaudit.source import SourceError
    from cfgaudit.toml_file import ProjectError

    try:
        yield
    except (UsageError, SourceError, ProjectError) as error:
        _give_up(str(error))
    except OSError as error:
        _give_up(_failed(error))
    except Exception as error:
        if not hasattr(error, "format_message"):  # what the command line library raises for wrong usage
            raise
        _give_up(_misused(error))


def _give_up(message: str) -> None:
    complain(one_line(message))
    sys.exit(UNUSABLE)


def _failed(error: OSError) -> str:
    """What the system refuses, in words."""
    if isinstance(error.filename, (str, bytes)):
        return f"{os.fsdecode(error.filename)}: {error.strerror}: check its permissions and its disk"
    if isinstance(error, FileNotFoundError):  # only asking for the current folder fails without a name
        return "the current folder is gone: change to one that exists"
    return f"{error.strerror or error}: check the disk and what this user may do"


def _misused(error: Exception) -> str:
    """The library's account of wrong usage as one line with what to do."""
    said = str(error.format_message()).replace("Value error, ", "")  # type: ignore[attr-defined]
    command = getattr(getattr(error, "ctx", None), "command_path", "cfgaudit")
    said = f"{said[:1].lower()}{said[1:]}".rstrip(".")
    dashed = [one for one in sys.argv[1:] if one.startswith("-") and os.path.lexists(one) and one != "-"]
    hint = f"; if the file {dashed[0]} is meant, write ./{dashed[0]}" if dashed else ""
    return f"{said}{hint}{' -' if said.endswith('?') else ';'} {command} --help shows the usage"
