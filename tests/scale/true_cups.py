"""Simulated grilles, from readings to the cup on the true pins: the share that goes on and clears, as promised or not.

    python -m tests.scale.true_cups --count 1000      print both shares, overall and in five bins

As `true_doors`, of cups: pins, room, grille and ribs are read with their instruments' errors, the cup is planned from
these, and it comes off its printer with that printer's shrink, hole growth and errors of place. Whether all pins go in,
one of them into its slot, is decided by a linear programme.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import count as count_up
from itertools import islice
from random import Random
from typing import Any

import numpy as np

from mounts.checks.chances import Remedy, clear_findings
from mounts.checks.cup.findings import _fit_chance, _rests
from mounts.identity import REAR_FACE
from mounts.kinds.cup.clearances import cup_gaps
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.stakes import pin_errors, slot_along
from mounts.kinds.cup.values import CupPlan
from mounts.load.models.pins import PinPanel
from mounts.load.resolve.library import Library
from tests.scale.doors import PROFILES, is_sought
from tests.scale.true_doors import SEED, Trial, least_excess, main, printed_as, tried_model
from tests.scale.workshop import drawn


def trials(count: int) -> Iterator[Trial]:
    """Yield so many cups, leaving out those that are refused."""
    library = Library(PROFILES)
    return islice((one for number in count_up() for one in tried_cups(library, number)), count)


def tried_cups(library: Library, number: int) -> Iterator[Trial]:
    """Yield what became of each cup for one model of grille, read and printed by somebody else each time."""
    tree = drawn("cup", SEED, number)
    if is_sought(tree):
        return
    yield from tried_model(library, tree, f"cup {SEED} {number}", lambda rng, true: _tried(rng, true, number))


def _tried(rng: Random, true: CupJob, number: int) -> Trial:
    job = replace(true, panel=_as_read(rng, true))
    plan = plan_cup(job)
    fit = _fit_chance(job, plan)
    *_, whole = clear_findings(  # so low a chance is wanted that it advises nothing
        tuple(cup_gaps(job, plan)), partial(_rests, job), 1e-9, fit, lambda _: Remedy("", 1.0)
    )
    assert whole.closed_form is not None
    return Trial(number, whole.closed_form / 100, _comes_out(rng, job, plan, true))


def _as_read(rng: Random, true: CupJob) -> PinPanel:
    """Return the panel as a person reads it: every reading off by its instrument's error."""
    panel, sd = true.panel, true.uncertainty

    def misplaced(one: Any) -> Any:
        x, y = one.at
        return one.model_copy(update={"at": (x + rng.gauss(0, sd("holes")), y + rng.gauss(0, sd("holes")))})

    update: dict[str, Any] = {
        "pins": {name: misplaced(pin) for name, pin in panel.pins.items()},
        "room": panel.room + rng.gauss(0, sd("behind")),
        "standing": tuple(misplaced(one) for one in panel.standing),
    }
    if panel.grille is not None:
        height = panel.grille.height + rng.gauss(0, sd("in_front"))
        update["grille"] = panel.grille.model_copy(update={"height": height})
    return panel.model_copy(update=update)


def _comes_out(rng: Random, job: CupJob, plan: CupPlan, true: CupJob) -> bool:
    """Return whether the cup, as it comes off its printer, goes on the true pins and clears what was read there."""
    errors = pin_errors(job)
    scale, narrower = printed_as(rng, errors)
    at = np.array([one.at for one in plan.stakes])
    made = np.array([[rng.gauss(0, errors.made), rng.gauss(0, errors.made)] for _ in at])
    off = np.array([true.panel.pins[one.name].at for one in plan.stakes]) - scale * at - made
    placing = {one.role: one for one in plan.stakes}
    x, y, way = slot_along(placing["locator"].at, placing["slot"].at, placing["slot"].way)
    slots = np.array([(way * x, way * y) if one.role == "slot" else (0.0, 0.0) for one in plan.stakes])
    if least_excess(at, off, np.array([one.gap for one in plan.stakes]) - narrower / 2, slots) > 0:
        return False
    x, y, z = plan.seat.frame.origin
    frame = replace(plan.seat.frame, origin=(x * scale, y * scale, z * scale))
    shrunk = replace(plan, seat=replace(plan.seat, frame=frame))
    return all(gap.gap >= 0 for gap in cup_gaps(true, shrunk) if gap.sd and gap.between[1] != REAR_FACE)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], "true_cups", trials))
