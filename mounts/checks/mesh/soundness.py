"""Soundness of a part's triangles as a solid: closed, oriented, one piece, in mm, meeting itself nowhere."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from mounts.checks.mesh.shells import Shells
from mounts.checks.mesh.skin import NEEDLE, Skin
from mounts.findings.compare import at_least, at_most, state
from mounts.findings.report import Finding, Verdict
from mounts.geometry.facets import Whole, connected_groups, normalize
from mounts.geometry.frames import Array, Vector, as_vector
from mounts.kernels.part import Part

SMALL, LARGE = 10.0, 1000.0  # mm, greatest size of a part that is likely to be in mm
FLAT = 1e-9  # mm: facets lower than this have no area; a kernel's needles are higher
SOUND = "a solid's surface is closed, faces outward and meets itself nowhere"
REPAIR = "repair it where it was drawn, or with a slicer's repair, and check again"
PLACES = 2000
OFF = 2e-3  # mm outside the surface
STEP = 1e-3  # mm by which a ray goes on behind what it met
RAY_CROSSINGS = 400  # surfaces on one ray
ASKEW = ((0.31, 0.17, -0.23), (-0.19, 0.29, 0.37))  # two ways beside the normal, so that no edge fools both


def mesh_findings(part: Part, skin: Skin | None = None) -> tuple[Finding, ...]:
    """Return the findings on a part's mesh, whoever drew it; a pass for each thing that is right.

    Codes: solid.watertight, solid.oriented, solid.one, solid.unit; solid.facets only for facets of no area, and
    solid.crossing only for surfaces that run through each other, looked at where the mesh is closed and oriented.

    Args:
        part: any triangles.
        skin: the part's, when it is at hand.
    """
    shells, skin = Shells(part), skin or Skin.of(part)
    surface = [_watertight(shells), _oriented(shells)]
    sound = all(finding.verdict is Verdict.PASS for finding in surface)
    return (*surface, _one(shells), _unit(part), *_facets(skin), *(_crossing(skin) if sound else ()))


def _watertight(shells: Shells) -> Finding:
    if shells.mesh.is_watertight:
        return _count("solid.watertight", "edges without exactly two facets", 0, None, "")
    loose, crowded = shells.edges.open, shells.edges.nonmanifold
    bad = np.concatenate([loose, crowded])
    told = []
    if len(loose):
        told.append(f"{_many(len(loose), 'edge')} of {_many(_gaps(shells, loose), 'gap')} open")
    if len(crowded):
        told.append(f"{_many(len(crowded), 'edge')} with more than two facets")
    at = _middle(shells.part, int(bad[0])) if len(bad) else None
    return _count("solid.watertight", "edges without exactly two facets", len(bad), at, ", ".join(told))


def _gaps(shells: Shells, loose: Whole) -> int:
    """Return how many separate gaps open edges make."""
    triangles = shells.part.triangles
    ends = np.concatenate([triangles[loose // 3, loose % 3], triangles[loose // 3, (loose + 1) % 3]])
    used, index = np.unique(ends, return_inverse=True)
    one, other = index.reshape(2, -1)
    return int(connected_groups(len(used), one, other).max()) + 1


def _oriented(shells: Shells) -> Finding:
    wrong = np.flatnonzero(shells.flipped)
    at = _middle_of(shells.part, wrong[:1]) if len(wrong) else None
    every = len(wrong) == int(shells.whole.sum())
    told = "the mesh is inside out" if every else f"{_many(len(wrong), 'facet')} flipped"
    return _count("solid.oriented", "facets that face inward", len(wrong), at, told)


def _one(shells: Shells) -> Finding:
    count, hollows = shells.count, shells.hollows
    if count == 1:
        return _sound_finding("solid.one", "closed surfaces of the solid", 1, limit=1.0)
    at = _middle_of(shells.part, np.flatnonzero(shells.lump == 1)) if count > 1 else None
    kinds = _many(count - hollows, "lump") + (f" and {_many(hollows, 'hollow')}" if hollows else "")
    advice = f"{kinds}, the second at {_place(at)}: join them, or check each by itself" if at else REPAIR
    return _sound_finding(
        "solid.one", "closed surfaces of the solid", count, Verdict.FAIL, at=at, advice=advice, limit=1.0
    )


def _unit(part: Part) -> Finding:
    size = float(np.ptp(part.vertices, axis=0).max())
    advice = f"its greatest size is {size:.4g}: it looks scaled from inches twice ({size / 25.4:.4g} mm); scale it"
    if size < SMALL:
        metres = f" or metres ({1000 * size:.0f} mm)" if size < 1 else ""
        advice = f"its greatest size is {size:.4g}: it looks like inches ({25.4 * size:.4g} mm){metres}; scale it"
    compare, limit = (at_most, LARGE) if size > LARGE else (at_least, SMALL)
    what = "greatest size, in mm if the file means mm"
    source = "a mesh file may say no unit; a mount is between 10 and 1000"
    return compare("solid.unit", None, limit, what, measured=size, missed=Verdict.WARN, source=source, advice=advice)


def _facets(skin: Skin) -> Iterator[Finding]:
    """Yield a warning of facets of no area: programs leave them behind, and slicers drop them."""
    bad = np.flatnonzero(skin.height < FLAT)
    if len(bad):
        at = _middle_of(skin.part, bad[:1])
        advice = f"the first at {_place(at)}; most slicers drop them"
        yield _sound_finding("solid.facets", "facets of no area", len(bad), Verdict.WARN, at=at, advice=advice)


def _crossing(skin: Skin) -> Iterator[Finding]:
    """Yield a warning of surfaces inside the material: each slicer fills or empties what they enclose differently."""
    share, at = buried_share(skin)
    if at is not None:
        advice = f"surfaces run through each other, as at {_place(at)}: unite the bodies where they were drawn"
        what = "surface inside the material"
        yield state(
            "solid.crossing", Verdict.WARN, what, limit=0.0, measured=100 * share, at=at, source=SOUND, advice=advice
        )


def _count(code: str, what: str, count: int, at: Vector | None, told: str) -> Finding:
    """Return a finding on how many things are wrong, of which there may be none."""
    if at is None:
        return _sound_finding(code, what, 0)
    return _sound_finding(code, what, count, Verdict.FAIL, at=at, advice=f"{told}, the first at {_place(at)}: {REPAIR}")


def _sound_finding(
    code: str,
    what: str,
    count: int,
    verdict: Verdict = Verdict.PASS,
    *,
    at: Vector | None = None,
    advice: str = "",
    limit: float = 0.0,
) -> Finding:
    return state(code, verdict, what, limit=limit, measured=float(count), at=at, source=SOUND, advice=advice)


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'s' * (count != 1)}"


def _middle(part: Part, side: int) -> Vector:
    """Return the middle of a side of a triangle; side s is edge s % 3 of triangle s // 3."""
    corners = part.vertices[part.triangles[side // 3]]
    return as_vector((corners[side % 3] + corners[(side + 1) % 3]) / 2)


def _middle_of(part: Part, triangles: Whole) -> Vector:
    return as_vector(part.vertices[part.triangles[triangles]].reshape(-1, 3).mean(axis=0))


def _place(at: Vector | None) -> str:
    return "(" + ", ".join(f"{round(value, 1) + 0.0:.1f}" for value in at or ()) + ")"  # -0 is 0


def buried_share(skin: Skin) -> tuple[float, Vector | None]:
    """Return the share (0 to 1) of a closed part's surface inside other material of it, and one such place."""
    fit = np.flatnonzero(skin.height > 10 * NEEDLE)
    if not len(fit):
        return 0.0, None
    total = np.cumsum(skin.area[fit])
    source = fit[np.minimum(np.searchsorted(total, (np.arange(PLACES) + 0.5) / PLACES * total[-1]), len(fit) - 1)]
    places = skin.corners[source].mean(axis=1) + OFF * skin.normals[source]
    inside = np.ones(PLACES, dtype=bool)
    for askew in ASKEW:
        rest = np.flatnonzero(inside)
        inside[rest] = winding_numbers(skin, places[rest], normalize(skin.normals[source[rest]] + np.array(askew))) > 0
    if not inside.any():
        return 0.0, None
    return float(inside.mean()), as_vector(places[np.flatnonzero(inside)[0]])


def winding_numbers(skin: Skin, places: Array, ways: Array) -> Whole:
    """Return the winding numbers of a skin round places (n, 3), counted along ways (n, 3)."""
    count = np.zeros(len(places), dtype=np.int64)
    at, going = places.copy(), np.arange(len(places))
    for _ in range(RAY_CROSSINGS):
        if not len(going):
            break
        met = skin.first_met(at[going], ways[going])
        going, triangle = going[met >= 0], met[met >= 0]
        count[going] += np.sign(np.einsum("ij,ij->i", ways[going], skin.normals[triangle])).astype(np.int64)
        at[going] += (skin.way_to(triangle, at[going], ways[going]) + STEP)[:, None] * ways[going]
    return count
