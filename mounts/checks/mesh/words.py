"""What the words of a plan's walls mean on a finished part: which features, and which side of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mounts.checks.mesh.skin import Skin
from mounts.findings.wall import Wall
from mounts.geometry.facets import Mask, Whole

DOWN = -0.87  # z of a normal that faces the panel
BACK = ("base", "gasket groove", "bead room")
BACKS = ("recess ", "step ")
TOWER = "wall.tower"  # the one wall whose outside is the tower's alone


def surfaces(skin: Skin) -> Whole:
    """Number of the surface that each triangle belongs to: twice its feature's, and one more where it faces down."""
    down: Whole = (skin.normals[:, 2] < DOWN).astype(np.int64)
    return 2 * skin.part.feature + down


def meant(walls: Sequence[Wall], features: Sequence[str]) -> tuple[Mask, Mask]:
    """Which surfaces lie at the two ends of each wall, (walls, surfaces) twice.

    None do where a part has nothing of the kind, as the panel's opening.
    """
    number = {name: k for k, name in enumerate(features)}
    back = [name for name in features if name in BACK or name.startswith(BACKS)]
    ends = np.zeros((2, len(walls), len(features), 2), dtype=bool)
    for k, wall in enumerate(walls):
        for end, (word, other) in enumerate((wall.between, wall.between[::-1])):
            names, sides = _meant("tower" if wall.code == TOWER and word == "outside" else word, other, back)
            for name in names:
                if name in number:
                    ends[end, k, number[name], sides] = True
    first, second = ends.reshape(2, len(walls), 2 * len(features))
    return first, second


def _meant(word: str, other: str, back: Sequence[str]) -> tuple[Sequence[str], slice]:
    """Names of features, and which sides of them: those that face down, those that do not, or both."""
    fixing = (word if other == "washer" else other).split(" ", 1)[-1]
    up, down, both = slice(0, 1), slice(1, 2), slice(0, 2)
    by_word = {
        "back": (back, down),
        "face": (("base",), down),
        "outside": (("tower", "base"), up),
        "edge": (("base",), up),
        "washer": ((f"tool path {fixing}", f"hole {fixing}"), up),
    }
    by_other = {"washer": ((word, f"step {fixing}"), down), "face": ((word,), up)}
    return by_word.get(word) or by_other.get(other) or ((word,), both)
