"""The line that says what is being done, and the time limit of a job."""

from __future__ import annotations

import io
import signal
from threading import Event

import pytest

from mounts.cli import following as shown
from mounts.cli.following import TimeLimitError, following, time_limit
from mounts.progress import LOG, report_stage

needs_timer = pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="no timer on this system")


class Screen(io.StringIO):
    """What is written to a terminal or to a file, and whether anything of it was seen."""

    def __init__(self, *, is_terminal: bool) -> None:
        super().__init__()
        self.is_terminal, self.seen = is_terminal, Event()

    def isatty(self) -> bool:
        return self.is_terminal

    def write(self, text: str) -> int:
        count = super().write(text)
        if "left: plan" in text:
            self.seen.set()
        return count


def test_on_a_terminal_the_stage_is_shown_and_wiped_away(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen(is_terminal=True)
    monkeypatch.setattr("sys.stderr", screen)
    monkeypatch.setattr(shown, "PATIENCE", 1e-3)
    monkeypatch.setattr(shown, "PERIOD", 1e-3)
    before = list(LOG.handlers)
    with following():
        report_stage("%s: plan", "left")
        assert screen.seen.wait(60)
    assert screen.getvalue().endswith(shown.CLEAR)
    assert LOG.handlers == before


def test_what_is_done_at_once_shows_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen(is_terminal=True)
    monkeypatch.setattr("sys.stderr", screen)
    monkeypatch.setattr(shown, "PATIENCE", 1e6)
    with following():
        report_stage("%s: plan", "left")
    assert screen.getvalue() == ""


def test_elsewhere_than_on_a_terminal_nothing_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen(is_terminal=False)
    monkeypatch.setattr("sys.stderr", screen)
    monkeypatch.setattr(shown, "PATIENCE", 0.0)
    before = list(LOG.handlers)
    with following():
        assert LOG.handlers == before
        report_stage("%s: plan", "left")
    assert screen.getvalue() == ""


@needs_timer
def test_a_job_that_takes_too_long_is_stopped() -> None:
    before = signal.getsignal(signal.SIGALRM)
    with pytest.raises(TimeLimitError, match=r"longer than 0\.05 s .* --time-limit"), time_limit(0.05):
        while True:
            pass
    assert signal.getsignal(signal.SIGALRM) is before
    assert signal.getitimer(signal.ITIMER_REAL) == (0.0, 0.0)


@needs_timer
def test_a_job_within_its_limit_leaves_no_timer_behind() -> None:
    with time_limit(1e6):
        assert signal.getitimer(signal.ITIMER_REAL)[0] > 0
    assert signal.getitimer(signal.ITIMER_REAL) == (0.0, 0.0)
