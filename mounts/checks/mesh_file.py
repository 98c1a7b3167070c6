"""Findings on a mesh file, whoever drew it: by itself, or as the part that a job asks for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from mounts.checks.heat import heat_finding
from mounts.checks.mesh.naming import LOOKS, WIDER, name_features
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.soundness import mesh_findings
from mounts.checks.mesh.surface_fit import FITS, fit_surface
from mounts.checks.mesh.walls import LINES, mesh_wall_findings
from mounts.findings.compare import state, within
from mounts.findings.report import Finding, Verdict, in_order
from mounts.kernels.part import Part
from mounts.kinds.kind import Plan, Planned
from mounts.load.models.limits import Limits, Temperatures
from mounts.load.models.workshop import Material

NEEDED = ("solid.watertight", "solid.oriented")  # without these a mesh has no inside, and nothing else can be measured
PRINTED = "two lines of a 0.4 nozzle, as print guides have it; what a mount needs, its job says"


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
