"""What a ring's plan says about the world, in the order in which reprints happen."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot, pi

import numpy as np

from mounts.checks.bed import bed
from mounts.checks.clearance import assembled, disagreements, measured
from mounts.checks.gap import Gap
from mounts.checks.heat import heat
from mounts.checks.report import Finding, Verdict
from mounts.design.body import body_rings
from mounts.design.fasteners import needed_hole
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL
from mounts.kernels.part import Part
from mounts.kinds.ring.advice import advice_for
from mounts.kinds.ring.fit import PRACTICE, ring_gaps, speaker_gaps, trim_plane
from mounts.kinds.ring.seal import foam_against_trim, squeezes
from mounts.kinds.ring.shape import highest
from mounts.kinds.ring.surroundings import surroundings
from mounts.kinds.ring.values import RingPlan
from mounts.kinds.ring.way import access, way_gaps
from mounts.load.models.resolved import Job

# the order in which reprints happen: what is first here is told first
ORDER = (
    *("clear.trim", "clear.grille", "clear.glass", "clear.thing", "clear.terminals", "pattern", "hole", "panel"),
    *("clear.body-opening", "clear.body-bore", "way", "hand", "clear.hardware", "base", "seat", "shrink", "access"),
    *("screw", "load", "seal", "sound", "heat", "wall", "edges", "print", "bed", "clear"),
)


def ring_findings(job: Job, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """All findings of a printed ring, in the order in which reprints happen."""
    assembly = assembled(part, surroundings(job, plan))
    gaps = measured(assembly, (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *way_gaps(job, plan)))
    found = [gap.finding(_advice(job, plan, gap)) for gap in gaps]
    found += [*disagreements(gaps), *access(assembly, plan)]
    found += [*_other_side(job), *_panel_holes(job), *_sound(job, plan)]
    found += [*squeezes(job, plan), *foam_against_trim(job, plan)]
    found += [wall.finding() for wall in plan.walls]
    if job.panel.place:
        found.append(heat(job.material, job.panel.place, job.limits))
    found.append(bed(plan.base.outline.points(0.1), highest(plan.tower), job.printer))
    return tuple(sorted(found, key=_rank))


def _rank(finding: Finding) -> int:
    """Place of a finding's code in the order; the most telling of several prefixes that fit counts."""
    fitting = [prefix for prefix in ORDER if finding.code.startswith(prefix)]
    return ORDER.index(max(fitting, key=len)) if fitting else len(ORDER)


def not_measured(job: Job) -> tuple[str, ...]:
    """Paths of the readings that a check would have used had they been taken."""
    panel, speaker = job.panel, job.speaker
    behind, front = panel.behind, panel.in_front
    given = {
        "panel.in_front.trim": front is not None and front.trim is not None,
        "panel.in_front.trim.opening": front is not None and front.trim is not None and front.trim.opening is not None,
        "panel.in_front.grille": front is not None and front.grille is not None,
        "panel.behind.glass": behind is not None and behind.glass is not None,
        "panel.behind.things": behind is not None and bool(behind.things),
        "panel.fixings.hole": panel.fixings.hole is not None,
        "panel.face.thickness": panel.face.thickness is not None,
        "panel.place": panel.place is not None,
        "speaker.body": bool(speaker.body),
        "speaker.terminals": bool(speaker.terminals),
        "speaker.front": speaker.front is not None,
        "speaker.piston": speaker.piston_diameter is not None,
        "speaker.mass": speaker.mass is not None,
    }
    return tuple(path for path, known in given.items() if not known)


def _advice(job: Job, plan: RingPlan, gap: Gap) -> str:
    return "" if gap.verdict is Verdict.PASS else advice_for(job, plan, gap)


def _other_side(job: Job) -> Iterator[Finding]:
    """Centre distances read on the other side against the pattern that is used there."""
    other = job.panel.other_side
    points = job.panel.fixings.points
    limit = 3 * 2**0.5 * job.uncertainty("holes")
    for pair, read in (other.check if other else {}).items():
        one, _, two = pair.partition("-")
        if one in points and two in points:
            apart = hypot(points[one][0] - points[two][0], points[one][1] - points[two][1])
            off = abs(apart - read)
            advice = f"{pair} read {read:g} there, {apart:.1f} here: measure that side by itself"
            yield Finding(
                code="pattern.other-side",
                verdict=Verdict.PASS if off <= limit else Verdict.FAIL,
                what=f"{pair} on the other side",
                closed_form=off,
                limit=limit,
                source="three standard deviations of the difference of two readings",
                advice="" if off <= limit else advice,
            )


def _panel_holes(job: Job) -> Iterator[Finding]:
    """The panel's holes and sheet against what the hardware needs."""
    item, panel = job.fix_to_panel.hardware, job.panel
    needed, hole = needed_hole(item), panel.fixings.hole
    if needed is not None and hole is not None:
        opens = hole < needed - 1e-9
        yield Finding(
            code="panel.hole",
            verdict=Verdict.WARN if opens else Verdict.PASS,
            what=f"panel hole for {item.name}",
            closed_form=hole,
            limit=needed,
            source=item.source or "the hardware's file",
            advice=f"open the panel's holes to {needed:g} +0.1/0; protect the edge against rust" if opens else "",
        )
    grip, sheet = getattr(item, "grip", None), panel.face.thickness
    if grip and sheet:
        held = grip[0] <= sheet <= grip[1]
        yield Finding(
            code="panel.grip",
            verdict=Verdict.PASS if held else Verdict.FAIL,
            what=f"sheet in the grip of {item.name}",
            closed_form=sheet,
            limit=grip[0] if sheet < grip[0] else grip[1],
            source=item.source or "the hardware's file",
            advice="" if held else f"{item.name} grips {grip[0]:g} to {grip[1]:g}; take another length",
        )


def _sound(job: Job, plan: RingPlan) -> Iterator[Finding]:
    """Room for the rear wave, and the share of the cone that the trim's opening shows."""
    piston, limits = job.speaker.piston_diameter, job.limits
    if piston is None:
        return
    magnet = body_rings(job.speaker, plan.seat.lift)[-1][1]
    share = 100 * (plan.tower.mouth.area - pi / 4 * magnet**2) / (pi / 4 * piston**2)
    yield _share(
        "sound.rear",
        "way for the rear wave, of the piston's area",
        share,
        limits.rear_area_pct,
        "the opening chokes the rear wave; take a speaker with a smaller magnet or a wider opening",
    )
    shown = _share_seen(job, plan, piston)
    if shown is not None:
        advice = "move the seat with seat_offset towards the trim's opening, or take less tilt"
        yield _share("sound.seen", "cone seen through the trim's opening", shown, limits.seen_pct, advice)


def _share(code: str, what: str, share: float, limit: float, advice: str) -> Finding:
    enough = share >= limit
    verdict = Verdict.PASS if enough else Verdict.WARN
    return Finding(code, verdict, what, None, share, limit, "%", source=PRACTICE, advice="" if enough else advice)


def _share_seen(job: Job, plan: RingPlan, piston: float) -> float | None:
    """Per cent of the cone's disc that the speaker's axis carries through the trim's opening; good to 0.3."""
    front, plane = job.panel.in_front, trim_plane(job.panel)
    if front is None or front.trim is None or front.trim.opening is None or plane is None:
        return None
    k = np.arange(4000) + 0.5
    around, away = np.pi * (1 + 5**0.5) * k, piston / 2 * np.sqrt(k / len(k))
    level = plan.seat.lift + (job.speaker.front.height if job.speaker.front else job.speaker.flange.thickness)
    disc = np.column_stack([away * np.cos(around), away * np.sin(around), np.full(len(k), level)])
    points, axis = plan.seat.frame.out(disc), np.asarray(plan.seat.frame.z)
    normal = np.asarray(plane.normal)
    lift = (plane.at * normal[2] - points @ normal) / float(axis @ normal)
    through = PANEL.into(points + lift[:, None] * axis)[:, :2] - np.asarray(front.trim.at)
    return 100 * float((depths(front.trim.opening.outline(), through) > 0).mean())
