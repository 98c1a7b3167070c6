"""The line that says what is being done, the time limit of a job, and the stop key."""

from __future__ import annotations

import io
import signal
import subprocess
import sys
from pathlib import Path
from threading import Event

import pytest

from mounts.cli import following as shown
from mounts.cli.following import TimeLimitError, following, time_limit
from mounts.progress import LOG, report_stage

ROOT = Path(__file__).parents[2]
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


LONG = """
import signal, sys
from itertools import repeat
signal.signal(signal.SIGINT, signal.default_int_handler)  # which a runner may have let go
from mounts.kernels import brep, mesh
def begin(*_, **__):
    print("begun", flush=True)
    sum(repeat(1, 10**12))  # one step for Python, as a kernel's is; it takes hours
brep.build_verified = begin
sys.argv = ["mounts", *sys.argv[1:]]
from mounts.cli import main
main()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signals")
@pytest.mark.parametrize("command", ["build", "check"])
def test_the_stop_key_ends_a_kernel_s_step_at_once_and_leaves_nothing(command: str, tmp_path: Path) -> None:
    words = [command, "linnet-port-round", "--library", str(ROOT / "profiles")]
    words += ["--out", str(tmp_path / "out")] if command == "build" else []
    with subprocess.Popen(
        [sys.executable, "-c", LONG, *words], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as run:
        assert run.stdout is not None
        assert run.stderr is not None
        assert run.stdout.readline() == "begun\n"
        run.send_signal(signal.SIGINT)
        try:
            ended = run.wait(10)  # within a second; ten where the machine is busy
        finally:
            run.kill()
        said = run.stderr.read()
    assert ended == -signal.SIGINT  # which a shell gives as 130
    assert said == ""
    assert list(tmp_path.rglob("*.*")) == []


@pytest.mark.skipif(sys.platform == "win32", reason="no such signals")
@pytest.mark.parametrize(("given", "kept"), [("SIG_IGN", "SIG_IGN"), ("default_int_handler", "SIG_DFL")])
def test_the_system_hears_the_stop_key_unless_it_is_ignored(given: str, kept: str) -> None:
    script = f"""
import atexit, signal, sys
signal.signal(signal.SIGINT, signal.{given})
atexit.register(lambda: print(signal.getsignal(signal.SIGINT) is signal.{kept}))
sys.argv = ["mounts", "--version"]
from mounts.cli import main
main()
"""
    ran = subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=True, capture_output=True, text=True)
    assert ran.stdout.endswith("True\n")
