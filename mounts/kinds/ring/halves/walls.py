"""Walls round the screws of a ring's laps."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot, isfinite

from mounts.findings.wall import Wall
from mounts.geometry.frames import PANEL
from mounts.identity import BACK, BORE, OUTSIDE, Ident, Role
from mounts.kinds.ring.halves.values import LapScrew, Split
from mounts.kinds.ring.values import RingPlan
from mounts.kinds.ring.walls.closed_form import floor_distance
from mounts.kinds.ring.walls.rods import Rod, outside_distances, sheet_distances
from mounts.load.models.limits import Limits

LONG = 30.0  # mm over the seat that a head's room is followed


def lap_walls(plan: RingPlan, split: Split, limits: Limits) -> Iterator[Wall]:
    """Yield every wall round the lap screws of a ring in two."""
    for lap in split.laps:
        for screw in lap.screws:
            yield from screw_walls(plan, screw, split.level, limits)
        for one, other in zip(lap.screws, lap.screws[1:], strict=False):
            apart = hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]) - one.head
            names = (Ident(Role.LAP_SCREW, one.name), Ident(Role.LAP_SCREW, other.name))
            yield Wall("wall.lap-screws", names, apart, one.wall, "the fastener's own least wall", (*one.at, one.seat))


def screw_walls(plan: RingPlan, screw: LapScrew, level: float, limits: Limits) -> Iterator[Wall]:
    """Yield the walls round one screw, with the tongues meeting at a level."""
    name, at, own = (
        Ident(Role.LAP_SCREW, screw.name),
        (*screw.at, screw.seat),
        "the fastener's own least wall, and gasket land",
    )
    rods = (
        Rod(PANEL, screw.at, screw.head, screw.seat, plan.seat.frame.origin[2] + LONG),
        Rod(PANEL, screw.at, screw.clear, level, screw.seat),
        Rod(PANEL, screw.at, screw.thread, screw.bottom, level),
    )
    inner = min(sheet_distances(plan.tower.inside, rods))
    yield Wall("wall.lap-bore", (name, BORE), inner, screw.wall, own, at)
    u, v, _ = (float(value) for value in plan.seat.frame.into(at))
    rim = plan.seat.outline.depth((u, v)) - screw.head / 2
    head, *others = outside_distances(plan.tower, plan.base, rods)
    outer = min(rim, head)
    for rod, outside in zip(rods[1:], others, strict=True):
        outer = min(outer, max((screw.boss - rod.diameter) / 2, outside))
    yield Wall("wall.lap-outside", (name, OUTSIDE), outer, screw.wall, own, at)
    below = floor_distance(plan, PANEL, (*screw.at, screw.bottom), screw.thread)
    if isfinite(below):
        yield Wall("wall.lap-floor", (name, BACK), below, limits.floor, "floor under a pocket", at)
