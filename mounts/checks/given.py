"""What is said of a mesh file, whoever drew it: by itself, or as the ring that a job asks for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mounts.checks.heat import heat
from mounts.checks.mesh.naming import named_after
from mounts.checks.mesh.place import placed
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.soundness import mesh_findings
from mounts.checks.mesh.walls import LINES, mesh_wall_findings
from mounts.checks.order import in_order
from mounts.checks.ring.printed import ring_findings
from mounts.findings.report import Finding, Verdict
from mounts.kernels.part import Part
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.limits import Limits, Temperatures
from mounts.load.models.resolved import Job
from mounts.load.models.workshop import Material

NEEDED = ("solid.watertight", "solid.oriented")  # without these a mesh has no inside, and nothing else can be measured
PRINTED = "two lines of a 0.4 nozzle, as print guides have it; what a mount needs is told with its job"


def lone_findings(part: Part, material: Material | None = None) -> tuple[Finding, ...]:
    """What a mesh tells of itself: soundness, walls, and with a material the places whose heat it bears.

    Args:
        part: of a mesh file.
        material: that it is to be printed in.
    """
    skin = Skin.of(part)
    found = [*mesh_findings(part, skin), *_bears(material)]
    if _unsound(found):
        return in_order((*found, _unmeasured("walls are")))
    return in_order((*found, *mesh_wall_findings(part, LINES, PRINTED, skin=skin)))


def given_findings(job: Job, plan: RingPlan, planned: Part, part: Part) -> tuple[Finding, ...]:
    """What a mesh tells of itself and, where it can be set in its place, all that is said of a ring of ours.

    Args:
        job: that it is to serve.
        plan: of the ring that the job asks for.
        planned: that ring, by either kernel; its features give their names to the mesh's surfaces.
        part: of a mesh file, in its own frame.
    """
    sound = mesh_findings(part)
    if _unsound(sound):
        return in_order((*sound, _unmeasured("place, walls and clearances are")))
    transform, word = placed(part, plan)
    if transform is None:
        return in_order((*sound, _placed(Verdict.FAIL, word)))
    here = named_after(part, planned, transform)
    return in_order((*sound, _placed(Verdict.PASS, word), *ring_findings(job, plan, here)))


def _placed(verdict: Verdict, word: str) -> Finding:
    failed = verdict is Verdict.FAIL
    return Finding(
        code="placed",
        verdict=verdict,
        what="place of the mesh on the panel" if failed else f"place of the mesh on the panel: {word}",
        source="print pose, panel frame and hole pattern were tried",
        advice=f"{word}; nothing that depends on its place was checked" if failed else "",
    )


def _unsound(found: list[Finding] | tuple[Finding, ...]) -> bool:
    return any(finding.code in NEEDED and finding.verdict is Verdict.FAIL for finding in found)


def _unmeasured(what: str) -> Finding:
    return Finding(
        code="solid.unmeasured",
        verdict=Verdict.FAIL,
        what=f"{what} not checked",
        source="a surface that is not closed or faces inward has no inside to measure",
        advice="repair the mesh as said above, then check again",
    )


def _bears(material: Material | None) -> Iterator[Finding]:
    """Heat of every place, which can only warn: where the part goes is not known."""
    for place in Temperatures.model_fields if material else ():
        found = heat(material, place, Limits()) if material else None
        if found is not None:
            yield replace(found, verdict=Verdict.WARN) if found.verdict is Verdict.FAIL else found
