"""The demo woofer level on its seat, where every clearance is a sum of heights or a difference of diameters.

The seat stands 22 over the face and the speaker on 1.2 of squeezed gasket and hard stops: the flange's underside at
23.2, its top at 27.2, screw heads (ISO 7380 M4, 2.2 high) at 29.4, surround at 29.2, cone at full travel at 34.2, the
magnet's rear 56 behind the flange at −32.8, the terminals' lower side 34 behind it at −10.8. No label, turn 0, and
nothing behind or in front but what a test puts there.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from mounts.findings.gap import Gap
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.insertion import path_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.job import AimAngles
from mounts.load.models.speaker import BodyStep
from mounts.load.models.surroundings import AtClock, Behind, InFront, Thing, Trim
from tests.idents import labels
from tests.kinds.ring.conftest import changed, jobs_of

FLANGE, HEADS, SURROUND, CONE = 27.2, 29.4, 29.2, 34.2
MAGNET, TERMINALS = 32.8, 10.8  # deep behind the face


@cache
def demo() -> RingJob:
    """The demo woofer on the front door, left side."""
    return jobs_of("linnet-woofer")[0]


def level(**more: Any) -> RingJob:
    """The demo level, with some readings changed."""
    bare = {"panel__behind": Behind(), "panel__in_front": InFront()}
    return changed(demo(), aim=AimAngles(), label=None, turn=0.0, **bare, **more)


def gaps_of(job: RingJob) -> Iterator[Gap]:
    """Every clearance of a printed ring by the plan."""
    plan = plan_ring(job)
    yield from speaker_gaps(job, plan.seat)
    yield from ring_gaps(job, plan)
    yield from path_gaps(job, plan)


def gap_of(job: RingJob, code: str, one: str, other: str) -> Gap:
    """The clearance of a code between two things."""
    return next(gap for gap in gaps_of(job) if (gap.code, labels(gap.between)) == (code, (one, other)))


def trim(height: float, across: float = 128.0, **more: Any) -> Trim:
    """A level trim with a round opening about the panel's origin."""
    return Trim.model_validate({"at_clock": height, "opening": {"round": across}, **more})


def all_round(distance: float) -> AtClock:
    """One reading for every clock direction."""
    return AtClock.model_validate(distance)


def body(*steps: tuple[float, float]) -> tuple[BodyStep, ...]:
    """A body's profile as (depth behind the flange, diameter)."""
    return tuple(BodyStep(depth=depth, across=across) for depth, across in steps)


def thing(depth: float, at: tuple[float, float], size: tuple[float, float], *, moving: bool) -> tuple[Thing, ...]:
    """One thing behind the panel, called rail."""
    return (Thing(what="rail", at=at, size=size, depth=depth, moving=moving),)
