"""Webs of a board between what is cut into it, and to its edge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import cos, radians

from mounts.errors import InputError
from mounts.findings.report import PRACTICE
from mounts.findings.wall import Wall
from mounts.geometry.clearance import least_clearance, separation
from mounts.geometry.distance import depths
from mounts.geometry.outline import Outline, Point, circle
from mounts.identity import EDGE, PLATE, Ident, Pair, Role
from mounts.kinds.board.values import BOARD_EDGE, Foot, Slot, Spot
from mounts.load.models.job_kinds import BoardJob

FAR = 4.0  # times its limit: a wider web is not reported
TURNED = 1 - cos(radians(45))  # of an edge's radius: a web is measured where its rounded edge has turned by 45°


@dataclass(frozen=True, slots=True)
class ThroughCut:
    """One cut through the board.

    Attributes:
        ident: of its feature.
        at: its middle.
        outline: where its wall is upright.
        eased: how far its rounded edges come nearer to what lies beside it, mm.
        needs: web that it needs, mm.
    """

    ident: Ident
    at: Point
    outline: Outline
    eased: float
    needs: float


def cuts_of(
    job: BoardJob, spots: Sequence[Spot], slots: Sequence[Slot], feet: Sequence[Foot]
) -> tuple[ThroughCut, ...]:
    """Return everything that is cut through the board; for an insert's hole the wider pocket."""
    web, found = job.limits.web, []
    for spot in spots:
        across, ident = (spot.pocket[0], spot.insert) if spot.pocket else (spot.hole, spot.through)
        needs = max(web, (spot.disc - across) / 2 if spot.pocket else web)
        found.append(ThroughCut(ident, spot.at, circle(across, spot.at), 0.0, needs))
    for slot in slots:
        eased = slot.radius * TURNED if job.make == "print" else 0.0
        x0, y0, x1, y1 = slot.outline.box
        found.append(ThroughCut(slot.ident, ((x0 + x1) / 2, (y0 + y1) / 2), slot.outline, eased, web))
    found += [ThroughCut(f.screw, f.at, circle(f.hole, f.at), 0.0, web) for f in feet if f.hole]
    return tuple(found)


def walls_of(
    job: BoardJob, outline: Outline, spots: Sequence[Spot], cuts: Sequence[ThroughCut], faces: tuple[float, float]
) -> Iterator[Wall]:
    """Yield every wall of the board: its thickness, over inserts, from holes to the edge, and the narrow webs.

    Args:
        job: for limits.
        outline: of the board.
        spots: the devices' screws.
        cuts: all that is cut.
        faces: z of its underside and of its top.

    Raises:
        InputError: where a cut breaks into another or through the edge.
    """
    bottom, top = faces
    thick, middle = top - bottom, (bottom + top) / 2
    x0, y0, x1, y1 = outline.box
    yield Wall(
        "wall.plate", (PLATE, PLATE), thick, job.limits.wall_least, PRACTICE, ((x0 + x1) / 2, (y0 + y1) / 2, top)
    )
    for spot in spots:
        least, away = job.limits.edge * spot.hole, float(depths(outline, [spot.at])[0])
        ends = (spot.through, EDGE)
        yield Wall(
            "wall.hole-edge", ends, away, least, f"{job.limits.edge:g} hole diameters; {PRACTICE}", (*spot.at, top)
        )
        if spot.pocket:
            left = thick - spot.pocket[1]
            ends = (spot.insert, PLATE)
            yield Wall("wall.above-insert", ends, left, job.limits.floor, PRACTICE, (*spot.at, bottom + spot.pocket[1]))
    for one in cuts:
        web = least_clearance(one.outline, outline)[0] - one.eased
        yield from _web(job, (one.ident, EDGE), web, one.needs, (*one.at, middle))
    for one, other in combinations(cuts, 2):
        web = separation(one.outline, other.outline) - one.eased - other.eased
        yield from _web(job, (one.ident, other.ident), web, max(one.needs, other.needs), (*one.at, middle))


def _web(job: BoardJob, ends: Pair, web: float, limit: float, at: tuple[float, float, float]) -> Iterator[Wall]:
    """Yield a web if it is narrow enough to report; refuse one that is cut through."""
    if web <= 0:
        one, other = ends[0], BOARD_EDGE if ends[1] == EDGE else ends[1]
        key = "passages" if Role.PASSAGE in (one.role, other.role) else "devices"
        what = f"{one} breaks {job.units(-web, 1)} into {other}; move it by {job.units(limit - web, 1)}"
        raise InputError(job.problem(key, f"{what}, which leaves the {job.units(limit)} that hold"))
    if web < FAR * limit:
        yield Wall("wall.web", ends, web, limit, PRACTICE, at)
