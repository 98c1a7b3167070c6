"""A line that says what is being done, once a command lasts over a second; its time limit."""

from __future__ import annotations

import logging
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from shutil import get_terminal_size
from threading import Event, Thread
from time import monotonic
from types import FrameType

from mounts.errors import MountsError
from mounts.progress import LOG

PATIENCE, PERIOD = 1.0, 0.5  # s before the line appears, and from one change to the next
CLEAR = "\r\x1b[K"  # to the line's begin, and erase it


class TimeLimitError(MountsError):
    """A job took longer than its limit."""


class _Line(logging.Handler):
    """The last stage and the time since the command began, on stderr."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self._begin, self._stage, self._done = monotonic(), "read the files", Event()
        self._writer = Thread(target=self._write, daemon=True)
        self._writer.start()

    def emit(self, record: logging.LogRecord) -> None:
        self._stage = record.getMessage()

    def _write(self) -> None:
        wait = PATIENCE
        while not self._done.wait(wait):
            text = f"{monotonic() - self._begin:.0f} s  {self._stage}"
            sys.stderr.write(CLEAR + text[: get_terminal_size().columns - 1])
            sys.stderr.flush()
            wait = PERIOD

    def close(self) -> None:
        self._done.set()
        self._writer.join()
        if monotonic() - self._begin > PATIENCE:
            sys.stderr.write(CLEAR)
            sys.stderr.flush()
        super().close()


@contextmanager
def following() -> Iterator[None]:
    """Show on a terminal what is being done until the end of a block; elsewhere nothing."""
    if not sys.stderr.isatty():
        yield
        return
    line, level = _Line(), LOG.level
    LOG.addHandler(line)
    LOG.setLevel(logging.INFO)
    try:
        yield
    finally:
        LOG.removeHandler(line)
        LOG.setLevel(level)
        line.close()


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raise `TimeLimitError` in a block that lasts longer; where the system has no timer, it has no limit.

    A call of the kernel is not broken off: the limit is reported as soon as it returns.
    """
    if not hasattr(signal, "setitimer"):
        yield
        return

    def stop(number: int, frame: FrameType | None) -> None:
        what = f"it took longer than {seconds:g} s and was stopped"
        raise TimeLimitError(f"{what}; give it more with --time-limit, or simplify it")

    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
