"""Runs killed by SIGKILL: `python -m tests.fuzz.killed [--count N] [--seed S]`.

A job and a kit are made from an old and from a new request. Then N runs from the old files to the new ones are killed,
three of four at a step that changes the disk, the others at any moment. After the next command's first step each folder
must hold wholly the old or wholly the new files, nothing hidden and no broken part in the cache, and after a last run
the new ones. The parts are kept, so that a kit's run is beds, papers and publishing; of a job's the publishing runs.
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
from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

import mounts.batch.kit
import mounts.batch.layout  # noqa: F401  a kit's run finds them loaded
from mounts.cli import commands
from mounts.load.results.shelf import program_mark, recall, shelf_folder
from mounts.write.files import check_folder, publish

ROOT = Path(__file__).parents[2]
KIT = "kind: kit\nname: small\nvehicles: {}\njobs: [linnet-port-round, {{job: linnet-port-rectangle, quantity: 2}}]\n"
WISHES = ("stl", "stl,3mf")  # of the old request and of the new one
JOB = "linnet-port-round"
Files = dict[str, dict[str, bytes]]  # folder → name → contents


def words(folder: Path, job: str, new: bool) -> list[str]:
    """Return the command that makes a job or the kit in a folder."""
    file = folder / "small.yaml"
    file.write_text(KIT.format(3 + new), "utf-8")
    made = [str(file), "--workers", "1"] if job == "small" else [job]
    return ["build", *made, "--out", str(folder / "out"), "--only", WISHES[new], "--library", str(ROOT / "profiles")]


def held(folder: Path) -> Files:
    """Return the files in every folder below one; what is hidden too."""
    found: Files = {}
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            found.setdefault(str(path.parent.relative_to(folder)), {})[path.name] = path.read_bytes()
    return found


def make(folder: Path, job: str, new: bool) -> Files:
    """Make a job or the kit with nothing in the way; return its files."""
    setting = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "mounts", *words(folder, job, new)]
    subprocess.run(command, cwd=ROOT, env=setting, check=True, capture_output=True)
    return held(folder / "out")


def count_steps(at: int) -> list[int]:
    """Let this process die at a step that changes the disk, the `at`-th from now; return the count of steps, held."""
    steps = [0]

    def dying(function: Callable[..., Any]) -> Callable[..., Any]:
        def called(*given: Any, **more: Any) -> Any:
            steps[0] += 1
            if steps[0] == at:
                os.kill(os.getpid(), signal.SIGKILL)
            return function(*given, **more)

        return called

    for owner, names in ((os, ("fsync", "link")), (Path, ("replace", "unlink", "mkdir", "write_bytes"))):
        for name in names:
            setattr(owner, name, dying(getattr(owner, name)))
    return steps


def run(task: Callable[[], object], at: int = 0, after: float = 0.0) -> tuple[int, float, bool]:
    """Do a task in a process of its own, killed at a step or after some seconds; its steps, time, and whether it ended.

    Nothing here has run a CAD kernel, so a child may be forked.
    """
    ear, mouth = os.pipe()
    begin = time.monotonic()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            null = os.open(os.devnull, os.O_WRONLY)
            os.dup2(null, 1)
            os.dup2(null, 2)
            steps = count_steps(at)
            task()
            os.write(mouth, str(steps[0]).encode())
            code = 0
        finally:
            os._exit(code)
    os.close(mouth)
    if after:
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    with os.fdopen(ear, "rb") as said:
        steps = int(said.read() or 0)
    how = os.waitstatus_to_exitcode(status)
    if how not in (0, -signal.SIGKILL):
        raise RuntimeError("a run failed of itself")
    return steps, time.monotonic() - begin, how == 0


def build(folder: Path) -> None:
    """Build the kit as the command line does."""
    os.environ["XDG_CACHE_HOME"] = str(folder / "cache")
    if commands.main(words(folder, "small", True), standalone_mode=False):
        raise RuntimeError("the kit was not made")


def replace_job(folder: Path, old: Files, new: Files) -> None:
    """Publish the new files of the job in place of the old ones."""
    place = folder / "out" / JOB
    check_folder(place)
    publish(place, new[JOB], [name for name in old[JOB] if name not in new[JOB]])


def faults(folder: Path, old: Files, new: Files, kept: list[str]) -> list[str]:
    """Return what is wrong once the next command has begun: folders neither old nor new, hidden files, broken parts."""
    os.environ["XDG_CACHE_HOME"] = str(folder / "cache")
    for place in sorted({*old, *new}):
        check_folder(folder / "out" / place)
    found = held(folder / "out")
    wrong = [
        f"{place} is neither old nor new" for place, one in found.items() if one not in (old.get(place), new.get(place))
    ]
    wrong += [f"{path} stays" for path in (folder / "out").rglob(".*")]
    shelf = shelf_folder(program_mark())
    for key in kept:
        try:
            if recall(shelf, key) is None:
                wrong.append(f"part {key} is lost")
        except ValueError:
            wrong.append(f"part {key} is broken")
    return wrong


def main() -> int:
    """Kill as many runs as are asked for; 1 where one of them left anything broken."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz.killed")
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    chance, ways, bad = Random(asked.seed), Counter[str](), 0
    with tempfile.TemporaryDirectory() as name:
        stock = Path(name) / "stock"
        stock.mkdir()
        sets = {}
        for job in (JOB, "small"):
            sets[job] = []
            for new in (True, False):
                sets[job].insert(0, make(stock, job, new))
                if new:
                    shutil.rmtree(stock / "out")
            shutil.copytree(stock / "out", Path(name) / job)
            shutil.rmtree(stock / "out")
        kept = [path.stem for path in (stock / "cache" / "mounts" / "parts").rglob("*.kept")]
        for number in range(-2, asked.count):  # the first of each is not killed, and gives its steps and time
            job = (JOB, "small")[number % 2]
            folder, old, new = Path(name) / f"run{number}", *sets[job][:2]
            folder.mkdir()
            shutil.copytree(Path(name) / job, folder / "out")
            shutil.copytree(stock / "cache", folder / "cache")
            task = partial(build, folder) if job == "small" else partial(replace_job, folder, old, new)
            if number < 0:
                steps, seconds, _ = run(task)
                found = held(folder / "out")
                new.get("small", {})["kit.json"] = found.get("small", {}).get("kit.json", b"")  # parts are kept now
                wrong = [] if found == new else ["a run that nobody killed did not give the new files"]
                sets[job] += [steps, seconds]
            else:
                steps, seconds = sets[job][2:]
                at = chance.randint(1, steps)
                ended = run(task, at)[2] if number % 8 < 6 else run(task, after=chance.uniform(0.01, 1) * seconds)[2]
                wrong = faults(folder, old, new, kept)
                found = held(folder / "out")
                state = "new" if found == new else "old" if found == old else "some folders new, others old"
                ways[f"{job} {'ended' if ended else 'killed'}: {state}"] += 1
                run(task)
                if held(folder / "out") != new:
                    wrong.append("the run after it did not give the new files")
            for what in wrong:
                print(f"run {number}, {job}: {what}", flush=True)
            bad += bool(wrong)
            shutil.rmtree(folder)
    print(", ".join(f"{count} {how}" for how, count in sorted(ways.items())))
    print(f"{bad} of {asked.count} left anything broken")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
