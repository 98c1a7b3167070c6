"""The walls of a spacer in closed form."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.findings.wall import Wall
from mounts.geometry.nested import room_round
from mounts.geometry.outline import Outline, Point
from mounts.kinds.spacer.values import Bore, Lip, Outside, Stop
from mounts.load.models.resolved import SpacerJob

LINES = 2  # of the nozzle that the least wall has
GUIDES = "print guides: two lines of the nozzle at least"


def least_wall(outside: Outside, outline: Outline, low: float) -> tuple[float, Point]:
    """Least wall between the outside and a hole down to z = `low`, and its place on the hole.

    The wall stands upright or narrows behind, so that the place is where the hole ends, or at the rear edge's root.
    """
    levels = [level for z, level in outside.levels[1:] if z >= low - 1e-9] or [outside.levels[1][1]]
    found = [room_round(outline, level) for level in (levels[0], outside.wall)]
    return min(found, key=lambda one: one[0])


def walls_of(
    job: SpacerJob, sleeve: tuple[Outside, Bore], lip: Lip | None, stop: Stop | None, least: tuple[float, Point]
) -> Iterator[Wall]:
    """Every wall that the mesh is measured against."""
    limit, (outside, bore), (thick, at) = LINES * job.printer.nozzle, sleeve, least
    yield Wall("wall.sleeve", ("sleeve", "bore"), thick, limit, GUIDES, (*at, max(bore.back, outside.levels[1][0])))
    if stop is not None:
        z, rear = outside.levels[1]
        room, place = room_round(stop.passage, rear)
        yield Wall("wall.stop", ("sleeve", "seat"), room, limit, GUIDES, (*place, z))
    if lip is not None:
        edge = lip.levels[0][1].box[2]
        yield Wall("wall.lip", ("lip", "lip"), lip.thickness, limit, GUIDES, (edge, 0.0, lip.thickness / 2))
