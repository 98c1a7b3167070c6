"""Sizes by which two rings are compared."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.kinds.sizes import Size, across, label_size, seat_sizes


def ring_sizes(plan: RingPlan) -> Iterator[Size]:
    """Yield the named sizes of a printed ring."""
    yield Size("height of the seat", (plan.seat.frame.origin[2],))
    yield Size("least height at this tilt", (plan.least_height,))
    yield from seat_sizes(plan.seat, plan.seat.lift)
    yield Size("outside of the seat", across(plan.seat.outline))
    yield Size("opening of the bore at the face", across(plan.tower.mouth))
    yield Size("tower's wall", (plan.tower.wall,))
    yield Size("base", across(plan.base.outline))
    yield Size("base's thickness", (plan.base.thickness,))
    yield Size("holes for the panel's screws", tuple(dict.fromkeys(one.hole for one in plan.fixings)))
    yield label_size(plan.labels)


def flat_sizes(plan: FlatPlan) -> Iterator[Size]:
    """Yield the named sizes of a ring cut from sheet."""
    yield Size("sheet", (plan.sheet,))
    yield from seat_sizes(plan.seat, plan.seat.lift)
    yield Size("outside", across(plan.outline))
