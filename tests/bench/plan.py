"""Processor time of plans as ratios, all from one run: `python tests/bench/plan.py [doors] [old]`.

A ring's plan once a single value of its job was edited, against its first plan; and `doors` random rings against the
demo's (100 where not given), those whose aim is to be found on their own. Where the folder of an older state of the
repository is given, the plans of all demo jobs together against that state's, each in a process of its own, in turn,
and the doors against that state's demo too.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from statistics import median
from time import process_time
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does
ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from mounts.kinds.ring.job import RingJob  # noqa: E402
from mounts.kinds.ring.plan import draft_ring  # noqa: E402
from mounts.load.resolve.job import load_from  # noqa: E402
from tests.scale.doors import LIMIT, PROFILES, Library, drawn, is_sought, outcome_of, usual_times  # noqa: E402

ALL = """
import sys
from pathlib import Path
from time import process_time
root = Path(sys.argv[1])
sys.path.insert(0, str(root))
try:
    from mounts.kinds.kind import kind_of, parts
    from mounts.load.resolve.job import load_from
    from mounts.load.resolve.library import Library
except ImportError:  # until the folders of `load`
    from mounts.kinds.table import KINDS, parts
    from mounts.load.job import load_from
    from mounts.load.library import Library
    kind_of = lambda job: KINDS[job.kind, job.make]
library = Library(root / "profiles")
def seconds(name):
    jobs = load_from(library, root / "profiles" / "jobs" / f"{name}.yaml")
    begin = process_time()
    for job in parts(jobs):
        kind_of(job).plan(job)
    return process_time() - begin
seconds("linnet-rear-square")  # imports, which do not count
for path in (root / "profiles" / "jobs").glob("*.yaml"):
    for job in load_from(library, path):
        kind_of(job)
found = {path.stem: seconds(path.stem) for path in sorted((root / "profiles" / "jobs").glob("*.yaml"))}
print(sum(found.values()), found["linnet-woofer"])
"""


def main(doors: int = 100, old: str | None = None) -> None:
    """Measure and print every ratio, with the goal beside it."""
    library = Library(PROFILES)
    edited = list(edits(library))
    usual = {"the demo's plan": usual_times(["ring"])["ring"]}
    for what, (first, again) in edited:
        print(f"the demo's plan with another {what}, over its first: {again / first:.2f} (at most 0.33)", flush=True)
    if old is not None:
        totals = [[all_plans(root) for root in (ROOT, Path(old))] for _ in range(3)]
        (mine, _), (theirs, demo) = (map(min, zip(*some, strict=True)) for some in zip(*totals, strict=True))
        print(f"plans of all demo jobs over those of {old}: {mine / theirs:.2f} (at most 0.33)", flush=True)
        usual[f"the demo's plan of {old}"] = demo
        for what, (_, again) in edited:
            print(f"the demo's plan with another {what}, over the first of {old}: {again / demo:.2f}", flush=True)
    found: dict[bool, list[float]] = {False: [], True: []}
    for number in range(doors):
        outcome = outcome_of(library, "ring", 1, number)
        seconds = LIMIT if outcome.how == "hung" else outcome.seconds
        found[is_sought(drawn("ring", 1, number))].append(seconds)
    for is_open, words, goals in ((False, "given aim", (1, 3, 10)), (True, "aim to be found", (8, 40, 40))):
        times = sorted(found[is_open])
        for demo, unit in usual.items() if times else ():
            figures = (median(times), times[int(0.95 * (len(times) - 1))], times[-1])
            told = ", ".join(
                f"{what} {value / unit:.1f} (at most {goal})"
                for what, value, goal in zip(("median", "95 %", "most"), figures, goals, strict=True)
            )
            print(f"{len(times)} doors, {words}, over {demo}: {told}", flush=True)


def edits(library: Library) -> Iterator[tuple[str, list[float]]]:
    """Yield what is edited in the demo job, and the processor times of its first plan and of that after the edit, s.

    Each is planned in a process of its own, which has planned another job before, so that nothing of it is kept.
    """
    job, edited = edited_jobs(library)
    draft_ring(load_from(library, PROFILES / "jobs" / "linnet-rear-square.yaml")[0])
    for what, one in edited.items():
        yield what, [min(some) for some in zip(*(in_turn(job, one) for _ in range(9)), strict=True)]


def edited_jobs(library: Library) -> tuple[RingJob, dict[str, RingJob]]:
    """Return the demo job, and it with one value edited, by what that is."""
    (job, *_) = load_from(library, PROFILES / "jobs" / "linnet-woofer.yaml")
    panel = job.panel
    first = {**panel.fixings.at, "A": (panel.fixings.at["A"][0] + 0.1, panel.fixings.at["A"][1])}
    changes: dict[str, dict[str, Any]] = {
        "reading of the sheet": {"face": panel.face.model_copy(update={"thickness": panel.face.thickness + 0.1})},
        "reading of the glass": {"behind": nudged(panel.behind, "glass")},
        "reading of the trim": {"in_front": nudged(panel.in_front, "trim")},
        "place of a fixing": {"fixings": panel.fixings.model_copy(update={"at": first})},
        "opening": {"opening": panel.opening.model_copy(update={"round": panel.opening.round + 0.1})},
    }
    edited = {what: replace(job, panel=panel.model_copy(update=change)) for what, change in changes.items()}
    return job, {**edited, "tilt": replace(job, aim=replace(job.aim, tilt=job.aim.tilt - 0.1))}


def nudged(readings: Any, name: str) -> Any:
    """Return readings with one at a clock of those by a name 0.1 mm greater."""
    one = getattr(readings, name)
    clock, value = next(iter(one.at_clock.items()))
    return readings.model_copy(update={name: one.model_copy(update={"at_clock": {**one.at_clock, clock: value + 0.1}})})


def in_turn(*jobs: RingJob) -> list[float]:
    """Return the processor times of plans made one after the other in a child of this process, s."""
    ear, mouth = os.pipe()
    if os.fork() == 0:
        times = [process_time()]
        for job in jobs:
            draft_ring(job)
            times.append(process_time())
        os.write(mouth, json.dumps([after - before for before, after in pairwise(times)]).encode())
        os._exit(0)
    os.close(mouth)
    with os.fdopen(ear) as said:
        found: list[float] = json.load(said)
    os.wait()
    return found


def all_plans(root: Path) -> tuple[float, float]:
    """Return the processor time of the plans of all demo jobs of a state of the repository, and of the ring's, s."""
    ran = subprocess.run([sys.executable, "-c", ALL, str(root)], cwd=root, capture_output=True, check=True, text=True)
    whole, ring = map(float, ran.stdout.split())
    return whole, ring


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100, *sys.argv[2:3])
