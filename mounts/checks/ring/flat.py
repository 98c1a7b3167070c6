"""All findings on a ring cut from sheet, those that most often cause a reprint first."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.fastening.bending import bending_findings
from mounts.checks.fastening.clamp import clamp_findings
from mounts.checks.fastening.loads import load_findings
from mounts.checks.fastening.screws import behind_gaps, screw_findings
from mounts.checks.fastening.washers import washer_findings
from mounts.checks.heat import climate_findings
from mounts.checks.listening import listening_findings
from mounts.checks.panel import panel_findings
from mounts.checks.printing.patches import Surface
from mounts.checks.ring.chances import chance_findings
from mounts.checks.ring.edges import SHEET, edge_finding
from mounts.checks.ring.former_speaker import proven_findings
from mounts.checks.ring.holes import read_in_mesh
from mounts.checks.ring.readback import sheet_readback
from mounts.findings.compare import at_least, state
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.findings.wording import enough
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL
from mounts.identity import EDGE, Ident
from mounts.kernels.part import Part
from mounts.kinds.ring.base import fastening_of, recess_for
from mounts.kinds.ring.clearances import speaker_gaps
from mounts.kinds.ring.flat import WEB, cut_webs
from mounts.kinds.ring.values import FlatPlan
from mounts.load.models.job_kinds import RingJob


def flat_findings(job: RingJob, plan: FlatPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a ring cut from sheet."""
    gaps = tuple(speaker_gaps(job, plan.seat))
    found = [*planned_flat_findings(job, plan)]
    found += chance_findings(job, plan, (*gaps, *behind_gaps(job, plan)), read_in_mesh(Surface(part), [PANEL]))
    found += [*proven_findings(job, plan.seat), *panel_findings(job), *sheet_readback(job, plan, part)]
    found += [*screw_findings(job, plan), *washer_findings(job, plan), *clamp_findings(job, plan)]
    found += [*load_findings(job, plan, part), *bending_findings(job, plan, part)]
    found += [_web(one, other, web) for one, other, web in _webs(plan)]
    recess = recess_for(job, fastening_of(job))
    if recess:
        what = f"spot-face {recess.diameter:g} wide and {recess.depth:g} deep at the back of each fixing, by hand"
        advice = "without it the ring stands off the face on the hardware's flanges"
        found.append(state("flat.recess", Verdict.DO, what, source="the hardware's file", advice=advice))
    if job.panel.place:
        found += climate_findings(job.material, job.panel.place, job.limits)
    return (*found, *listening_findings(job, plan.seat.frame), edge_finding(SHEET))


def planned_flat_findings(job: RingJob, plan: FlatPlan) -> tuple[Finding, ...]:
    """Return the findings on the clearances of a ring cut from sheet, by its plan alone."""
    return tuple(gap.finding(_advice(gap)) for gap in speaker_gaps(job, plan.seat))


def _webs(plan: FlatPlan) -> Iterator[tuple[Ident, Ident, float]]:
    yield from cut_webs(plan.bore, plan.holes)
    for hole in plan.holes:
        yield hole.ident, EDGE, float(depths(plan.outline, [hole.at])[0]) - hole.diameter / 2


def _web(one: Ident, other: Ident, web: float) -> Finding:
    advice = "take another turn, or smaller hardware"
    return at_least("wall.web", web, WEB, f"{one} to {other}", between=(one, other), source=PRACTICE, advice=advice)


def _advice(gap: Gap) -> str:
    missing = gap.wanted - gap.gap
    return f"{enough(missing)} more is needed; take a thicker sheet, a thinner one, or another speaker"
