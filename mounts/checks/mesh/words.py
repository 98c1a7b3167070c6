"""What the words of a plan's walls mean on a finished part: which features, and which side of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mounts.checks.mesh.skin import Skin
from mounts.findings.wall import Wall
from mounts.geometry.facets import Mask, Whole

SIDES = 3  # of a feature:
ASIDE, DOWN, UP = range(SIDES)
LEVEL = 0.87  # z of a normal that faces up, and less this much of one that faces the panel
BACK = ("base", "gasket groove", "bead room", "sleeve")
BACKS = ("recess ", "step ")
BOSS = "lap boss "
TOWER = "wall.tower"  # the one wall whose outside is the tower's alone


def surfaces(skin: Skin) -> Whole:
    """Number of the surface that each triangle belongs to: three times its feature's, and its side."""
    z = skin.normals[:, 2]
    side: Whole = np.select([z < -LEVEL, z > LEVEL], [DOWN, UP], ASIDE)
    return SIDES * skin.part.feature + side


def meant(walls: Sequence[Wall], features: Sequence[str]) -> tuple[Mask, Mask]:
    """Which surfaces lie at the two ends of each wall, (walls, surfaces) twice.

    None do where a part has nothing of the kind, as the panel's opening.
    """
    number = {name: k for k, name in enumerate(features)}
    back = [name for name in features if name in BACK or name.startswith(BACKS)]
    outside = ["tower", "base", *(name for name in features if name.startswith(BOSS))]
    ends = np.zeros((2, len(walls), len(features), SIDES), dtype=bool)
    for k, wall in enumerate(walls):
        for end, (word, other) in enumerate((wall.between, wall.between[::-1])):
            names, sides = _meant("tower" if wall.code == TOWER and word == "outside" else word, other, back, outside)
            for name in names:
                if name in number:
                    ends[end, k, number[name], sides] = True
    first, second = ends.reshape(2, len(walls), SIDES * len(features))
    return first, second


def _meant(word: str, other: str, back: Sequence[str], outside: Sequence[str]) -> tuple[Sequence[str], list[int]]:
    """Names of features, and which sides of them."""
    fixing = (word if other == "washer" else other).split(" ", 1)[-1]
    by_word = {
        "back": (back, [DOWN]),
        "face": (("base",), [DOWN]),
        "outside": (outside, [ASIDE]),
        "tower": (("tower",), [ASIDE]),
        "edge": (("base", "plate"), [ASIDE]),
        "sleeve": (("sleeve",), [ASIDE]),
        "washer": ((f"tool path {fixing}", f"hole {fixing}"), [ASIDE, UP]),
    }
    by_other = {"washer": ((word, f"step {fixing}"), [DOWN]), "face": ((word,), [ASIDE, UP])}
    return by_word.get(word) or by_other.get(other) or ((word,), [ASIDE, DOWN, UP])
