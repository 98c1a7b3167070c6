"""Ratios of the search for the best pose, all from one run: `python tests/bench/aim.py [rounds]`.

What it takes against importing the CAD package, both on a warm machine, and how it grows with the number of limits.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
sys.path.insert(0, str(Path(__file__).parent))

from ring import process, rounds_from  # noqa: E402

from mounts.kinds.ring.aiming.choose import active_limits  # noqa: E402
from mounts.kinds.ring.aiming.drawn import Solved  # noqa: E402
from mounts.kinds.ring.job import RingJob  # noqa: E402
from mounts.kinds.ring.plan import plan_ring  # noqa: E402
from mounts.load.models.surroundings import Thing  # noqa: E402
from tests.kinds.ring.aimed import aimed, solved  # noqa: E402
from tests.kinds.ring.conftest import changed, jobs_of  # noqa: E402


def main(rounds: int = 5) -> None:
    """Measures and prints the ratios, with the goal of the issue beside them."""
    job = aimed(jobs_of("linnet-woofer")[0])
    cadquery = timed(partial(process, "-c", "import cadquery"), rounds) - timed(partial(process, "-c", ""), rounds)
    for words, work, goal in (
        ("search for the best pose", partial(solved, job), 5),
        ("the same with what its limits would buy", partial(whole, job), 5),
        ("the same with the ring drawn and made sure of", partial(plan_ring, job), 0),
    ):
        ratio = cadquery / timed(work, rounds)
        print(f"import cadquery over {words:50} {ratio:6.1f}" + (f"   (at least {goal})" if goal else ""), flush=True)
    growth(job, rounds)


def growth(job: RingJob, rounds: int) -> None:
    """Time over number of limits, as more and more things stand behind the door, all near enough to count."""
    first: tuple[float, int] | None = None
    for count in (1, 4, 16):
        many = with_things(job, count)
        time_, rows = timed(partial(solved, many), rounds), limits_in(solved(many))
        first = first or (time_, rows)
        grown, more = time_ / first[0], rows / first[1]
        print(
            f"{count:3} things: {rows:4} limits, {more:5.2f} times as many; time {grown:5.2f} times (at most as many)"
        )


def whole(job: RingJob) -> None:
    """The search, and each limit that holds the place let out once."""
    found = solved(job)
    active_limits(found.problem, found.numbers, found.miss)


def with_things(job: RingJob, count: int) -> RingJob:
    """The job with things all round behind the opening, as near as they may come."""
    places = [(int(62 - 8 * k), int(-62 + 7.5 * k)) for k in range(count)]
    things = tuple(
        Thing.model_validate({"what": f"thing {k}", "at": list(at), "size": [6, 6], "depth": 38})
        for k, at in enumerate(places)
    )
    return changed(job, panel__behind__things=things)


def limits_in(found: Solved) -> int:
    """Rows of all limits."""
    return len(found.problem.margins(found.numbers)[1])


def timed(work: Callable[[], object], rounds: int) -> float:
    """Median seconds, after one run that does not count."""
    times = []
    for number in range(rounds + 1):
        begun = time.perf_counter()
        work()
        if number:
            times.append(time.perf_counter() - begun)
    return median(times)


if __name__ == "__main__":
    main(rounds_from(sys.argv[1:]))
