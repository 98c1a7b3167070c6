"""Processor time of plans as ratios, all from one run: `python tests/bench/plan.py [doors] [old]`.

`doors` random rings against the demo's (100 where not given), those whose aim is to be found on their own; and, where
the folder of an older state of the repository is given, the plans of all demo jobs together against that state's, each
in a process of its own, in turn.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from statistics import median

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does
ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

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
print(sum(seconds(path.stem) for path in sorted((root / "profiles" / "jobs").glob("*.yaml"))))
"""


def main(doors: int = 100, old: str | None = None) -> None:
    """Measure and print every ratio, with the goal beside it."""
    if old is not None:
        totals = [[all_plans(root) for root in (ROOT, Path(old))] for _ in range(3)]
        mine, theirs = (min(some) for some in zip(*totals, strict=True))
        print(f"plans of all demo jobs over those of {old}: {mine / theirs:.2f} (at most 0.33)", flush=True)
    usual, library = usual_times(["ring"])["ring"], Library(PROFILES)
    found: dict[bool, list[float]] = {False: [], True: []}
    for number in range(doors):
        outcome = outcome_of(library, "ring", 1, number)
        seconds = LIMIT if outcome.how == "hung" else outcome.seconds
        found[is_sought(drawn("ring", 1, number))].append(seconds / usual)
    for is_open, words, goals in ((False, "given aim", (1, 3, 10)), (True, "aim to be found", (8, 40, 40))):
        times = sorted(found[is_open])
        if times:
            figures = (median(times), times[int(0.95 * (len(times) - 1))], times[-1])
            told = ", ".join(
                f"{what} {value:.1f} (at most {goal})"
                for what, value, goal in zip(("median", "95 %", "most"), figures, goals, strict=True)
            )
            print(f"{len(times)} doors, {words}, over the demo's plan: {told}", flush=True)


def all_plans(root: Path) -> float:
    """Return the processor time of the plans of all demo jobs of a state of the repository, s."""
    ran = subprocess.run([sys.executable, "-c", ALL, str(root)], cwd=root, capture_output=True, check=True, text=True)
    return float(ran.stdout)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100, *sys.argv[2:3])
