"""Ratios of a kit, all from one run: `python tests/bench/kit.py [jobs]`.

Whole processes, each with a cache of its own: twelve parts with two workers against one such worker (in each the
kernel keeps to one thread), a second run with nothing changed, and one with one part changed; then a catalogue, whose
time and memory are told a quarter. The machine's noise is in both sides of every ratio.
"""

from __future__ import annotations

import os
import re
import shutil
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
    """Measures and prints; with a number of jobs also a catalogue of so many."""
    with tempfile.TemporaryDirectory() as folder:
        kits(Path(folder))
        if jobs:
            catalogue(Path(folder), jobs)


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


def catalogue(folder: Path, jobs: int) -> None:
    """One panel with so many speakers, both sides cut from sheet: time and memory of each quarter; then once more."""
    library = folder / "profiles"
    shutil.copytree(PROFILES, library)
    speaker = (PROFILES / "speakers" / "demo-woofer-130.yaml").read_text("utf-8")
    for number in range(jobs):
        made = re.sub(r"^name: .*$", f"name: copy-{number}", speaker, flags=re.MULTILINE)
        made = re.sub(r"^mass: .*$", f"mass: {0.4 + number * 1e-4:.4f}", made, flags=re.MULTILINE)
        (library / "speakers" / f"copy-{number}.yaml").write_text(made, encoding="utf-8")
    names = ", ".join(f"copy-{number}" for number in range(jobs))
    every = f"{{like: linnet-front-sheet, panels: [linnet-front-door], speakers: [{names}]}}"
    text = f"kind: kit\nname: all\nevery: {every}\n"
    start, parts, quarter = time.perf_counter(), 0, jobs // 2
    with begun(folder, "all", text, "--only", "dxf", library=library, stdout=subprocess.DEVNULL) as process:
        assert process.stderr is not None
        for line in process.stderr:
            parts += line.rstrip().endswith(": made")
            if parts == quarter:
                took, start, parts = time.perf_counter() - start, time.perf_counter(), 0
                told = f"{took / quarter:6.3f} s a part, {resident(process.pid):.0f} MB"
                print(f"{'a quarter of the catalogue':60} {told}")
    start = time.perf_counter()
    ended(begun(folder, "all", text, "--only", "dxf", library=library))
    print(f"{'all of it again, kept':60} {(time.perf_counter() - start) / (4 * quarter):6.3f} s a part")


def resident(process: int) -> float:
    """Memory that a process holds now, MB; its workers' is bounded by what one part takes."""
    status = Path(f"/proc/{process}/status").read_text("utf-8")
    return int(status.split("VmRSS:")[1].split()[0]) / 1024


def run(folder: Path, cache: str, text: str, *words: str) -> float:
    """One run of a kit in a process of its own, seconds."""
    start = time.perf_counter()
    ended(begun(folder, cache, text, *words))
    return time.perf_counter() - start


def begun(
    folder: Path, cache: str, text: str, *words: str, library: Path = PROFILES, stdout: int = subprocess.PIPE
) -> subprocess.Popen[str]:
    """A kit's run as a process, with a cache of its own."""
    file = folder / f"{text.split('name: ')[1].split(maxsplit=1)[0]}.yaml"
    file.write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "mounts", "build", str(file), "--out", str(folder / f"out-{cache}"), *words]
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder / f"cache-{cache}"), "PYTHONPATH": str(ROOT)}
    return subprocess.Popen(
        [*command, "--library", str(library)],
        stdout=stdout, stderr=subprocess.PIPE, text=True, env=environment, cwd=ROOT,
    )  # fmt: skip


def ended(process: subprocess.Popen[str]) -> None:
    """Waits for a run, which must go well."""
    out, error = process.communicate()
    if process.returncode not in (0, 1):
        raise RuntimeError(error + out)


def row(what: str, ratio: float, goal: float) -> None:
    """One ratio with its goal."""
    print(f"{what:60} {ratio:6.2f}     (wanted {goal:g})")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
