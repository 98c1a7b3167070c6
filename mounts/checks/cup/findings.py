"""All findings on a printed cup."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from mounts.checks.assembly import assemble, disagreements, measure_gaps
from mounts.checks.chances import Remedy, clear_findings
from mounts.checks.cup.loads import load_findings
from mounts.checks.cup.press import press_findings
from mounts.checks.cup.readback import cup_readback
from mounts.checks.cup.staking import stake_findings
from mounts.checks.heat import heat_finding
from mounts.checks.listening import listening_findings
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import wall_findings
from mounts.checks.printing.findings import printing_findings
from mounts.checks.printing.growth import growth_finding
from mounts.findings.compare import at_least, state
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.findings.wording import enough, tenth_up
from mounts.geometry.distance import depths
from mounts.identity import REAR_FACE, ROOM_END, Ident
from mounts.kernels.part import Part
from mounts.kinds.cup.clearances import cup_gaps
from mounts.kinds.cup.plan import cup_pose
from mounts.kinds.cup.surroundings import surroundings
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.cup.way import FLANGE_WAY, OPENING_WAY, PLUG_WAY, way_envelopes
from mounts.load.models.job_kinds import CupJob

WITH_CUP = "it goes into the cup before that is staked, and comes out only with it: see the work steps"
ALONE = "clear.body-bore"  # between the ribs, which bite into the body as they should


def cup_findings(job: CupJob, plan: CupPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a printed cup.

    Args:
        job: what was measured and wanted.
        plan: of the cup.
        part: in the panel frame, with the recipe's names on its features.
    """
    return (
        *_fit(job, plan, part),
        growth_finding(job.printer, job.material, job.printer.growth(job.material.name)),
        *stake_findings(job, plan),
        *press_findings(job, plan),
        *cup_readback(plan, part),
        *load_findings(job, plan, part),
        *_comes_out(job, plan),
        *_seen(job, plan),
        *listening_findings(job, plan.seat.frame),
        *([heat_finding(job.material, job.panel.place, job.limits)] if job.panel.place else []),
        *wall_findings(part, plan.walls, skin=Skin.of(part)),
        *printing_findings(part, job.printer, cup_pose(plan), labels=plan.labels),
    )


def _fit(job: CupJob, plan: CupPlan, part: Part) -> tuple[Finding, ...]:
    """Return the clearances of the virtual assembly."""
    gaps = tuple(cup_gaps(job, plan))
    apart = [gap for gap in gaps if gap.code != ALONE]
    found = measure_gaps(assemble(part, (*surroundings(job, plan), *way_envelopes(job, plan))), apart)
    told = [*found, *(gap for gap in gaps if gap.code == ALONE)]
    chances = clear_findings(gaps, lambda gap: _rests(job, gap), job.sure, plan.chance, lambda: _finer(job))
    return (*(gap.finding(_advice(job, plan, gap)) for gap in told), *disagreements(found), *chances)


def _rests(job: CupJob, gap: Gap) -> Mapping[Ident, float]:
    """Return the readings that a gap rests on, one of its own each; the rear face is the face and is never off."""
    read = gap.between[1]
    label = "the room behind" if read == ROOM_END else f"the {read}"
    return {replace(read, label=label): gap.sd} if gap.sd and read != REAR_FACE else {}


def _finer(job: CupJob) -> Remedy:
    return Remedy("measure the pins again, more finely", 1.0)


def _advice(job: CupJob, plan: CupPlan, gap: Gap) -> str:
    """Return the nearest value that would keep a clearance."""
    missing = gap.wanted - gap.gap
    height = plan.seat.frame.origin[2]
    if gap.code == "clear.grille":
        return f"take height: {-tenth_up(missing - height):.1f}, or best"
    if gap.code == "clear.room":
        up = f"take height: {tenth_up(height + missing):.1f}" if job.height != "best" else "take less tilt"
        return f"{up}, or a tweeter {enough(missing)} less deep"
    if gap.code == "clear.standing":
        return f"cut it down by {enough(missing)}, or move the seat away with seat_offset"
    if gap.between == (FLANGE_WAY, OPENING_WAY):
        return f"{WITH_CUP}; a flange {tenth_up(2 * missing):.1f} narrower could come out there"
    if gap.between[0] == PLUG_WAY:
        return "put the plugs on from behind once the tweeter is in, and see that its bare tags pass"
    return f"{enough(missing)} more is needed"


def _comes_out(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Yield that a tweeter behind a grille that does not come off is there for as long as the cup."""
    grille = job.panel.grille
    if grille is not None and grille.cover == "fixed":
        what = "the tweeter's way out through the grille, which is fixed"
        yield state("way.tweeter", Verdict.WARN, what, source=PRACTICE, advice=WITH_CUP)


def _seen(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Yield the share of the dome that the grille's aperture shows along the tweeter's axis."""
    grille, piston, front = job.panel.grille, job.speaker.piston_diameter, job.speaker.front
    if grille is None or piston is None or front is None:
        return
    ring = (np.arange(20) + 0.5) ** 0.5 / 20**0.5 * piston / 2
    turn = np.radians(np.arange(0, 360, 5))
    x, y = (np.outer(ring, wave(turn)).ravel() for wave in (np.cos, np.sin))
    dome = plan.seat.frame.out(np.column_stack([x, y, np.full(len(x), front.height)]))
    axis = np.asarray(plan.seat.frame.z)
    passes = dome + ((grille.height - dome[:, 2]) / axis[2])[:, None] * axis
    shown = 100 * float((depths(grille.outline(), passes[:, :2] - np.asarray(grille.at)) > 0).mean())
    what = "share of the dome that the grille shows along the tweeter's axis"
    advice = "move the seat against the tilt with seat_offset, or tilt less"
    yield at_least("sound.seen", shown, job.limits.seen_pct, what, missed=Verdict.WARN, source=PRACTICE, advice=advice)
