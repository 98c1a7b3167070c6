"""Drawing of the board: every feature one or more primitives in its place. No dimension is decided here.

Datum: the floor lining is z = 0. Cutters overshoot what they cut through by PAST.

Envelopes of the real things round a board: devices with their plugs, feet, floor lining, what is above.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.geometry.frames import Frame
from mounts.geometry.outline import circle, offset_outline, rectangle
from mounts.identity import FLOOR, PLATE
from mounts.kinds.board.feet import foot_levels
from mounts.kinds.board.job import BoardJob, FootJob
from mounts.kinds.board.plan import plan_board
from mounts.kinds.board.values import ABOVE, BOARD, BoardPlan, FootPlan, Spot
from mounts.shape.primitives import Prism, loft_levels
from mounts.shape.recipe import Envelope, Feature, Recipe, Scene

AROUND = 40.0  # mm of the floor shown round a board
THICK = 3.0  # mm: a plate that stands for something endless
PAST = 1.0  # mm
SUNK = 1.0  # mm that a foot reaches into the plate


def surroundings(job: BoardJob, plan: BoardPlan) -> tuple[Envelope, ...]:
    """Return every envelope that the job gives."""
    return (*_things(job, plan), *_floor(job, plan))


def _things(job: BoardJob, plan: BoardPlan) -> Iterator[Envelope]:
    """Yield the devices with their plugs in; under a board that is cut its feet as well."""
    for stand in plan.stands:
        yield Envelope(stand.ident, (Prism(stand.body, stand.bottom, stand.top),))
        for room in stand.plugs:
            yield Envelope(room.ident, (Prism(room.outline, stand.bottom, stand.top),))
    if job.make == "cut":
        for foot in plan.feet:
            yield Envelope(foot.ident, (Prism(circle(foot.diameter, foot.at), 0.0, plan.bottom),))


def _floor(job: BoardJob, plan: BoardPlan) -> Iterator[Envelope]:
    x0, y0, x1, y1 = plan.finished.box
    wide = rectangle(x1 - x0 + 2 * AROUND, y1 - y0 + 2 * AROUND, 1.0).moved(*plan.finished.middle)
    yield Envelope(FLOOR, (Prism(wide, -THICK, 0.0),))
    if job.room is not None:
        yield Envelope(ABOVE, (Prism(wide, job.room, job.room + THICK),))


def foot_surroundings(job: FootJob, plan: FootPlan) -> tuple[Envelope, ...]:
    """Return the floor lining under a foot, and the board on it with its screw hole."""
    board = plan_board(job.board)
    whole = circle(plan.diameter)
    hole = circle(board.feet[0].hole)
    floor = Envelope(FLOOR, (Prism(offset_outline(whole, AROUND), -THICK, 0.0),))
    return floor, Envelope(BOARD, (Prism(whole, plan.height, plan.height + board.thickness, islands=(hole,)),))


def board_frame(plan: BoardPlan) -> Frame:
    """Return an upright frame at the board's middle, on its upper face."""
    return Frame((*plan.outline.middle, plan.top))


def foot_frame(plan: FootPlan) -> Frame:
    """Return an upright frame on the foot's own axis, at its upper end."""
    return Frame((0.0, 0.0, plan.height))


def draw_board(plan: BoardPlan) -> Scene:
    """Draw the board as a recipe."""
    cut = plan.make == "cut"
    plate = Prism(plan.outline, plan.bottom, plan.top) if cut else loft_levels(plan.levels)
    features = [Feature(PLATE, (plate,))]
    if not cut:
        features += [Feature(f.ident, (loft_levels(foot_levels(f, 0.0, plan.bottom, SUNK)),)) for f in plan.feet]
    for spot in plan.spots:
        features += _screw(spot, plan)
    features += [Feature(slot.ident, (loft_levels(slot.levels),), cut=True) for slot in plan.slots]
    features += [
        Feature(f.screw, (Prism(circle(f.hole, f.at), plan.bottom - PAST, plan.top + PAST),), cut=True)
        for f in plan.feet
        if f.hole
    ]
    return Scene(Recipe(plan.name, tuple(features), plan.genus))


def _screw(spot: Spot, plan: BoardPlan) -> Iterator[Feature]:
    hole = Prism(circle(spot.hole, spot.at), plan.bottom - PAST, plan.top + PAST)
    yield Feature(spot.through, (hole,), cut=True)
    if spot.pocket:
        across, depth = spot.pocket
        pocket = Prism(circle(across, spot.at), plan.bottom - PAST, plan.bottom + depth)
        yield Feature(spot.insert, (pocket,), cut=True)
