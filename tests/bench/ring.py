"""Ratios of the ring against the plain script, all from one run: `python tests/bench/ring.py [rounds]`.

Times are of the processor, so that other work on the machine does not count; medians of alternating rounds keep small
what noise is left.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

ROOT = Path(__file__).parents[2]
JOB = ROOT / "profiles" / "jobs" / "linnet-woofer.yaml"
PLAIN = Path(__file__).parent / "plain_ring.py"
PREVIEW = f"""
from pathlib import Path
from mounts import pipeline
from mounts.load.resolve.job import load_job
pipeline.preview(load_job(Path({str(JOB)!r}))[0])
import sys
assert not any(name in sys.modules for name in ("cadquery", "OCP"))
"""


def main(rounds: int = 5) -> None:
    """Measures and prints every ratio, with the goal of the issue beside it."""
    with tempfile.TemporaryDirectory() as folder:
        warm(Path(folder), rounds)
        whole(Path(folder), rounds)
    small(rounds)


def warm(folder: Path, rounds: int) -> None:
    """B-rep build in one warm process, with and without the lettering."""
    import plain_ring

    from mounts.kernels import brep
    from mounts.kinds.kind import kind_of
    from mounts.load.resolve.job import load_job

    job = load_job(JOB)[0]
    kind = kind_of(job)
    for words, lettered, goal in (("with label", True, 1.2), ("without label", False, 1.5)):
        recipe = kind.shape(kind.plan(job if lettered else replace(job, label=None))).recipe
        ours, theirs = in_turn(partial(brep.build_shape, recipe), partial(plain_ring.ring, lettered), rounds)
        row(f"B-rep build, {words}", theirs / ours, goal)


def whole(folder: Path, rounds: int) -> None:
    """Whole processes: load to preview by the quick kernel, against the plain script with its files."""
    ours, theirs = in_turn(
        partial(process, "-c", PREVIEW), partial(process, str(PLAIN), str(folder)), max(2, rounds // 2)
    )
    row("load to mesh preview, a fresh process", theirs / ours, 10)


def small(rounds: int) -> None:
    """Commands that must come at once, against importing the CAD package."""
    bad = "import sys; sys.argv = ['mounts', 'build', 'nowhere.yaml']; from mounts.cli import main; main()"
    for words, arguments in (
        ("--help", ("-m", "mounts", "--help")),
        ("list", ("-m", "mounts", "list")),
        ("schema", ("-m", "mounts", "schema")),
        ("a profile error", ("-c", bad)),
    ):
        ours, theirs = in_turn(partial(process, *arguments), partial(process, "-c", "import cadquery"), rounds)
        row(f"mounts {words}, against import cadquery", theirs / ours, 10)


def in_turn(ours: Callable[[], object], theirs: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Median seconds of the processor of both, taken in turn, after one run of each that does not count."""
    times: tuple[list[float], list[float]] = ([], [])
    for number in range(rounds + 1):
        for work, kept in zip((ours, theirs), times, strict=True):
            begun = processor_seconds()
            work()
            if number:
                kept.append(processor_seconds() - begun)
    return statistics.median(times[0]), statistics.median(times[1])


def processor_seconds() -> float:
    """Seconds of the processor that this process took so far, all its threads, and the processes that it ran."""
    return sum(sum(resource.getrusage(of)[:2]) for of in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))


def process(*arguments: str) -> None:
    """A fresh Python that runs something to its end, its byte code cached as an installed program's is."""
    setting = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    subprocess.run([sys.executable, *arguments], cwd=ROOT, env=setting, capture_output=True, check=False)


def row(what: str, ratio: float, goal: float) -> None:
    """One line of the result."""
    print(f"{what:50} {ratio:6.1f} times as fast   (at least {goal:g})", flush=True)


def rounds_from(words: Sequence[str]) -> int:
    """Number of rounds from the command line."""
    return int(words[0]) if words else 5


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent))
    main(rounds_from(sys.argv[1:]))
