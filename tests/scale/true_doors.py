"""Simulated doors, from readings to the part on the true door: the share that goes on and clears, as promised or not.

    python -m tests.scale.true_doors --count 1000      print both shares, overall and in five bins

A door of `workshop` is taken as it truly is. Its readings are off by normal errors of their instruments, hole and seat
are planned from them, and the part comes off its printer with that printer's shrink, hole growth and errors of place.
Each nut stands anywhere in its hole. Whether all screws go in is decided by a linear programme (scipy's HiGHS), not
by the program's own solver; what the speaker clears is measured on the true door.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count as count_up
from itertools import islice
from math import cos, pi, sin, sqrt
from random import Random
from types import SimpleNamespace
from typing import Any, TypeVar

import numpy as np
import yaml
from scipy.optimize import linprog

from mounts.checks.ring.chances import chance_findings
from mounts.design.chance import Errors
from mounts.errors import InputError
from mounts.kinds.cup.job import CupJob
from mounts.kinds.ring.base import choose_hole, fixing_errors, gaps
from mounts.kinds.ring.clearances import speaker_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import core_of
from mounts.kinds.ring.values import RingSeat
from mounts.load.models.panel import Panel, SurveyedPanel
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library
from tests.scale.doors import PROFILES, is_sought
from tests.scale.workshop import drawn

SEED = 19
EACH = 4  # doors of one model
SURE = (0.99, 0.99, 0.95, 0.8, 0.5, 0.2)  # the default twice; the others are for doors that do not go on
BINS = (0.0, 0.2, 0.5, 0.8, 0.95, 1.0)
SIDES = 180  # of the polygon for a round hole in the linear programme: wider by 0.02 % of the play
Printed = TypeVar("Printed", RingJob, CupJob)


@dataclass(frozen=True, slots=True)
class Trial:
    """One door or cup: the chance that was promised, 0 to 1, and whether the part went on and cleared."""

    number: int
    promised: float
    kept: bool


def trials(count: int) -> Iterator[Trial]:
    """Yield so many doors, leaving out those whose pose is to be found, that are surveyed, and that are refused."""
    library = Library(PROFILES)
    return islice((one for number in count_up() for one in tried_doors(library, number)), count)


def tried_doors(library: Library, number: int) -> Iterator[Trial]:
    """Yield what became of each part for one model of door, read and printed by somebody else each time."""
    tree = drawn("ring", SEED, number)
    if is_sought(tree) or "distances" in tree["panel"]["fixings"]:
        return
    yield from tried_model(library, tree, f"door {SEED} {number}", lambda rng, true: _tried(rng, true, number))


def tried_model(
    library: Library, tree: dict[str, Any], model: str, tried: Callable[[Random, Any], Trial]
) -> Iterator[Trial]:
    """Yield what became of each part for one true model, read and printed by somebody else each time."""
    tree = tree | {"sides": [tree["panel"]["side"]]}
    try:
        (true,) = load_from(library, PROFILES / "jobs" / f"{tree['name']}.yaml", yaml.safe_dump(tree, sort_keys=False))
    except InputError:
        return
    for one in range(EACH):
        rng = Random(f"true {model} {one}")
        try:
            yield tried(rng, replace(on_printer(rng, true), sure=rng.choice(SURE)))
        except InputError:
            continue


def _tried(rng: Random, true: RingJob, number: int) -> Trial:
    assert not isinstance(true.panel, SurveyedPanel)
    job = replace(true, panel=_as_read(rng, true))
    hole, seat = choose_hole(job), core_of(job).seat
    places = [SimpleNamespace(name=name, at=at, hole=hole) for name, at in job.panel.fixings.points.items()]
    plan: Any = SimpleNamespace(places=lambda _: places)
    found = chance_findings(replace(job, sure=1e-9), plan, tuple(speaker_gaps(job, seat)), ())  # it advises nothing
    promised = next(one.closed_form for one in found if one.code == "chance.mount")
    assert promised is not None
    return Trial(number, promised / 100, _comes_out(rng, job, hole, seat, true))


def on_printer(rng: Random, job: Printed) -> Printed:
    """Return the job on a printer that corrects, was never measured, or was measured and corrects nothing."""
    name, how = job.material.name, rng.choice(("corrects", "corrects", "unknown", "measured"))
    known: dict[str, Any] = {"shrink_pct": {}, "hole_growth": {}, "slicer_corrects": how == "corrects"}
    if how == "measured":
        known |= {"shrink_pct": {name: rng.uniform(0, 0.4)}, "shrink_sd_pct": {name: 0.08}}
        known |= {"hole_growth": {name: 0.15}, "hole_growth_sd": {name: 0.05}}
    return replace(job, printer=job.printer.model_copy(update=known))


def _as_read(rng: Random, true: RingJob) -> Panel:
    """Return the panel as a person reads it: every reading off by its instrument's error."""
    panel, sd = true.panel, true.uncertainty

    def misread(given: Any, where: Any) -> Any:
        read = {clock: depth + rng.gauss(0, sd(where)) for clock, depth in given.at_clock.items()}
        return given.model_copy(update={"at_clock": read})

    at = {
        name: (x + rng.gauss(0, sd("holes")), y + rng.gauss(0, sd("holes")))
        for name, (x, y) in panel.fixings.points.items()
    }
    update: dict[str, Any] = {"fixings": panel.fixings.model_copy(update={"at": at})}
    if panel.behind is not None:
        things = [
            one.model_copy(update={"depth": one.depth + rng.gauss(0, sd("behind"))}) for one in panel.behind.things
        ]
        glass = misread(panel.behind.glass, "behind") if panel.behind.glass else None
        update["behind"] = panel.behind.model_copy(update={"things": tuple(things), "glass": glass})
    if panel.in_front is not None:
        front = {key: getattr(panel.in_front, key) for key in ("trim", "grille")}
        read = {key: misread(one, "in_front") for key, one in front.items() if one is not None}
        update["in_front"] = panel.in_front.model_copy(update=read)
    return panel.model_copy(update=update)


def _comes_out(rng: Random, job: RingJob, hole: float, seat: RingSeat, true: RingJob) -> bool:
    """Return whether the part, as it comes off its printer, goes on the true door and clears what was read there."""
    errors, off = fixing_errors(job), []
    scale, narrower = printed_as(rng, errors)
    hole -= narrower
    for (name, at), play in zip(job.panel.fixings.points.items(), errors.plays, strict=True):
        reach, turn = sqrt(rng.random()) * play / 2, rng.random() * 2 * pi
        pin = np.array(true.panel.fixings.points[name]) + np.array([reach * cos(turn), reach * sin(turn)])
        off.append(pin - scale * np.array(at) - np.array([rng.gauss(0, errors.made), rng.gauss(0, errors.made)]))
    points = np.array(list(job.panel.fixings.points.values()))
    if least_excess(points, np.array(off), np.array(gaps(job, hole))) > 0:
        return False
    x, y, z = seat.frame.origin
    shrunk = replace(seat, frame=replace(seat.frame, origin=(x * scale, y * scale, z * scale)))
    return all(gap.gap >= 0 for gap in speaker_gaps(true, shrunk) if gap.sd)


def least_excess(at: np.ndarray, off: np.ndarray, play: np.ndarray, slots: np.ndarray | None = None) -> float:
    """Return by how much the worst pin misses its hole when the part is moved as well as it can be, mm.

    Args:
        at: holes of the part, (n, 2).
        off: each pin from its hole, (n, 2).
        play: of each pin in its hole, a side, (n,).
        slots: half of each slot's free way as a vector, (n, 2); nought for a round hole.
    """
    turns, free = np.arange(SIDES) * 2 * pi / SIDES, np.zeros(at.shape) if slots is None else slots
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    arms, along = np.column_stack([-at[:, 1], at[:, 0]]) / 50.0, np.eye(len(at))
    rows = np.concatenate(
        [
            np.column_stack([ways, ways @ arm, -np.ones(SIDES), np.outer(ways @ slot, one)])
            for arm, slot, one in zip(arms, free, along, strict=True)
        ]
    )
    right = np.concatenate([room - ways @ pin for room, pin in zip(play, off, strict=True)])
    bounds = [(None, None)] * 4 + [(-1.0, 1.0)] * len(at)
    return float(linprog([0, 0, 0, 1.0, *(0.0 for _ in at)], rows, right, bounds=bounds, method="highs").fun)


def printed_as(rng: Random, errors: Errors) -> tuple[float, float]:
    """Return how large a part comes out, of its plan, and by how much its holes come out narrower, mm."""
    (low, high, sd), (less, more, spread) = errors.shrink, errors.narrower
    return 1 - (rng.uniform(low, high) + rng.gauss(0, sd)) / 100, rng.uniform(less, more) + rng.gauss(0, spread)


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


def main(arguments: Sequence[str], name: str, trials: Callable[[int], Iterator[Trial]]) -> int:
    """Run the program of a name."""
    parser = argparse.ArgumentParser(prog=f"python -m tests.scale.{name}", description="Promised and kept chances.")
    parser.add_argument("--count", type=int, default=1000)
    found = list(trials(parser.parse_args(arguments).count))
    for least, some in zip(("all", *BINS), (found, *binned(found)), strict=False):
        if some:
            one = shares(some)
            print(f"from {least}: {one.count} parts, promised {100 * one.promised:.2f} %, kept {100 * one.kept:.2f} %, "
                  f"{(one.kept - one.promised) / max(one.sd, 1e-9):+.2f} deviations of {100 * one.sd:.2f}")  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], "true_doors", trials))
