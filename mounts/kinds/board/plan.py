"""Plan of a board: every dimension, in the order in which they depend on each other.

Webs of a board between what is cut into it, and to its edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import cos, radians

from mounts.design.lettering import slug
from mounts.errors import InputError
from mounts.findings.report import AS_BUILT, PRACTICE, Pose
from mounts.findings.wall import Wall
from mounts.geometry.distance import depths, inset_outline, least_clearance, separation
from mounts.geometry.outline import Outline, Point, circle
from mounts.identity import EDGE, PLATE, Ident, Pair, Role
from mounts.kinds.board.feet import feet_of
from mounts.kinds.board.job import BoardJob
from mounts.kinds.board.plate import bare_outline, finished_outline, plate_levels, slots_of, spots_of, stand_of
from mounts.kinds.board.template import draw_template
from mounts.kinds.board.values import BOARD_EDGE, BoardPlan, Foot, Slot, Spot

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
        found.append(ThroughCut(slot.ident, slot.outline.middle, slot.outline, eased, web))
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
    yield Wall("wall.plate", (PLATE, PLATE), thick, job.limits.wall_least, PRACTICE, (*outline.middle, top))
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


def plan_board(job: BoardJob) -> BoardPlan:
    """Plan a board.

    Raises:
        InputError: where what is asked for cannot be drawn; it names what could be.
    """
    bottom = job.feet.height
    top = bottom + job.thickness
    on = top + (job.wrap.thickness if job.wrap else 0.0)
    stands = tuple(stand_of(job, placed, on) for placed in job.devices)
    spots = tuple(spot for placed in job.devices for spot in spots_of(job, placed))
    finished = finished_outline(job, stands)
    outline = bare_outline(job, finished)
    for spot in spots:
        if (inside := float(depths(outline, [spot.at])[0])) <= spot.hole / 2:
            what = (
                f"the screw of {spot.name} lies {job.units(spot.hole / 2 - inside, 1)} outside "
                "the board; move the device"
            )
            raise InputError(job.problem(f"devices.{spot.device}.at", what))
    fold = _fold(job, outline)
    slots = tuple(slots_of(job, bottom, top))
    feet = feet_of(job, outline, spots, slots)
    cuts = cuts_of(job, spots, slots, feet)
    return BoardPlan(
        name=slug(job.name),
        side="",
        make=job.make,
        outline=outline,
        finished=finished,
        fold=fold,
        bottom=bottom,
        top=top,
        levels=plate_levels(job, outline, bottom, top),
        stands=stands,
        spots=spots,
        slots=slots,
        feet=feet,
        walls=tuple(walls_of(job, outline, spots, cuts, (bottom, top))),
        genus=len(cuts),
        paper=draw_template(job, (finished, outline, fold), stands, (spots, slots, feet)),
    )


def _fold(job: BoardJob, outline: Outline) -> Outline | None:
    """Return the inner edge of the carpet folded below; None without carpet, or where it covers the underside."""
    if job.wrap is None:
        return None
    try:
        return inset_outline(outline, job.wrap.fold)
    except ValueError:
        return None


def board_pose(plan: BoardPlan) -> Pose:
    """Return the print pose: a printed board lies on its top, so that its feet rise and nothing overhangs."""
    if plan.make == "cut":
        return AS_BUILT
    return ((1.0, 0.0, 0.0, 0.0), (0.0, -1.0, 0.0, 0.0), (0.0, 0.0, -1.0, plan.top), (0.0, 0.0, 0.0, 1.0))
