"""Sizes by which two cups are compared."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.cup.values import CupPlan
from mounts.kinds.sizes import NamedSize, extents, label_size, seat_sizes


def cup_sizes(plan: CupPlan) -> Iterator[NamedSize]:
    """Yield the named sizes of a cup."""
    seat, press = plan.seat, plan.seat.press
    yield NamedSize("height of the seat", (seat.frame.origin[2],))
    yield from seat_sizes(seat)
    yield NamedSize("room for the flange", extents(seat.room))
    yield NamedSize("length of the bore that holds", (seat.grip,))
    if press is not None:
        yield NamedSize("between the ribs' tips", (press.inside,))
        yield NamedSize("ribs", (float(press.ribs),), "1")
        yield NamedSize("reach of the lugs" if press.lugs else "reach of the lip", (press.over,))
    if seat.nut is not None:
        yield NamedSize("room for the nut", (seat.nut,))
    yield NamedSize("plate", extents(plan.outline))
    yield NamedSize("plate's thickness", (plan.thickness,))
    yield NamedSize("depth of the back", (plan.depth,))
    for stake in plan.stakes:
        yield NamedSize(f"hole of pin {stake.name}", (stake.width,) if not stake.way else (stake.width, stake.length))
    yield label_size(plan.labels)
