"""Assembly paths: the speaker into its seat, the trim over both, the tool to every screw."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate
from math import inf

from mounts.design.body import Ring, body_rings
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE
from mounts.geometry.frames import Frame, Vector
from mounts.geometry.outline import circle
from mounts.identity import BORE, SPEAKER_WAY, Ident, Role, called
from mounts.kinds.ring.clearances import gap_in_bore
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat, SpeakerScrew
from mounts.kinds.ring.trim import ring_bodies, speaker_bodies, trim_way_gap
from mounts.kinds.ring.values import RingPlan
from mounts.shape.primitives import Prism, Revolved, Section
from mounts.shape.recipe import Envelope

IN_FRONT = 60.0  # mm before the seat from where the speaker is put in
TOOL = 100.0  # mm of a screwdriver's shaft
BARELY = 0.06  # mm that a tool is drawn thinner than its path, so that lying against it is no interference


def path_envelopes(job: RingJob, plan: RingPlan) -> tuple[Envelope, ...]:
    """Return what the speaker sweeps on its way in, and the tools."""
    return (
        Envelope(SPEAKER_WAY, (Revolved(plan.seat.frame, tuple(reversed(swept_rings(job, plan.seat)))),)),
        *_tools(plan),
        *_drivers(job, plan),
    )


def path_gaps(job: RingJob, plan: RingPlan) -> Iterator[Gap]:
    """Yield the gaps of the speaker on its way through the bore, and of the trim on its way over all of it."""
    yield from insertion_gaps(job, plan.seat, plan.tower.inside)
    yield from trim_gaps(job, plan)


def trim_gaps(job: RingJob, plan: RingPlan) -> Iterator[Gap]:
    """Yield the gap of the trim on its way over the ring and the speaker, where it was measured."""
    trim = trim_way_gap(job, (*speaker_bodies(job, plan.seat), *ring_bodies(job, plan)))
    if trim is not None:
        yield trim


def insertion_gaps(job: RingJob, seat: RingSeat, inside: tuple[Section, ...]) -> Iterator[Gap]:
    """Yield the gap of the body to the bore on its way in; each place passes all that lies deeper."""
    limit = job.limits.passing
    gap = gap_in_bore(seat, swept_rings(job, seat), inside, ())
    if gap < inf:
        names = (SPEAKER_WAY, BORE)
        yield Gap("way.speaker", names, gap, limit, limit, PRACTICE, _point(seat.frame))


def swept_rings(job: RingJob, seat: RingSeat) -> tuple[Ring, ...]:
    """Return the rings that the body sweeps going in: each as wide as anything deeper, and on to the front."""
    rings = body_rings(job.speaker, seat.lift)
    widest = list(accumulate((across for _, across in reversed(rings)), max))[::-1]
    swept = [(level, across) for (level, _), across in zip(rings, widest, strict=True)]
    return ((seat.lift + IN_FRONT, swept[0][1]), *swept)


def _tools(plan: RingPlan) -> Iterator[Envelope]:
    for fixing in plan.fixings:
        shaft = Prism(circle(fixing.path - BARELY, fixing.at), fixing.seat + BARELY, fixing.seat + TOOL)
        yield Envelope(Ident(Role.TOOL, fixing.name), (shaft,))


def _drivers(job: RingJob, plan: RingPlan) -> Iterator[Envelope]:
    fixing = job.fix_speaker
    if fixing is None or fixing.screw is None:
        return
    across = fixing.screw.head_diameter + job.limits.tool_path - BARELY
    top = plan.seat.lift + job.speaker.flange.thickness
    for screw in plan.seat.screws:
        shaft = Prism(circle(across, screw.at), top + BARELY, top + TOOL, plan.seat.frame)
        yield Envelope(driver_ident(screw), (shaft,))


def driver_ident(screw: SpeakerScrew) -> Ident:
    """Return the identity of the tool to a speaker screw."""
    return called(Role.TOOL, f"driver {screw.name}")


def _point(frame: Frame) -> Vector:
    return frame.origin
