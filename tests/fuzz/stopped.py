"""Runs that the stop key ends: `python -m tests.fuzz.stopped [--count N] [--seed S]`, on Linux.

Each of a job, a kit, what fits and an aim is run once to its end, then begun again and stopped at a random moment, by
turns as a terminal does it, where all processes hear the key, and as `kill -INT` does, where the first alone hears it.
The run must end by the key, with no traceback, leave no process, and nothing that the next command does not finish.
"""

from __future__ import annotations

import argparse
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random

from mounts.write.files import check_folder
from tests.fuzz.killed import Files, held

ROOT = Path(__file__).parents[2]
KIT = "kind: kit\nname: small\njobs: [linnet-port-round, linnet-port-slit]\n"
COMMANDS = {
    "kit": ["build", "small.yaml", "--only", "stl,pdf"],
    "job": ["build", "linnet-port-round", "--only", "stl,pdf"],
    "fits": ["fits", "linnet-front-door", "--tilts", "0,5"],
    "aim": ["aim", "linnet-woofer", "--out", "out"],
}
START = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\nfrom mounts.cli import main\nmain()"
PATIENCE = 120.0  # s: what is there after so long stays


def begin(folder: Path, what: str) -> subprocess.Popen[bytes]:
    """Start a command in a folder and a session of its own, and return once it lets the system hear the key."""
    (folder / "small.yaml").write_text(KIT, "utf-8")
    setting = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "PYTHONPATH": str(ROOT), "COLUMNS": "100"}
    words = [sys.executable, "-c", START, *COMMANDS[what], "--library", str(ROOT / "profiles")]
    with (folder / "said").open("wb") as said:
        run = subprocess.Popen(
            words, cwd=folder, env=setting, stdout=subprocess.DEVNULL, stderr=said, start_new_session=True
        )
    while run.poll() is None and is_caught(run.pid):
        time.sleep(0.005)
    return run


def is_caught(pid: int) -> bool:
    """Return whether Python would raise KeyboardInterrupt in a process: it is just starting."""
    status = Path(f"/proc/{pid}/status").read_text("utf-8")
    masks = {line.split(":")[0]: int(line.split()[1], 16) for line in status.splitlines() if line.startswith("SigC")}
    return bool(masks["SigCgt"] >> (signal.SIGINT - 1) & 1) or "python" not in status.splitlines()[0]


def members(session: int) -> list[str]:
    """Return the processes of a session that still run."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, _, own = path.read_text("utf-8").rpartition(")")[2].split()[:4]
        except OSError:  # it has just ended
            continue
        if int(own) == session and state != "Z":
            found.append(path.parent.name)
    return found


def faults(folder: Path, run: subprocess.Popen[bytes], whole: Files, what: str, *, everyone: bool) -> list[str]:
    """Press the key, and return what is wrong then."""
    (os.killpg if everyone else os.kill)(run.pid, signal.SIGINT)
    wrong = []
    try:
        code = run.wait(PATIENCE)
    except subprocess.TimeoutExpired:
        os.killpg(run.pid, signal.SIGKILL)
        return ["it did not end"]
    written, until = held(folder), time.monotonic() + PATIENCE
    while (left := members(run.pid)) and time.monotonic() < until:
        time.sleep(0.01)
    if left:
        os.killpg(run.pid, signal.SIGKILL)
        wrong.append(f"processes stay: {', '.join(left)}")
    if held(folder) != written:
        wrong.append("something was written after its end")
    if code not in (130, -signal.SIGINT, 0, 1):  # it may have been done
        wrong.append(f"it ended with {code}")
    said = (folder / "said").read_text("utf-8")
    if "Traceback" in said or "Error" in said:
        wrong.append(said)
    if code == 130 and "run it again" not in said:
        wrong.append("a kit does not say that it goes on")
    for place in (folder / "out").glob("**/"):
        check_folder(place)
    found = held(folder / "out")
    wrong += [f"{path} stays" for path in (folder / "out").rglob(".*")]
    wrong += [f"{place} is not whole" for place, files in found.items() if whole.get(place, {}).keys() != files.keys()]
    begin(folder, what).wait()
    if {place: files.keys() for place, files in held(folder / "out").items()} != {
        place: files.keys() for place, files in whole.items()
    }:
        wrong.append("the run after it did not give all files")
    return wrong


def main() -> int:
    """Stop as many runs as are asked for; 1 where one of them left anything broken."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz.stopped")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    chance, bad, times, wholes = Random(asked.seed), 0, {}, {}
    with tempfile.TemporaryDirectory() as name:
        for number in range(asked.count):
            what = list(COMMANDS)[number % len(COMMANDS)]
            folder = Path(name) / f"run{number}"
            folder.mkdir()
            if what not in times:
                run, start = begin(folder, what), time.monotonic()
                if run.wait() not in (0, 1):
                    raise RuntimeError((folder / "said").read_text("utf-8"))
                times[what], wholes[what] = time.monotonic() - start, held(folder / "out")
                shutil.rmtree(folder)
                folder.mkdir()
            run = begin(folder, what)
            time.sleep(chance.uniform(0, times[what]))
            everyone = chance.random() < 0.5
            for wrong in (found := faults(folder, run, wholes[what], what, everyone=everyone)):
                print(f"run {number}, {what}, {'all hear' if everyone else 'the first hears'}: {wrong}", flush=True)
            bad += bool(found)
            shutil.rmtree(folder)
    print(f"{bad} of {asked.count} left anything broken")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
