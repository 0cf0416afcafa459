"""Every expected failure as one line on standard error and exit status 2."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from cfgaudit.cli.screen import complain
from cfgaudit.report.lines import visible

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
        complain(visible(" ".join(str(error).split())))
        sys.exit(UNUSABLE)
    except BrokenPipeError:
        # The reader (head, less) went away: nothing more to say, and no noise when Python closes the pipe.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except KeyboardInterrupt:
        sys.exit(130)
