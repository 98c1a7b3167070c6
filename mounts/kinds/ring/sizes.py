"""Sizes by which two rings are compared."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.kinds.sizes import NamedSize, extents, label_size, seat_sizes


def ring_sizes(plan: RingPlan) -> Iterator[NamedSize]:
    """Yield the named sizes of a printed ring."""
    yield NamedSize("height of the seat", (plan.seat.frame.origin[2],))
    yield NamedSize("least height at this tilt", (plan.least_height,))
    yield from seat_sizes(plan.seat, plan.seat.lift)
    yield NamedSize("outside of the seat", extents(plan.seat.outline))
    yield NamedSize("opening of the bore at the face", extents(plan.tower.mouth))
    yield NamedSize("tower's wall", (plan.tower.wall,))
    yield NamedSize("base", extents(plan.base.outline))
    yield NamedSize("base's thickness", (plan.base.thickness,))
    yield NamedSize("holes for the panel's screws", tuple(dict.fromkeys(one.hole for one in plan.fixings)))
    yield label_size(plan.labels)


def flat_sizes(plan: FlatPlan) -> Iterator[NamedSize]:
    """Yield the named sizes of a ring cut from sheet."""
    yield NamedSize("sheet", (plan.sheet,))
    yield from seat_sizes(plan.seat, plan.seat.lift)
    yield NamedSize("outside", extents(plan.outline))
