"""Room for the rear wave, and the share of the cone that the trim's opening shows."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

import numpy as np

from mounts.design.body import body_rings
from mounts.design.measured_planes import trim_plane
from mounts.findings.compare import at_least
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob


def sound_findings(job: RingJob, plan: RingPlan) -> Iterator[Finding]:
    """Yield the room for the rear wave, and the share of the cone that the trim's opening shows."""
    piston, limits = job.speaker.piston_diameter, job.limits
    if piston is None:
        return
    magnet = body_rings(job.speaker, plan.seat.lift)[-1][1]
    share = 100 * (plan.tower.mouth.area - pi / 4 * magnet**2) / (pi / 4 * piston**2)
    yield _share(
        "sound.rear",
        "air path behind the cone, of the cone's area",
        share,
        limits.rear_area_pct,
        "take a speaker with a smaller magnet, or widen the opening: it throttles the air behind the cone",
    )
    shown = _share_seen(job, plan, piston)
    if shown is not None:
        advice = "move the seat with seat_offset towards the trim's opening, or take less tilt"
        yield _share("sound.seen", "cone seen through the trim's opening", shown, limits.seen_pct, advice)


def _share(code: str, what: str, share: float, limit: float, advice: str) -> Finding:
    return at_least(code, share, limit, what, missed=Verdict.WARN, source=PRACTICE, advice=advice)


def _share_seen(job: RingJob, plan: RingPlan, piston: float) -> float | None:
    """Return the share of the cone that the axis carries through the trim's opening, per cent, good to 0.3."""
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
