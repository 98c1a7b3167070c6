"""Drawing of the board: every feature one or more primitives in its place. No dimension is decided here.

Datum: the floor lining is z = 0. Cutters overshoot what they cut through by PAST.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.geometry.outline import circle
from mounts.identity import PLATE
from mounts.kinds.board.feet import foot_levels
from mounts.kinds.board.values import BoardPlan, Spot
from mounts.shape.loft import loft_levels
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe, Scene

PAST = 1.0  # mm
SUNK = 1.0  # mm that a foot reaches into the plate


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
