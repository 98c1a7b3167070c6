"""Load of a slammed door on pins, heads, plate and screws."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from mounts.design.loads import IN_LINE, REPEATED, shear_off, shock, worst_tensions
from mounts.findings.compare import at_least, at_most
from mounts.findings.report import Finding
from mounts.geometry.frames import Vector
from mounts.geometry.ties import first_most
from mounts.kernels.part import Part
from mounts.kinds.cup.values import CupPlan
from mounts.load.models.job_kinds import CupJob

# MPa: a moulded pin of unknown plastic, weaker than the values usually given for PP and ABS; common practice, no source
PIN = 20.0
SLAM = "shock of {:g} m/s² (ISO 16750-3, doors and flaps), 1.77 for an undamped part"


def load_findings(job: CupJob, plan: CupPlan, part: Part) -> Iterator[Finding]:
    """Yield pins in tension, plate sheared under the heads, screws in the seat; nothing without a mass."""
    if job.speaker.mass is None:
        return
    own = part.volume * 1e-9 * job.material.density
    force = shock(job.speaker.mass + own, job.limits.slam)
    tensions = _tensions(plan, _middle(job, plan, part, own), force)
    source = SLAM.format(job.limits.slam)
    worst = first_most(tensions)
    stake, tension = plan.stakes[worst], float(tensions[worst])
    pin = job.panel.pins[stake.name]
    stress, borne = tension / pin.section, PIN * REPEATED
    yield at_most(
        "load.pin",
        stress,
        borne,
        f"pin {stake.name} in tension when the door is slammed",
        at=(*stake.at, -stake.seat),
        source=f"{source}; a moulded pin bears {PIN:g} MPa once, no source",
        advice="use more of the pins, or a lighter tweeter",
    )
    strength = job.material.strength_mpa * job.material.across_layers * REPEATED
    yield at_least(
        "load.plate",
        shear_off(stake.head.diameter, stake.seat, strength),
        tension,
        f"what the plate under head {stake.name} bears",
        at=(*stake.at, -stake.seat),
        source=f"{source}; shear across layers, again and again",
        advice="take a wider head or a thicker plate",
    )
    yield from _screws(job, plan, strength, source)


def _middle(job: CupJob, plan: CupPlan, part: Part, own: float) -> Vector:
    """Return the centre of mass of tweeter and cup; the tweeter's is half way down its depth."""
    assert job.speaker.mass is not None
    tweeter = plan.seat.frame.out((0.0, 0.0, -job.speaker.depth / 2))
    x, y, z = (job.speaker.mass * tweeter + own * part.centroid) / (job.speaker.mass + own)
    return (float(x), float(y), float(z))


def _tensions(plan: CupPlan, at: Vector, force: float) -> np.ndarray:
    """Return the greatest tension in each pin over all directions of the force, (n,) N."""
    points = np.array([stake.at for stake in plan.stakes])
    away = points - points.mean(axis=0)
    straight = len(points) == 2 or np.linalg.svd(away)[1][-1] ** 2 <= len(points) * IN_LINE**2
    lever = None
    if straight:
        across = np.linalg.svd(away)[2][-1]
        rim = np.array(plan.outline.points(0.05)) @ across - points.mean(axis=0) @ across
        lever = float(min(rim.max(), -rim.min()))
    return worst_tensions(points, at, force, lever)


def _screws(job: CupJob, plan: CupPlan, strength: float, source: str) -> Iterator[Finding]:
    """Yield the pull-out of the flange's screws from the seat."""
    if not plan.seat.screws or job.fix_speaker is None or job.speaker.mass is None:
        return
    item = job.fix_speaker.hardware
    depth = plan.seat.screws[0].depth
    grip = item.grip(depth, item.thread_in(depth).engages)
    if grip is None:
        return
    yield at_least(
        "load.screw",
        shear_off(grip.across, grip.long, strength),
        shock(job.speaker.mass, job.limits.slam) / len(plan.seat.screws),
        "what each screw of the flange holds",
        source=f"{source}; the plastic sheared off round the thread",
        advice="take longer or thicker screws",
    )
