"""What must be said wherever a report could be taken for a proof of safety."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from cfgaudit.report.lines import BLANK, Line, wrapped

if TYPE_CHECKING:
    from cfgaudit.checks.finding import Findings

CAUTIONS = (
    "cfgaudit reads files; it cannot see wiring, and a clean check is no proof that a machine is safe. "
    "Keep a thermal cut-out that works without the firmware. Keep hands clear of a machine that may move. "
    "Mains wiring is work under your local code, for someone licensed to do it."
)

SHORT_CAUTIONS = (
    "cfgaudit cannot see wiring; a pass is no proof that a machine is safe. Keep a thermal cut-out of its "
    "own, hands clear, and mains wiring for someone licensed."
)
"""Where there is room for two lines, and nothing could be read as a pass."""


def cautions(findings: Findings, width: int) -> Iterator[Line]:
    """The cautions, if anything found is a danger."""
    if any(one.severity == "danger" for one in findings.findings):
        yield from wrapped(CAUTIONS, width, 0)
        yield BLANK
