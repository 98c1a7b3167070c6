"""Findings on one half of a ring: of the assembled ring, of the half itself, and of the laps between the two."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import least_findings
from mounts.checks.printing.findings import printing_findings
from mounts.checks.printing.least_feature import manifold_of
from mounts.checks.printing.patches import Surface
from mounts.checks.ring.findings import mount_findings, ring_findings
from mounts.checks.ring.holes import WantedHole, hole_findings, read_in_mesh, wanted_in_ring
from mounts.checks.ring.laps import lap_findings
from mounts.design.fits import resolve
from mounts.errors import KernelError
from mounts.findings.compare import state
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import PANEL
from mounts.identity import LAP, Ident, Role, called
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.kinds.ring.halves.needs import FIT
from mounts.kinds.ring.halves.plan import half_pose
from mounts.kinds.ring.halves.values import Split
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.fits import Fits
from mounts.load.models.job_kinds import RingJob

OTHER = {"a": "b", "b": "a"}
AGREE = 0.02  # mm by which the gap may differ from its plan: sag of the triangles


def half_findings(job: RingJob, plan: RingPlan, part: Part, whole: Part) -> tuple[Finding, ...]:
    """Return all findings on a half; passes of the assembled ring are reported with half a only.

    Args:
        job: what was measured and wanted, for this half.
        plan: of the half, with its laps.
        part: the half, panel frame.
        whole: both halves as one, panel frame.
    """
    assert plan.split is not None
    together = mount_findings(job, replace(plan, half="", genus=plan.split.genus[2]), whole)
    return (
        *(one for one in together if plan.half == "a" or one.verdict is not Verdict.PASS),
        *lap_findings(job, plan, whole),
        *own_findings(job, plan, part),
    )


def own_findings(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return the findings on a half by itself: its holes, walls, gap to the other half, and printing.

    The arguments are those of `half_findings`.
    """
    assert plan.split is not None
    printing = printing_findings(
        part, job.printer, half_pose(plan), labels=plan.labels if plan.half == "a" else (), units=job.units
    )
    return (
        *_own_holes(job, plan, plan.split, part),
        *least_findings(Skin.of(part)),
        _gap(job, plan, plan.split, part),
        *(_helped(one, plan.half) for one in printing),
    )


def alone_findings(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a ring, or on half a ring those that need no other half.

    The arguments are those of `half_findings`.
    """
    if not plan.half:
        return ring_findings(job, plan, part)
    return (*own_findings(job, plan, part), _alone(plan))


def _alone(plan: RingPlan) -> Finding:
    what = f"clearances, screws and loads of the ring not checked: this is half {plan.half} alone"
    advice = "check a mesh of both halves joined to one solid against this job"
    return state("solid.unmeasured", Verdict.WARN, what, source="they are the assembled ring's", advice=advice)


def _own_holes(job: RingJob, plan: RingPlan, split: Split, part: Part) -> Iterator[Finding]:
    """Yield the half's own holes read back off its mesh: fixings, speaker screws, lap screws."""
    wanted = [*wanted_in_ring(plan, job.panel.fixings.points)]
    wanted += [
        WantedHole(
            Ident(Role.LAP_SCREW, screw.name), PANEL, screw.at, screw.thread if plan.half == "a" else screw.clear
        )
        for screw in split.screws
    ]
    here = [hole for hole in wanted if hole.ident in _features(part)]
    read = read_in_mesh(Surface(part), [PANEL, plan.seat.frame])
    yield from hole_findings(read, here, f"mesh of half {plan.half}")


def _features(part: Part) -> set[Ident]:
    """Return the features that a part shows."""
    return {part.features[index] for index in set(part.feature.tolist()) if index >= 0}


def _gap(job: RingJob, plan: RingPlan, split: Split, part: Part) -> Finding:
    """Return the gap measured between the two halves' meshes; it warns where the printer may close it."""
    other = mesh.build(draw_ring(replace(plan, half=OTHER[plan.half])).recipe, segments=512)
    one, two = manifold_of(part, part.vertices), manifold_of(other, other.vertices)
    if one is None or two is None:
        raise KernelError(f"part {plan.name}: a half is no closed mesh")
    measured = float(one.min_gap(two, 2.0))
    fit = resolve(FIT, split.long, Fits(), job.printer)
    wrong, tight = abs(measured - split.gap) > AGREE, fit.tightest < 0
    advice = "screw the halves together on a flat plate, with a bead of sealant in the laps"
    if tight:
        advice = f"the tongues may be tight: try them dry, and dress their faces with a file; then {advice}"
    return state(
        "fit.halves",
        Verdict.FAIL if wrong else Verdict.WARN if tight else Verdict.PASS,
        f"gap between the halves, fit {FIT}",
        split.gap,
        fit.tighter / 2,
        measured=measured,
        between=(called(Role.PART, "half a"), called(Role.PART, "half b")),
        source="fit word and the printer's error, two standard deviations",
        advice="the halves do not meet as planned; report it with the job's file" if wrong else advice,
        hint=advice,
    )


def _helped(found: Finding, half: str) -> Finding:
    """Return an overhang of the upper tongue with advice of its own."""
    if half == "b" and found.code == "print.overhang" and found.between == (LAP, LAP):
        return replace(found, advice="support it under both tongues; dress what the support leaves, it lies on half a")
    return found
