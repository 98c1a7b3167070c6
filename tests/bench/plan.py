"""Processor time of plans as ratios, all from one run: `python tests/bench/plan.py [doors] [old]`.

A ring's plan once a single value of its job was edited, against its first plan; and `doors` random rings against the
demo's (100 where not given), those whose aim is to be found on their own. Where the folder of an older state of the
repository is given, the plans of all demo jobs together against that state's, each in a process of its own, in turn,
and the doors against that state's demo too.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from statistics import median
from time import process_time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does
ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from mounts.kinds.ring.plan import draft_ring  # noqa: E402
from mounts.kinds.ring.walls import rods  # noqa: E402
from mounts.load.resolve.job import load_from  # noqa: E402
from mounts.shape import sheet  # noqa: E402
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
    usual, library = {"the demo's plan": usual_times(["ring"])["ring"]}, Library(PROFILES)
    for what, share in edits(library):
        print(f"the demo's plan with another {what}, over its first: {share:.2f} (at most 0.33)", flush=True)
    if old is not None:
        totals = [[all_plans(root) for root in (ROOT, Path(old))] for _ in range(3)]
        (mine, _), (theirs, demo) = (map(min, zip(*some, strict=True)) for some in zip(*totals, strict=True))
        print(f"plans of all demo jobs over those of {old}: {mine / theirs:.2f} (at most 0.33)", flush=True)
        usual[f"the demo's plan of {old}"] = demo
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


def edits(library: Library) -> Iterator[tuple[str, float]]:
    """Yield what is edited in the demo job, and its plan's processor time after that over that of the first plan."""
    path = PROFILES / "jobs" / "linnet-woofer.yaml"
    (job, *_) = load_from(library, path)
    pose = replace(job, aim=replace(job.aim, tilt=job.aim.tilt - 0.1))
    face = job.panel.face.model_copy(update={"thickness": job.panel.face.thickness + 0.1})
    reading = replace(job, panel=job.panel.model_copy(update={"face": face}))
    for what, edited in (("reading of the sheet", reading), ("tilt", pose)):
        shares = []
        for _ in range(5):
            for kept in (sheet.least_gap, rods._sheet_distances, sheet._rulings_of):
                kept.cache_clear()
            times = []
            for one in (job, edited):
                begin = process_time()
                draft_ring.__wrapped__(one)
                times.append(process_time() - begin)
            shares.append(times[1] / times[0])
        yield what, median(shares)


def all_plans(root: Path) -> tuple[float, float]:
    """Return the processor time of the plans of all demo jobs of a state of the repository, and of the ring's, s."""
    ran = subprocess.run([sys.executable, "-c", ALL, str(root)], cwd=root, capture_output=True, check=True, text=True)
    whole, ring = map(float, ran.stdout.split())
    return whole, ring


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100, *sys.argv[2:3])
