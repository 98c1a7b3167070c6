"""Stand-off feet: their places, what joins a board that is cut to them, and the printed foot itself."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import dist

import numpy as np

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke
from mounts.design.fasteners import thread_diameter
from mounts.design.lettering import slug
from mounts.errors import InputError
from mounts.findings.report import PRACTICE
from mounts.findings.wall import Wall
from mounts.geometry.distance import depths
from mounts.geometry.frames import Array
from mounts.geometry.outline import Outline, Point, circle
from mounts.geometry.ties import first_most, least_of
from mounts.identity import Ident, Role
from mounts.kinds.board.job import BoardJob, FootJob
from mounts.kinds.board.plate import head_of
from mounts.kinds.board.values import SCREW_HOLE, Foot, FootPlan, Level, Slot, Spot
from mounts.load.models.hardware import BOLT
from mounts.shape.primitives import Prism, loft_levels
from mounts.shape.recipe import Feature, Recipe, Scene

EDGE = 0.5  # mm, broken edges of a foot: the low end of a first layer's chamfer and above
INSIDE = 2.0  # mm more than the least that a foot keeps from all else where the plan places it
APART = 1.0  # mm between a foot and what is cut beside it
STEP = 2.0  # mm from place to place that is tried for a foot
ROUNDING = 1e-6  # mm
PAST = 1.0  # mm
CORNERS = {"1": (-1, -1), "2": (1, -1), "3": (1, 1), "4": (-1, 1)}
Way = tuple[str, Array]


def feet_of(job: BoardJob, outline: Outline, spots: Sequence[Spot], slots: Sequence[Slot]) -> tuple[Foot, ...]:
    """Return the feet in their places.

    Raises:
        InputError: where one would stand under a screw's end or over a passage, or beside the board.
    """
    places = job.feet.at if job.feet.at is not None else _corners(job, outline, spots, slots)
    for name, at in places.items():
        _refuse_blocked(job, name, at, outline, (spots, slots))
    for (one, p), (other, q) in combinations(places.items(), 2):
        if (apart := dist(p, q)) < job.feet.across:
            what = (
                f"feet {one} and {other} are {job.units(apart, 1)} apart and "
                f"{job.units(job.feet.across)} across; set them apart"
            )
            raise InputError(job.problem("feet", what))
    return tuple(_foot(job, f"foot {name}", at) for name, at in places.items())


def _foot(job: BoardJob, name: str, at: Point) -> Foot:
    if job.fix_feet is None:
        return Foot(name, at, job.feet.across)
    screw = job.fix_feet.screw
    assert screw is not None
    hole = thread_diameter(screw.thread) + BOLT
    return Foot(name, at, job.feet.across, hole, head_of(job.fix_feet), screw.head == "countersunk")


def _corners(job: BoardJob, outline: Outline, spots: Sequence[Spot], slots: Sequence[Slot]) -> dict[str, Point]:
    """Return, for each quarter of the board, the free place that maximises the area spanned by the feet."""
    x0, y0, x1, y1 = outline.box
    middle = np.array(outline.middle)
    across = np.stack(np.meshgrid(np.arange(x0, x1, STEP), np.arange(y0, y1, STEP)), axis=-1).reshape(-1, 2)
    free = np.all([room >= INSIDE - ROUNDING for _, room in _rooms(job, across, outline, (spots, slots))], axis=0)
    places, found = across[free], {}
    for name, quarter in CORNERS.items():
        away = (places - middle) * quarter
        apart = (away >= job.feet.across / 2).all(axis=1)  # so that no two quarters' feet meet
        spans = np.where(apart, away.prod(axis=1), 0.0)
        if not spans.any():
            what = (
                f"a foot of {job.units(job.feet.across)} finds no free place in a quarter of the "
                f"board; give feet: {{at: …}}"
            )
            raise InputError(job.problem("feet", what))
        x, y = (float(value) for value in places[first_most(spans)])
        found[name] = (x, y)
    return found


def _rooms(job: BoardJob, places: Array, outline: Outline, cuts: tuple[Sequence[Spot], Sequence[Slot]]) -> list[Way]:
    """Return each possible obstacle in words, with the room to it at each of the places (n, 2), mm."""
    half = job.feet.across / 2
    found = [("stands over the board's edge", depths(outline, places) - half)]
    for spot in cuts[0]:
        apart = np.hypot(*(places - spot.at).T) - half - spot.disc / 2 - APART
        found.append((f"stands under the screw of {spot.name}", apart))
    for slot in cuts[1]:
        found.append((f"stands under {slot.name}", -depths(slot.outline, places) - half - slot.radius - APART))
    return found


def _refuse_blocked(
    job: BoardJob, name: str, at: Point, outline: Outline, cuts: tuple[Sequence[Spot], Sequence[Slot]]
) -> None:
    why, room = least_of(_rooms(job, np.array([at]), outline, cuts), key=lambda one: float(one[1][0]))
    if room[0] < -ROUNDING:
        key = "feet.at" if job.feet.at is not None else "feet"
        what = f"foot {name} {why}; move it by {job.units(-room[0], 1)}, or make the feet smaller"
        raise InputError(job.problem(key, what))


def plan_foot(job: FootJob) -> FootPlan:
    """Plan the foot under a board that is cut.

    Raises:
        InputError: where its screw finds no depth in it.
    """
    board, feet = job.board, job.board.feet
    assert board.fix_feet is not None
    need = board.fix_feet.hardware.pocket(job.limits, job.printer.growth(job.material.name))
    left = feet.height - need.depth
    if left <= 0:
        least = need.depth + job.limits.floor
        what = (
            f"{board.fix_feet.hardware.name} needs feet {job.units(least, 1)} high; they are {job.units(feet.height)}"
        )
        raise InputError(job.problem("feet.height", f"{what}: take that, or a smaller screw"))
    levels = _levels(feet.across, feet.height)
    return FootPlan(
        name=slug(f"{job.name}-foot"),
        side="foot",
        count=job.pieces,
        diameter=feet.across,
        height=feet.height,
        hole=need.hole,
        depth=need.depth,
        levels=levels,
        walls=(_wall(job, need.hole, need.depth, need.wall),),
        genus=0,
        paper=_paper(job, need.hole),
    )


def foot_levels(foot: Foot, low: float, high: float, sunk: float) -> tuple[Level, ...]:
    """Return the levels of a foot printed with its board: lower edge broken, `sunk` mm into the plate."""
    return (
        (low, circle(foot.diameter - 2 * EDGE, foot.at)),
        (low + EDGE, circle(foot.diameter, foot.at)),
        (high + sunk, circle(foot.diameter, foot.at)),
    )


def _levels(across: float, height: float) -> tuple[Level, ...]:
    small, whole = circle(across - 2 * EDGE), circle(across)
    return (0.0, small), (EDGE, whole), (height - EDGE, whole), (height, small)


def draw_foot(plan: FootPlan) -> Scene:
    """Draw the foot as a recipe; it stands as it is printed."""
    hole = Prism(circle(plan.hole), plan.height - plan.depth, plan.height + PAST)
    features = (Feature(Ident(Role.FOOT), (loft_levels(plan.levels),)), Feature(SCREW_HOLE, (hole,), cut=True))
    return Scene(Recipe(plan.name, features, plan.genus))


def _wall(job: FootJob, hole: float, depth: float, wall: float) -> Wall:
    """Return the wall with the lesser reserve: beside the foot's hole, or under it."""
    feet, ends = job.board.feet, (SCREW_HOLE, Ident(Role.FOOT))
    beside = Wall("wall.foot", ends, (feet.across - hole) / 2, wall, PRACTICE, (hole / 2, 0.0, feet.height - depth / 2))
    under = Wall("wall.foot", ends, feet.height - depth, job.limits.floor, PRACTICE)
    return least_of((beside, under), key=lambda one: one.thickness - one.limit)


def _paper(job: FootJob, hole: float) -> Drawing:
    feet = job.board.feet
    return Drawing(
        title=f"{job.name}, foot",
        captions=(
            f"{job.units(feet.across)} across, {job.units(feet.height)} high, of {job.material.name}",
            "where each of them stands is shown on the board's own template",
        ),
        items=(
            Stroke(circle(feet.across), Layer.CUT, "foot"),
            Stroke(circle(hole), Layer.CUT, "screw hole"),
            Cross((0.0, 0.0), 10.0),
            Note("glue the other end", (0.0, -feet.across / 4), 3.0),
        ),
    )
