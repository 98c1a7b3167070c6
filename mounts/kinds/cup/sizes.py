"""Sizes by which two cups are compared."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.cup.values import CupPlan
from mounts.kinds.sizes import Size, across, label_size, seat_sizes


def cup_sizes(plan: CupPlan) -> Iterator[Size]:
    """Yield the named sizes of a cup."""
    seat, press = plan.seat, plan.seat.press
    yield Size("height of the seat", (seat.frame.origin[2],))
    yield from seat_sizes(seat)
    yield Size("room for the flange", across(seat.room))
    yield Size("length of the bore that holds", (seat.grip,))
    if press is not None:
        yield Size("between the ribs' tips", (press.inside,))
        yield Size("ribs", (float(press.ribs),), "1")
        yield Size("reach of the lugs" if press.lugs else "reach of the lip", (press.over,))
    if seat.nut is not None:
        yield Size("room for the nut", (seat.nut,))
    yield Size("plate", across(plan.outline))
    yield Size("plate's thickness", (plan.thickness,))
    yield Size("depth of the back", (plan.depth,))
    for stake in plan.stakes:
        yield Size(f"hole of pin {stake.name}", (stake.width,) if not stake.way else (stake.width, stake.length))
    yield label_size(plan.labels)
