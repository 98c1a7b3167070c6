"""Narrowest material of a part as printed: its sections, layer by layer, morphologically opened by discs.

Where a disc does not fit into a piece of a section, the piece is narrower than the disc. Corners lose a little to any
disc and are no narrow piece. A section that runs out flat, as under a tilted seat, is narrow in one layer only and is
none either, since the layer below carries it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import manifold3d
import numpy as np
from manifold3d import CrossSection, JoinType, Manifold

from mounts.design.lettering import Label
from mounts.geometry.facets import Mask, triangle_cross
from mounts.geometry.frames import Array, Vector
from mounts.geometry.ties import first_least, most_of
from mounts.identity import Ident, Role
from mounts.kernels.part import Part

WIDE = 3.0  # mm: what is wider is not measured
DISCS = (0.6, 1.0, 1.7, WIDE)  # mm, tried in turn, since a short piece is no more than a corner to a wide disc
CORNER = 0.35  # of a disc's square: what a corner over 40 degrees loses to it at most
SPECK = 0.1  # mm² that a wide disc must miss before smaller ones are tried there
ROUND = 32  # chords of a disc
EXACT = 0.004  # mm, to which a width is found
SAG = 0.002  # mm that a section may be smoothed by
LAYERS = 2  # a piece that is narrow this many layers above and below as well is narrow
TALL = 6.0  # mm: between levels further apart than this there is more than one slice
FLAT = 0.9999  # least z of a level face's normal
LETTER = 1.0  # mm round lettering in which thin ridges belong to it


@dataclass(frozen=True, slots=True)
class Narrow:
    """Narrowest material of a part, mm, and its place in the print pose."""

    width: float
    at: Vector


def manifold_of(part: Part, points: Array) -> Manifold | None:
    """Return a part's triangles as a solid, its vertices at `points` (n, 3); None when they do not close one."""
    made = Manifold(manifold3d.Mesh64(points, part.triangles.astype(np.uint64)))
    return made if made.status() == manifold3d.Error.NoError and made.volume() > 0 else None


def narrowest_material(part: Part, solid: Manifold, points: Array, layer: float) -> Narrow | None:
    """Return the narrowest material of a part in its layers; None when none is under WIDE.

    Args:
        part: for the places of its lettering, which is left out.
        solid: the part in print pose, as `solid_of` gives it.
        points: (n, 3) float, the part's vertices in print pose, mm.
        layer: height of the printer's layers, mm.
    """
    letters, found = points[part.triangles[_lettering(part)]], Narrow(WIDE, (0.0, 0.0, 0.0))
    for z, aside in _heights(part, points, layer):
        found = _narrower(solid, z, aside, _room_of(letters, z - aside, z + aside), found)
    return found if found.width < WIDE else None


def features_at(part: Part, points: Array, at: Vector) -> tuple[Ident, Ident]:
    """Return the two features of a part that a place lies between, the nearer first; `points` are as above."""
    corners = points[part.triangles]
    beside = np.flatnonzero((corners[:, :, 2].min(axis=1) <= at[2]) & (corners[:, :, 2].max(axis=1) >= at[2]))
    from trimesh.triangles import closest_point

    near = closest_point(corners[beside], np.broadcast_to(at, (len(beside), 3)))
    order = part.feature[beside[np.argsort(np.linalg.norm(near - at, axis=1), kind="stable")]]
    nearest = part.features[order[0]]
    return nearest, next((part.features[one] for one in order if part.features[one] != nearest), nearest)


def stroke_width(label: Label) -> float:
    """Return the width of the thinnest stroke of a label's letters, mm; serifs and corners do not count."""
    least = WIDE
    for outline, islands in {shape for letter in label.letters for shape in letter.shapes}:
        contours = [np.array(outline.points()), *(np.array(island.points())[::-1] for island in islands)]
        least = _least([CrossSection(contours)], least)
    return least


def _lettering(part: Part) -> Mask:
    """Return which triangles belong to a label, (m,)."""
    named = np.array([ident.role is Role.LABEL for ident in part.features] or [False], dtype=bool)
    return named[part.feature] & (part.feature >= 0)


def _heights(part: Part, points: Array, layer: float) -> list[tuple[float, float]]:
    """Return where to slice, half way between the part's flat faces, and how far above and below to look."""
    corners = points[part.triangles]
    across = triangle_cross(corners)
    double = np.sqrt(np.einsum("ij,ij->i", across, across))
    level = (np.abs(across[:, 2]) > FLAT * double) & (double > 1e-9)
    marks = np.unique(np.round([points[:, 2].min(), *corners[level, :, 2].mean(axis=1), points[:, 2].max()], 2))
    found = []
    for low, high in pairwise(marks):
        count = max(1, round((high - low) / TALL))
        for k in range(count if high - low > 2 * layer else 0):
            aside = min(LAYERS * layer, (high - low) / count / 3)
            found.append((float(low + (high - low) * (k + 0.5) / count), float(aside)))
    return found


def _narrower(solid: Manifold, z: float, aside: float, lettered: CrossSection, than: Narrow) -> Narrow:
    """Return the narrowest piece of a slice, or what was narrower before."""
    sections = [solid.slice(height).simplify(SAG) for height in (z - aside, z, z + aside)]
    for piece in (_lost(sections[1], than.width) - lettered).decompose():
        if piece.area() < SPECK:
            continue
        near = [_round_about(section, piece) for section in sections]
        width = _least(near, than.width, piece)
        if width < than.width:
            than = Narrow(width, (*_narrow_point(piece, near[1], width), z))
    return than


def _least(sections: Sequence[CrossSection], most: float, within: CrossSection | None = None) -> float:
    """Return the width at which a disc first fits nowhere in a piece of all sections, by bisection.

    Args:
        sections: of one place, one above the other.
        most: mm, widest disc to try; it is returned when all fit.
        within: the piece, None for all.
    """
    low = 0.0
    for high in [*(disc for disc in DISCS if disc < most), most]:
        if _pieces(_lost_in_all(sections, high, within), high):
            break
        low = high
    else:
        return most
    while high - low > EXACT:
        middle = (low + high) / 2
        low, high = (low, middle) if _pieces(_lost_in_all(sections, middle, within), middle) else (middle, high)
    return (low + high) / 2


def _lost_in_all(sections: Sequence[CrossSection], width: float, within: CrossSection | None) -> CrossSection:
    lost = [_lost(section, width) for section in sections]
    return CrossSection.batch_boolean([*lost, within] if within else lost, manifold3d.OpType.Intersect)


def _lost(section: CrossSection, width: float) -> CrossSection:
    """Return what a section loses to a morphological opening by a disc."""
    half = width / 2
    opened = section.offset(-half, JoinType.Round, 2.0, ROUND).offset(half + SAG, JoinType.Round, 2.0, ROUND)
    return section - opened


def _pieces(lost: CrossSection, width: float) -> list[CrossSection]:
    """Return the lost pieces that are no corners."""
    return [piece for piece in lost.decompose() if piece.area() > CORNER * width**2]


def _round_about(section: CrossSection, piece: CrossSection) -> CrossSection:
    x0, y0, x1, y1 = piece.bounds()
    room = CrossSection.square((x1 - x0 + 4 * WIDE, y1 - y0 + 4 * WIDE))
    return section ^ room.translate((x0 - 2 * WIDE, y0 - 2 * WIDE))


def _room_of(letters: Array, low: float, high: float) -> CrossSection:
    """Round the lettering (n, 3, 3) between two heights, seen from above: ridges between strokes are no walls."""
    here = letters[(letters[:, :, 2].max(axis=1) > low) & (letters[:, :, 2].min(axis=1) < high), :, :2]
    boxes = zip(here.min(axis=1) - LETTER, here.max(axis=1) + LETTER, strict=True)
    return CrossSection([np.array([(a, c), (b, c), (b, d), (a, d)]) for (a, c), (b, d) in boxes])


def _narrow_point(piece: CrossSection, section: CrossSection, width: float) -> tuple[float, float]:
    """Return a point of a piece where it is narrowest: on the rim of the largest part of it, in its middle."""
    lost = _pieces(_lost(section, width + 2 * EXACT) ^ piece, width)
    loops = [
        np.asarray(loop) for loop in (most_of(lost, lambda one: one.area(), SPECK) if lost else piece).to_polygons()
    ]
    start, along = np.concatenate(loops), np.concatenate([np.roll(loop, -1, axis=0) - loop for loop in loops])
    twice = start[:, 0] * along[:, 1] - start[:, 1] * along[:, 0]
    middle = twice @ (2 * start + along) / (3 * twice.sum())
    share = np.einsum("ij,ij->i", middle - start, along) / np.maximum(np.einsum("ij,ij->i", along, along), 1e-12)
    rim = start + np.clip(share, 0, 1)[:, None] * along
    x, y = rim[first_least(np.linalg.norm(rim - middle, axis=1))]
    return float(x), float(y)
