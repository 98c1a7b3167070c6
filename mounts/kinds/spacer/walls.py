"""Walls of a spacer in closed form."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan

from mounts.findings.wall import Wall
from mounts.geometry.clearance import inset_outline, least_clearance
from mounts.geometry.outline import Point
from mounts.geometry.ties import least_of
from mounts.identity import BACK, BORE, SLEEVE
from mounts.kinds.spacer.values import LIP, Bore, Outside, SleeveLip, Stop
from mounts.load.models.job_kinds import SpacerJob

LINES = 2  # of the nozzle that the least wall has
GUIDES = "print guides: two lines of the nozzle at least"


def least_wall(outside: Outside, bore: Bore) -> tuple[float, Point]:
    """Return the least wall between outside and bore, mm, and its place on the bore.

    The wall stands upright or narrows behind, so that the place is where the bore ends, or at the rear edge's root.
    """
    rear = next((level for z, level in outside.levels[1:] if z >= bore.back - 1e-9), outside.wall)
    if bore.back > outside.levels[1][0]:
        slope = tan(radians(outside.taper))
        rear = inset_outline(outside.wall, max(0.0, -slope * bore.back))
    wide = next(outline for z, outline in bore.levels if z >= bore.back - 1e-9)
    return least_of((least_clearance(wide, rear), least_clearance(wide, outside.wall)), key=lambda one: one[0])


def walls_of(
    job: SpacerJob, sleeve: tuple[Outside, Bore], lip: SleeveLip | None, stop: Stop | None, least: tuple[float, Point]
) -> Iterator[Wall]:
    """Yield every wall that the mesh is measured against."""
    limit, (outside, bore), (thick, at) = LINES * job.printer.nozzle, sleeve, least
    yield Wall("wall.sleeve", (SLEEVE, BORE), thick, limit, GUIDES, (*at, max(bore.back, outside.levels[1][0])))
    if stop is not None:
        at = max(stop.passage.points(), key=lambda point: point[0])
        yield Wall("wall.stop", (BORE, BACK), stop.behind, limit, GUIDES, (*at, outside.back))
    if lip is not None:
        edge = lip.levels[0][1].box[2]
        yield Wall("wall.lip", (LIP, LIP), lip.thickness, limit, GUIDES, (edge, 0.0, lip.thickness / 2))
