"""What speaks against a measurement, told above all that was computed from it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.evidence.vibration.doubts import Doubt
from cfgaudit.report.lines import Line, one_line, wrapped


def doubt_lines(doubts: Sequence[Doubt], verdict: str, width: int) -> Iterator[Line]:
    """Each doubt as a sentence, and then a verdict (``Judge no belt by this``) with what to do."""
    for one in doubts:
        yield from wrapped(one_line(f"{one.told[:1].upper()}{one.told[1:]}."), width, 4, first="  ")
    remedies = dict.fromkeys(one.remedy for one in doubts)
    told = f"{verdict}: {', '.join(remedies)}, and measure again. No rule is held against a doubtful record."
    yield from wrapped(one_line(told), width, 2, first="→ ")
