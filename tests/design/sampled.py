"""Least values by fine sampling of whole surfaces: the second opinion on what is told from rims alone."""

from __future__ import annotations

from collections.abc import Callable

from mounts.design.body import BodyBlock, Least, least_on_lid, least_on_wall
from mounts.geometry.frames import Array


def least_on_block(block: BodyBlock, cost: Callable[[Array], Array]) -> Least:
    """Least cost of points (n, 3) → (n,) on all of a block's surface, and where it is taken."""
    ends = (block.frame, block.frame.lifted(-block.deep))
    lids = [least_on_lid(frame, block.outline, cost) for frame in ends]
    return min(*lids, least_on_wall(block.frame, block.outline, block.deep, cost))
