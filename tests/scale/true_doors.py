"""Simulated doors, from readings to the part on the true door: the share that goes on and clears, against that promised.

    python -m tests.scale.true_doors --count 1000      print both shares, overall and in five bins

A door of `workshop` is taken as it truly is. Its readings are off by normal errors of their instruments, a part is
planned from them, and it comes off its printer with that printer's shrink, hole growth and errors of place. Each nut
stands anywhere in its hole. Whether all screws then go in is decided by a linear programme (scipy's HiGHS), not by the
program's own solver; what it clears is measured on the true door.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from math import cos, pi, sin, sqrt
from random import Random
from typing import Any

import numpy as np
import yaml
from scipy.optimize import linprog

from mounts.checks.fastening.screws import behind_gaps
from mounts.checks.ring.chances import chance_findings
from mounts.errors import InputError
from mounts.findings.gap import Gap
from mounts.kinds.ring.base import fixing_errors, gaps
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library
from tests.scale.doors import PROFILES, is_sought
from tests.scale.workshop import drawn

SEED = 19
SURE = (0.99, 0.99, 0.95, 0.8, 0.5, 0.2)  # the default twice; the others are for doors that do not go on
BINS = (0.0, 0.2, 0.5, 0.8, 0.95, 1.0)
SIDES = 180  # of the polygon for a round hole in the linear programme: wider by 0.02 % of the play
Tree = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Trial:
    """One door: the chance that was promised, 0 to 1, and whether the part went on and cleared."""

    number: int
    promised: float
    kept: bool


def trials(count: int) -> Iterator[Trial]:
    """Yield so many doors, leaving out those whose pose is to be found and those that are refused."""
    library, number = Library(PROFILES), 0
    while count:
        if (found := tried_door(library, number)) is not None:
            count -= 1
            yield found
        number += 1


def tried_door(library: Library, number: int) -> Trial | None:
    """Return what became of one door's part; None where there is none."""
    rng, tree = Random(f"true door {SEED} {number}"), drawn("ring", SEED, number)
    if is_sought(tree):
        return None
    tree |= {"sides": [tree["panel"]["side"]], "sure": rng.choice(SURE), "in_two": False}
    try:
        true = _loaded(library, tree)
        job = _with_printer(rng, _loaded(library, _as_read(rng, tree, true)))
        plan = plan_ring(job)
    except InputError:
        return None
    found = chance_findings(replace(job, sure=1e-9), plan, _around(job, plan), ())  # so sure that it advises nothing
    promised = next(one.closed_form for one in found if one.code == "chance.mount")
    assert promised is not None
    return Trial(number, promised / 100, _comes_out(rng, job, plan, true))


def _loaded(library: Library, tree: Tree) -> RingJob:
    (job,) = load_from(library, library.root / "jobs" / f"{tree['name']}.yaml", yaml.safe_dump(tree, sort_keys=False))
    assert isinstance(job, RingJob)
    return job


def _as_read(rng: Random, tree: Tree, true: RingJob) -> Tree:
    """Return the door as a person reads it: every reading off by its instrument's error."""
    read = deepcopy(tree)
    panel, sd = read["panel"], true.uncertainty
    places = {name: [x + rng.gauss(0, sd("holes")) for x in at] for name, at in true.panel.fixings.points.items()}
    kept = {key: value for key, value in panel["fixings"].items() if key in ("hole", "was", "heights")}
    panel["fixings"] = kept | {"at": places}
    behind, front = panel.get("behind", {}), panel.get("in_front", {})
    for group, where, key in ((behind, "behind", "glass"), (front, "in_front", "trim"), (front, "in_front", "grille")):
        if key in group:
            group[key] = _misread(rng, group[key], sd(where))
    for thing in behind.get("things", ()):
        thing["depth"] += rng.gauss(0, sd("behind"))
    return read


def _misread(rng: Random, given: Any, sd: float) -> Any:
    if not isinstance(given, dict):
        return given + rng.gauss(0, sd)
    return given | {"at_clock": {clock: depth + rng.gauss(0, sd) for clock, depth in given["at_clock"].items()}}


def _with_printer(rng: Random, job: RingJob) -> RingJob:
    """Return the job on a printer that corrects, was never measured, or was measured by a coupon and corrects nothing."""
    name, how = job.material.name, rng.choice(("corrects", "corrects", "unknown", "measured"))
    known: Tree = {"shrink_pct": {}, "hole_growth": {}, "slicer_corrects": how == "corrects"}
    if how == "measured":
        known |= {"shrink_pct": {name: rng.uniform(0, 0.4)}, "shrink_sd_pct": {name: 0.08}}
        known |= {"hole_growth": {name: 0.15}, "hole_growth_sd": {name: 0.05}}
    return replace(job, printer=job.printer.model_copy(update=known))


def _around(job: RingJob, plan: RingPlan) -> tuple[Gap, ...]:
    return (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *behind_gaps(job, plan))


def _comes_out(rng: Random, job: RingJob, plan: RingPlan, true: RingJob) -> bool:
    """Return whether the part, as it comes off its printer, goes on the true door and clears what is read there."""
    errors = fixing_errors(job)
    (low, high, sd), (less, more, spread) = errors.shrink, errors.narrower
    scale = 1 - (rng.uniform(low, high) + rng.gauss(0, sd)) / 100
    hole = plan.fixings[0].hole - rng.uniform(less, more) - rng.gauss(0, spread)
    x, y, z = plan.seat.frame.origin
    seat = replace(plan.seat, frame=replace(plan.seat.frame, origin=(x * scale, y * scale, z * scale)))
    off, at = [], np.array([one.at for one in plan.fixings])
    for one, play in zip(plan.fixings, errors.plays, strict=True):
        reach, turn = sqrt(rng.random()) * play / 2, rng.random() * 2 * pi
        pin = np.array(true.panel.fixings.points[one.name]) + (reach * cos(turn), reach * sin(turn))
        off.append(pin - scale * np.array(one.at) - (rng.gauss(0, errors.made), rng.gauss(0, errors.made)))
    if _least_excess(at, np.array(off), np.array(gaps(job, hole))) > 0:
        return False
    return all(gap.gap >= 0 for gap in _around(true, replace(plan, seat=seat)) if gap.sd)


def _least_excess(at: np.ndarray, off: np.ndarray, play: np.ndarray) -> float:
    """Return by how much the worst pin misses its hole when the part is moved as well as it can be, mm."""
    turns = np.arange(SIDES) * 2 * pi / SIDES
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    arms = np.column_stack([-at[:, 1], at[:, 0]]) / 50.0
    rows = np.concatenate([np.column_stack([ways, ways @ arm, -np.ones(SIDES)]) for arm in arms])
    right = np.concatenate([room - ways @ pin for room, pin in zip(play, off, strict=True)])
    return float(linprog([0, 0, 0, 1.0], rows, right, bounds=[(None, None)] * 4, method="highs").fun)


@dataclass(frozen=True, slots=True)
class Shares:
    """Doors of a bin: how many, the share that was promised, the share that was kept, one binomial deviation of it."""

    count: int
    promised: float
    kept: float
    sd: float


def shares(found: Sequence[Trial]) -> Shares:
    """Return the shares of some doors."""
    chances = np.array([one.promised for one in found])
    kept = np.mean([one.kept for one in found])
    return Shares(
        len(found), float(chances.mean()), float(kept), float(np.sqrt((chances * (1 - chances)).sum())) / len(found)
    )


def binned(found: Sequence[Trial]) -> list[list[Trial]]:
    """Return the doors by what was promised of them, in the five bins."""
    bins = np.searchsorted(BINS[1:-1], [one.promised for one in found], side="right")
    return [[one for one, k in zip(found, bins, strict=True) if k == number] for number in range(len(BINS) - 1)]


def main(arguments: Sequence[str]) -> int:
    """Run the program."""
    parser = argparse.ArgumentParser(prog="python -m tests.scale.true_doors", description="Promised and kept chances.")
    parser.add_argument("--count", type=int, default=1000)
    found = list(trials(parser.parse_args(arguments).count))
    for name, some in zip(("all", *BINS), (found, *binned(found)), strict=False):
        if some:
            one = shares(some)
            print(f"from {name}: {one.count} doors, promised {100 * one.promised:.2f} %, kept {100 * one.kept:.2f} %, "
                  f"{(one.kept - one.promised) / max(one.sd, 1e-9):+.2f} deviations of {100 * one.sd:.2f}")  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
