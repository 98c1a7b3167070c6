"""Closed surfaces of a part's triangles: which triangles are connected, and which face the wrong way.

trimesh says whether the surface is closed and consistently wound, and which triangles are connected. Three things stay
our own. Degenerate triangles are left out first: with two of them added, trimesh calls a closed ball open. Which
triangles are flipped: of a ball of 320 triangles, 100 of them flipped, `trimesh.repair.fix_winding` turns the other
220. And where a surface is open, for which trimesh has no list of edges by how many triangles meet there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from mounts.geometry.facets import Edges, Mask, Whole, connected_groups, cross, degenerate_triangles
from mounts.geometry.frames import Array
from mounts.kernels.part import Part

if TYPE_CHECKING:
    import trimesh

OPEN = 0.1  # open edges a triangle: a lump with more has no inside to speak of


@dataclass(frozen=True, eq=False)
class Shells:
    """Connected lumps of a part's triangles.

    Attributes:
        part: the part.
    """

    part: Part

    @cached_property
    def edges(self) -> Edges:
        """Edges of the part."""
        return Edges(self.part.triangles)

    @cached_property
    def whole(self) -> Mask:
        """True for triangles that are not degenerate, (m,)."""
        return ~degenerate_triangles(self.part.triangles)

    @cached_property
    def mesh(self) -> trimesh.Trimesh:
        """The triangles that are not degenerate, a `trimesh.Trimesh`."""
        if self.whole.all():
            return self.part.mesh
        import trimesh

        return trimesh.Trimesh(self.part.vertices, self.part.triangles[self.whole], process=False)

    @cached_property
    def lump(self) -> Whole:
        """Number of each triangle's lump, (m,): the largest is 0; degenerate triangles' numbers come last."""
        from trimesh.graph import connected_component_labels

        whole = np.flatnonzero(self.whole)
        number = np.arange(len(self.whole)) + len(whole)
        number[whole] = connected_component_labels(self.mesh.face_adjacency, node_count=len(whole))
        size, real = np.abs(np.bincount(number, self._sixfold)), np.bincount(number, self.whole) > 0
        rank = np.empty(len(size), dtype=np.int64)
        rank[np.lexsort([-size, ~real])] = np.arange(len(size))
        return rank[number]

    @cached_property
    def count(self) -> int:
        """Number of lumps."""
        return int(self.lump[self.whole].max(initial=-1)) + 1

    @cached_property
    def hollows(self) -> int:
        """Number of hollows inside the largest lump, when no triangle is flipped."""
        volume = np.bincount(self.lump, self._sixfold)[1 : self.count]
        return 0 if self.flipped.any() else int((volume < 0).sum())

    @cached_property
    def flipped(self) -> Mask:
        """True for triangles facing the wrong way, (m,): the fewer of each lump, or all of one that is inside out."""
        turned = self._turned
        volume = np.bincount(self.lump, np.where(turned, -1, 1) * self._sixfold)
        inside_out = (volume < 0) & ~self._held & self._nearly_closed
        flipped: Mask = (turned ^ inside_out[self.lump]) & self.whole
        return flipped

    @cached_property
    def _turned(self) -> Mask:
        """True for triangles whose winding disagrees with most of their lump, (m,)."""
        count = len(self.part.triangles)
        if self.mesh.is_winding_consistent:
            return np.zeros(count, dtype=bool)
        one, other = (sides // 3 for sides in self.edges.pairs)
        against = self.edges.flipped
        # each triangle twice, as it is and flipped: what agrees hangs together
        with_it = [(one[~against], other[~against]), (one[~against] + count, other[~against] + count)]
        with_flipped = [(one[against], other[against] + count), (one[against] + count, other[against])]
        ones, others = (np.concatenate(ends) for ends in zip(*with_it, *with_flipped, strict=True))
        kind = connected_groups(2 * count, ones, others)[:count]
        many = np.bincount(kind)
        most = np.zeros(int(self.lump.max()) + 1, dtype=np.int64)
        np.maximum.at(most, self.lump, many[kind])
        first = np.full(len(most), len(many))  # of two kinds as many as each other the first one counts
        np.minimum.at(first, self.lump, np.where(many[kind] == most[self.lump], kind, len(many)))
        turned: Mask = kind != first[self.lump]
        return turned

    @cached_property
    def _nearly_closed(self) -> Mask:
        """True for lumps with so few open edges that the sign of their volume is sure, (lumps,)."""
        loose = np.bincount(self.lump[self.edges.open // 3], minlength=int(self.lump.max()) + 1)
        closed: Mask = loose < OPEN * np.bincount(self.lump)
        return closed

    @cached_property
    def _sixfold(self) -> Array:
        """Six times the signed volume between each triangle and the part's middle, (m,) mm³."""
        corners = self.part.vertices[self.part.triangles] - self.part.vertices.mean(axis=0)
        volume: Array = np.einsum("ij,ij->i", corners[:, 0], cross(corners[:, 1], corners[:, 2]))
        return volume

    @cached_property
    def _held(self) -> Mask:
        """True for lumps within the box of the largest, (lumps,): a hollow is, and rightly faces inward."""
        low = np.full((int(self.lump.max()) + 1, 3), np.inf)
        high = -low
        corners = self.part.vertices[self.part.triangles]
        np.minimum.at(low, self.lump, corners.min(axis=1))
        np.maximum.at(high, self.lump, corners.max(axis=1))
        held: Mask = ((low > low[0]) & (high < high[0])).all(axis=1)
        return held
