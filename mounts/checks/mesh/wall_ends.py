"""Surfaces of a finished part that the ends of a plan's walls stand for: which features, and which side of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from mounts.checks.mesh.skin import Skin
from mounts.findings.wall import Wall
from mounts.geometry.facets import Mask, Whole
from mounts.identity import FACE, HUB, OUTSIDE, PLATE, TOWER, Ident, Role

SIDES = 4  # of a feature:
ASIDE, DOWN, UP, BROKEN = range(SIDES)
BREAK = 0.6  # least z of a normal of a hub's broken edge at the front, which is no wall's end however a bore leans
LEVEL = 0.87  # z of a normal that faces up, and less this much of one that faces the panel
TOWER_WALL = "wall.tower"  # the one wall whose outside is the tower's alone
BY_ROLE = {  # of a wall's end: roles of the features that lie there, and which sides of them
    Role.BACK: ((Role.BASE, Role.GROOVE, Role.SLEEVE, Role.RECESS, Role.STEP), [DOWN]),
    Role.FACE: ((Role.BASE,), [DOWN]),
    Role.OUTSIDE: ((Role.TOWER, Role.BASE, Role.BOSS, Role.HUB, Role.PIECE), [ASIDE]),
    Role.TOWER: ((Role.TOWER,), [ASIDE]),
    Role.EDGE: ((Role.BASE, Role.PLATE), [ASIDE]),
    Role.SLEEVE: ((Role.SLEEVE,), [ASIDE]),
}


def surface_numbers(skin: Skin) -> Whole:
    """Return the number of each triangle's surface, (m,): SIDES times its feature's, and its side."""
    z = skin.normals[:, 2]
    hub = np.isin(skin.part.feature, [k for k, ident in enumerate(skin.part.features) if ident == HUB])
    side: Whole = np.select([z < -LEVEL, z > LEVEL, hub & (z > BREAK)], [DOWN, UP, BROKEN], ASIDE)
    return SIDES * skin.part.feature + side


def wall_end_surfaces(walls: Sequence[Wall], features: Sequence[Ident]) -> tuple[Mask, Mask]:
    """Return which surfaces lie at the two ends of each wall, (walls, surfaces) twice.

    There are none where a part has nothing of the kind, as for the panel's opening.
    """
    ends = np.zeros((2, len(walls), len(features), SIDES), dtype=bool)
    for k, wall in enumerate(walls):
        tower = wall.code == TOWER_WALL
        for end, (one, other) in enumerate((wall.between, wall.between[::-1])):
            here, sides = _meant(TOWER if tower and one == OUTSIDE else one, other)
            for number, feature in enumerate(features):
                if here(feature):
                    ends[end, k, number, sides] = True
    first, second = ends.reshape(2, len(walls), SIDES * len(features))
    return first, second


def _meant(one: Ident, other: Ident) -> tuple[Callable[[Ident], bool], list[int]]:
    """Return a predicate of the features that one end of a wall stands for, and which sides of them do."""
    if one == PLATE and other.role in (Role.WELL, Role.HOLE):  # a cup's, which is drawn with hub and fillet
        return (lambda feature: feature.role in (Role.HUB, Role.PIECE)), [UP] if other.role is Role.WELL else [
            ASIDE,
            BROKEN,
        ]
    if one.role in BY_ROLE:
        roles, sides = BY_ROLE[one.role]
        return (lambda feature: feature.role in roles), sides
    if one.role is Role.WASHER:
        return (lambda feature: feature in (Ident(Role.PATH, one.name), Ident(Role.HOLE, one.name))), [ASIDE, UP]
    if other.role is Role.WASHER:
        return (lambda feature: feature in (one, Ident(Role.STEP, other.name))), [DOWN]
    return (lambda feature: feature == one), [ASIDE, UP] if other == FACE else [ASIDE, DOWN, UP]
