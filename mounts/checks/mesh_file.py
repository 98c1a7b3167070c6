"""Findings on a mesh file, whoever drew it: by itself, or as the part that a job asks for.

Names of a recipe's features for the triangles of a mesh that has none, by where they lie.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from mounts.checks.heat import heat_finding
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.soundness import mesh_findings
from mounts.checks.mesh.surface_fit import FITS, fit_surface
from mounts.checks.mesh.walls import LINES, mesh_wall_findings
from mounts.findings.compare import state, within
from mounts.findings.report import Finding, Verdict, in_order
from mounts.geometry.facets import Edges, Whole
from mounts.geometry.frames import Array
from mounts.identity import Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.kind import Plan, Planned
from mounts.load.models.limits import Limits, Temperatures
from mounts.load.models.workshop import Material

NEAR, CLOSE = 0.3, 0.05  # mm from a triangle's middle within which the surface that it is is looked for, in turn
WIDER = (0.8, 1.5)  # mm within which one is looked for that was drawn larger or smaller
SLIVER, ROUNDS = 0.05, 3  # mm: lower triangles are too thin to be hit by a ray; so many lie side by side
LOOKS = (NEAR, CLOSE)  # between the walls of a thin stroke only the closer look finds the right one
ALIKE = 0.7  # least cosine between the normals of both
OTHER = Ident(Role.PART, "unplanned", "unplanned")  # feature of what lies nowhere on the planned surface
NEEDED = ("solid.watertight", "solid.oriented")  # without these a mesh has no inside, and nothing else can be measured
PRINTED = "two lines of a 0.4 nozzle, as print guides have it; what a mount needs, its job says"


def name_features(part: Part, planned: Part, transform: Array, looks: Sequence[float] = LOOKS) -> Part:
    """Return a part in the panel frame, its triangles named by the planned features on whose surface they lie.

    Args:
        part: of a mesh file, in its own frame.
        planned: what it should be, in the panel frame; the mesh kernel's will do.
        transform: rigid (4, 4), from the loaded part's frame to the panel's.
        looks: mm within which the surface that a triangle is is looked for, in turn.
    """
    turn, shift = transform[:3, :3], transform[:3, 3]
    part = replace(part, vertices=part.vertices @ turn.T + shift, centroid=turn @ part.centroid + shift)
    skin, wanted = Skin.of(part), Skin.of(planned)
    feature = np.full(len(part.triangles), len(planned.features))
    for near in looks:
        lost = np.flatnonzero(feature == len(planned.features))
        found = _surface_at(skin, wanted, lost, near)
        feature[lost[found >= 0]] = planned.feature[found[found >= 0]]
    feature = _slivers_named(skin, feature, len(planned.features))
    face = np.unique(np.stack([part.face, feature]), axis=1, return_inverse=True)[1].reshape(-1)
    return replace(part, face=face, feature=feature, features=(*planned.features, OTHER))


def _slivers_named(skin: Skin, feature: Whole, unnamed: int) -> Whole:
    """Return the features with slivers named after the neighbour that faces most nearly their way."""
    named = feature.copy()
    one, other = (side // 3 for side in Edges(skin.part.triangles).pairs)
    sliver, beside = np.append(one, other), np.append(other, one)
    alike = np.einsum("ij,ij->i", skin.normals[sliver], skin.normals[beside])
    order = np.argsort(alike, kind="stable")  # the most alike is written last, and stays
    for _ in range(ROUNDS):
        at, by = sliver[order], beside[order]
        counts = (named[at] == unnamed) & (skin.height[at] < SLIVER) & (named[by] != unnamed)
        named[at[counts]] = named[by[counts]]
    return named


def _surface_at(skin: Skin, wanted: Skin, which: Whole, near: float) -> Whole:
    """Return the planned triangles at the middles of some triangles, within `near` mm; −1 where there is none."""
    normals = skin.normals[which]
    start = skin.corners[which].mean(axis=1) + near * normals
    triangle = wanted.first_met(start, -normals)
    far = wanted.way_to(triangle, start, -normals)
    alike = np.einsum("ij,ij->i", normals, wanted.normals[triangle]) > ALIKE
    return np.where((triangle >= 0) & (far < 2 * near) & alike, triangle, -1)


def bare_mesh_findings(part: Part, material: Material | None = None) -> tuple[Finding, ...]:
    """Return the findings on a mesh by itself: soundness, walls, and with a material the heat that it bears.

    Args:
        part: of a mesh file.
        material: that it is to be printed in.
    """
    skin = Skin.of(part)
    found = [*mesh_findings(part, skin), *_bears(material)]
    if _unsound(found):
        return in_order((*found, _unmeasured("walls are")))
    return in_order((*found, *mesh_wall_findings(part, LINES, PRINTED, skin=skin)))


def mesh_file_findings(planned: Planned, drawn: Part, part: Part) -> tuple[Finding, ...]:
    """Return the findings on a mesh by itself and, where it can be placed, as the part of a job.

    Args:
        planned: the job that it is to serve, with the plan of the part that the job asks for.
        drawn: that part, by either kernel; its features give their names to the mesh's surfaces.
        part: of a mesh file, in its own frame.
    """
    sound = mesh_findings(part)
    if _unsound(sound):
        return in_order((*sound, _unmeasured("place, walls and clearances are")))
    kind, job, plan = planned.kind, planned.job, planned.plan
    review, pose, share = kind.review(), np.array(kind.pose(plan)), None
    by_holes = review.place(part, plan, pose) if review.place else None
    if by_holes:
        transform, word = by_holes
    else:
        fit = fit_surface(part, drawn, pose, sided=job.side in ("left", "right"))
        transform, word, share = fit.transform, fit.word, fit.share
    if transform is None:
        return in_order((*sound, _placed(Verdict.FAIL, word, share)))
    here = name_features(part, drawn, transform, LOOKS if by_holes else (*LOOKS, *WIDER))
    said = (review.alone or review.findings)(job, plan, here)
    return in_order((*sound, _placed(Verdict.PASS, word, share), *_holes(plan, part), *said))


def _holes(plan: Plan, part: Part) -> Iterator[Finding]:
    """Yield a finding where a mesh has more or fewer through holes than were planned."""
    if part.genus != plan.genus:
        yield within(
            "solid.holes",
            float(part.genus),
            float(plan.genus),
            0.0,
            "through holes of the mesh",
            missed=Verdict.WARN,
            source="the plan's own",
            advice="look whether one was added, closed, or cut open to the edge, and whether that was meant",
        )


def _placed(verdict: Verdict, word: str, share: float | None) -> Finding:
    """Return the finding on how the mesh stands.

    Where its surface was laid on the plan's, `share` is the share of both that lies on the other.
    """
    failed = verdict is Verdict.FAIL
    return state(
        "placed",
        verdict,
        "place of the mesh on the panel" if failed else f"place of the mesh on the panel: {word}",
        limit=None if share is None else 100 * FITS,
        measured=None if share is None else 100 * share,
        unit="mm" if share is None else "%",
        source="print pose, panel frame, hole pattern or surface were tried",
        advice=f"{word}; nothing that depends on its place was checked",
    )


def _unsound(found: list[Finding] | tuple[Finding, ...]) -> bool:
    return any(finding.code in NEEDED and finding.verdict is Verdict.FAIL for finding in found)


def _unmeasured(what: str) -> Finding:
    source = "a surface that is not closed or faces inward has no inside to measure"
    advice = "repair the mesh as said above, then check again"
    return state("solid.unmeasured", Verdict.FAIL, f"{what} not checked", source=source, advice=advice)


def _bears(material: Material | None) -> Iterator[Finding]:
    """Yield the heat findings of every place, as warnings at most, since the part's place is not known."""
    for place in Temperatures.model_fields if material else ():
        found = heat_finding(material, place, Limits()) if material else None
        if found is not None:
            yield replace(found, verdict=Verdict.WARN) if found.verdict is Verdict.FAIL else found
