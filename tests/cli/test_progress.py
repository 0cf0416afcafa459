"""A sign of life on standard error, once, after a while; none where it is over before."""

from __future__ import annotations

import threading
from typing import ClassVar

import pytest

from cfgaudit.cli import progress as module
from cfgaudit.cli.progress import progress


class SteppedTimer:
    """A clock that a test moves."""

    made: ClassVar[list[SteppedTimer]] = []

    def __init__(self, seconds: float, act: object) -> None:
        self.seconds, self.act, self.daemon, self.cancelled = seconds, act, False, False
        self.made.append(self)

    def start(self) -> None:
        pass

    def cancel(self) -> None:
        self.cancelled = True

    def ring(self) -> None:
        assert callable(self.act)
        if not self.cancelled:
            self.act()


@pytest.fixture
def timers(monkeypatch: pytest.MonkeyPatch) -> list[SteppedTimer]:
    monkeypatch.setattr(module, "Timer", SteppedTimer)
    monkeypatch.setattr(SteppedTimer, "made", [])
    return SteppedTimer.made


def test_after_a_second(timers: list[SteppedTimer], capsys: pytest.CaptureFixture[str]) -> None:
    with progress("checking a\x1b[2J.ini"):
        (timer,) = timers
        assert timer.seconds == 1
        assert timer.daemon, "it never keeps the program alive"
        assert capsys.readouterr() == ("", "")
        timer.ring()
        assert capsys.readouterr() == ("", "cfgaudit: checking a\\x1b[2J.ini …\n")


def test_not_afterwards(timers: list[SteppedTimer], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(KeyError), progress("checking"):
        raise KeyError
    timers[0].ring()
    assert capsys.readouterr() == ("", "")


def test_no_thread_is_left() -> None:
    with progress("checking"):
        pass
    assert not any(
        isinstance(one, threading.Timer) and not one.finished.is_set() for one in threading.enumerate()
    )
