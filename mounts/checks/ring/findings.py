"""All findings on a printed ring, most frequent causes of a reprint first; and the access of a tool to its screws."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mounts.checks.assembly import Assembly, assemble, disagreements, measure_gaps, overlap_volume
from mounts.checks.fastening.bending import bending_findings
from mounts.checks.fastening.clamp import clamp_findings
from mounts.checks.fastening.loads import load_findings
from mounts.checks.fastening.screws import behind_gaps, screw_findings
from mounts.checks.fastening.washers import washer_findings
from mounts.checks.heat import heat_finding
from mounts.checks.listening import listening_findings
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import least_findings, wall_findings
from mounts.checks.panel import panel_findings
from mounts.checks.printing.findings import printing_findings
from mounts.checks.printing.patches import Surface
from mounts.checks.ring.advice import advise
from mounts.checks.ring.aim import aim_findings
from mounts.checks.ring.chances import chance_findings
from mounts.checks.ring.edges import edge_finding, touched_edges
from mounts.checks.ring.former_speaker import proven_findings
from mounts.checks.ring.holes import read_in_mesh
from mounts.checks.ring.readback import ring_readback
from mounts.checks.ring.seal import foam_findings, squeeze_findings
from mounts.checks.ring.shrink import shrink_finding
from mounts.checks.ring.sound import sound_findings
from mounts.findings.compare import at_most
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.frames import PANEL
from mounts.identity import MOUNT, Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.ring.aiming.drawn import as_planned
from mounts.kinds.ring.changes import with_change
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.halves.plan import split_advice
from mounts.kinds.ring.insertion import driver_ident, path_gaps
from mounts.kinds.ring.surroundings import surroundings
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob


def ring_findings(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a printed ring.

    Args:
        job: what was measured and wanted.
        plan: of the ring.
        part: in the panel frame, with the recipe's names on its features.
    """
    printing = printing_findings(part, job.printer, labels=plan.labels)
    return (*mount_findings(job, plan, part), *(_in_two(job, plan, one) for one in printing))


def mount_findings(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return the findings on a ring on its panel, printed in one or in two.

    The arguments are those of `ring_findings`.
    """
    skin, asked, job = Skin.of(part), job, as_planned(job, plan)
    found = (
        *aim_findings(job, plan.choice),
        *_fit(job, plan, part),
        *proven_findings(job, plan.seat),
        *panel_findings(job),
        *ring_readback(job, plan, part),
        shrink_finding(job, plan),
        *_fastening(job, plan, part),
        *squeeze_findings(job, plan),
        *foam_findings(job, plan),
        *sound_findings(job, plan),
        *listening_findings(job, plan.seat.frame),
        *([heat_finding(job.material, job.panel.place, job.limits)] if job.panel.place else []),
        *wall_findings(part, plan.walls, skin=skin),
        *least_findings(skin),
        edge_finding(touched_edges(plan)),
    )
    return with_change(asked, plan, found)


def _in_two(job: RingJob, plan: RingPlan, found: Finding) -> Finding:
    """Return the bed's finding with what two halves would do about it."""
    if found.code != "bed" or found.verdict is Verdict.PASS:
        return found
    return replace(found, advice="; ".join(filter(None, (found.advice, split_advice(job, plan)))))


def _fit(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return the findings of the virtual assembly: clearances, the way in, the tools."""
    assembly = assemble(part, surroundings(job, plan))
    gaps = measure_gaps(assembly, (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *path_gaps(job, plan)))
    found = [gap.finding(text) for gap, text in zip(gaps, advise(job, plan, gaps), strict=True)]
    read = read_in_mesh(Surface(part), [PANEL])
    chances = chance_findings(job, plan, (*gaps, *behind_gaps(job, plan)), read)
    return (*found, *disagreements(gaps), *chances, *access_findings(assembly, plan))


def _fastening(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return the findings on screws, washers, torque, and a slammed door's load on them."""
    return (
        *screw_findings(job, plan),
        *washer_findings(job, plan),
        *clamp_findings(job, plan),
        *load_findings(job, plan, part),
        *bending_findings(job, plan, part),
    )


def access_findings(assembly: Assembly, plan: RingPlan) -> Iterator[Finding]:
    """Yield the overlap of the straight tool to each screw with the finished mesh, which must be nothing."""
    for code, tools in (
        ("access.panel-screws", [Ident(Role.TOOL, fixing.name) for fixing in plan.fixings]),
        ("access.speaker-screws", [driver_ident(screw) for screw in plan.seat.screws]),
    ):
        for tool in tools:
            if tool in assembly.things:
                yield _reached(code, tool, overlap_volume(assembly, tool, MOUNT))


def _reached(code: str, tool: Ident, taken: float) -> Finding:
    what, advice = f"material of the mount in the way of {tool}", "take a smaller washer or head, or another turn"
    return at_most(code, 0.0, 0.0, what, measured=taken, between=(tool, MOUNT), source=PRACTICE, advice=advice)
