"""Ratios of a kit, all from one run: `python tests/bench/kit.py [jobs]`.

Whole processes, each with a cache of its own: twelve parts with two workers against one such worker (in each the
kernel keeps to one thread), a second run with nothing changed, and one with one part changed; then catalogues of
growing size, whose time and memory are told a job. The machine's noise is in both sides of every ratio.
"""

from __future__ import annotations

import os
import re
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
PROFILES = ROOT / "profiles"
TWELVE = """
kind: kit
name: twelve
jobs:
  - linnet-woofer
  - linnet-front-collar
  - linnet-front-flush
  - linnet-slider-oblong
  - linnet-dash-tweeter-press
  - {job: linnet-sail-tweeter-flange, sides: [left]}
  - {job: CHANGED}
"""


def main(jobs: int = 0) -> None:
    """Measures and prints; with a number of jobs also catalogues of a quarter, a half and all of it."""
    with tempfile.TemporaryDirectory() as folder:
        kits(Path(folder))
        if jobs:
            catalogues(Path(folder), jobs)


def kits(folder: Path) -> None:
    """One kit with one worker, with two, again, and with one part changed."""
    text = TWELVE.replace("CHANGED", "linnet-port-round")
    one = run(folder, "one", text, "--workers", "1")
    two = run(folder, "two", text, "--workers", "2")
    again = run(folder, "two", text, "--workers", "2")
    changed = run(folder, "two", TWELVE.replace("CHANGED", "linnet-port-oblong"), "--workers", "2")
    alone = run(folder, "alone", "kind: kit\nname: alone\njobs: [linnet-port-oblong]\n", "--workers", "2")
    row("two workers against one", one / two, 1.7)
    print(f"{'again, nothing changed, of the first run':60} {100 * again / two:6.1f} %   (wanted below 5)")
    print(f"{'one part changed, of a kit of that part alone':60} {changed / alone:6.2f}")


def catalogues(folder: Path, jobs: int) -> None:
    """Every panel with every speaker: time and memory a job for catalogues of growing size."""
    library = folder / "profiles"
    subprocess.run(["cp", "-r", str(PROFILES), str(library)], check=True)
    speaker = (PROFILES / "speakers" / "demo-square-100.yaml").read_text("utf-8")
    for number in range(jobs):
        made = re.sub(r"^name: .*$", f"name: copy-{number}", speaker, flags=re.MULTILINE)
        made = re.sub(r"^mass: .*$", f"mass: {0.4 + number * 1e-4:.4f}", made, flags=re.MULTILINE)
        (library / "speakers" / f"copy-{number}.yaml").write_text(made, encoding="utf-8")
    for count in (jobs // 4, jobs // 2, jobs):
        names = ", ".join(f"copy-{number}" for number in range(count))
        every = f"{{like: linnet-rear-square, panels: [linnet-rear-door], speakers: [{names}]}}"
        text = f"kind: kit\nname: all\nevery: {every}\n"
        took = run(folder, f"catalogue-{count}", text, "--only", "stl", library=library)
        most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        print(f"{f'catalogue of {count} jobs':60} {took / count:6.2f} s a job, largest process so far {most:.0f} MB")


def run(folder: Path, cache: str, text: str, *words: str, library: Path = PROFILES) -> float:
    """One run of a kit in a process of its own, seconds."""
    file = folder / f"{text.split('name: ')[1].split(maxsplit=1)[0]}.yaml"
    file.write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "mounts", "build", str(file), "--out", str(folder / f"out-{cache}"), *words]
    start = time.perf_counter()
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder / f"cache-{cache}"), "PYTHONPATH": str(ROOT)}
    ended = subprocess.run(
        [*command, "--library", str(library)], check=False, capture_output=True, env=environment, cwd=ROOT
    )
    if ended.returncode not in (0, 1):
        raise RuntimeError(ended.stderr.decode() + ended.stdout.decode())
    return time.perf_counter() - start


def row(what: str, ratio: float, goal: float) -> None:
    """One ratio with its goal."""
    print(f"{what:60} {ratio:6.2f}     (wanted {goal:g})")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
