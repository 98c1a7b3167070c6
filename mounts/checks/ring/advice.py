"""The nearest height and tilt at which a clearance that is missed would be kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from mounts.errors import InputError
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.geometry.frames import tilted
from mounts.kinds.ring.fit import ring_gaps, speaker_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.values import RingPlan, Seat
from mounts.kinds.ring.way import way_gaps
from mounts.load.models.resolved import Job

FURTHEST = 40.0  # mm up or down, beyond which no one would go
FINE = 0.1  # mm and degrees
UNREAD = "the body was not measured and is taken as wide as the cutout: measure it, or: "
REPLANNED = ("clear.body-bore", "way.speaker")  # gaps to what itself changes with the height

KEYS = {
    "clear.body-bore": "take a speaker with a slimmer body, or a wider opening",
    "way.speaker": "take a speaker with a slimmer magnet, or a wider opening",
    "way.trim": "take less height, so that nothing reaches through the trim's opening, or open the trim",
    "clear.body-opening": "move the seat with seat_offset, take less tilt, or open the panel",
    "clear.terminals": "take another turn so that the terminals pass where the opening is widest",
}

HEADS = "take a screw with a lower head, or a thinner base or washer"


def advice_for(job: Job, plan: RingPlan, gap: Gap) -> str:
    """What would keep a missed clearance: another height, less tilt, with what else would then be missed."""
    unread = "" if job.speaker.body or "body" not in gap.between[0] + gap.code else UNREAD
    return unread + _what_would(job, plan, gap)


def _what_would(job: Job, plan: RingPlan, gap: Gap) -> str:
    if gap.code in REPLANNED:
        return _by_planning_anew(job, plan, gap)
    seat, (x, y, height) = plan.seat, plan.seat.frame.origin
    missing = gap.wanted - gap.gap
    one, other = gap.between
    lead = f"{missing:.1f} more is needed between {one} and {other}"

    def at_height(value: float) -> Seat:
        return replace(seat, frame=tilted((x, y, value), seat.tilt, seat.toward))

    def at_tilt(value: float) -> Seat:
        return replace(seat, tilt=value, frame=tilted((x, y, height), value, seat.toward))

    found = []
    up = _nearest(lambda step: _kept(job, at_height(height + step), gap))
    down = _nearest(lambda step: height - step >= plan.least_height and _kept(job, at_height(height - step), gap))
    for way, step in ((1, up), (-1, down)):
        if step is not None:
            value = height + way * step
            found.append(f"take a height of {value:.1f}{_but(job, at_height(value), gap)}")
    flatter = _nearest(lambda step: step <= seat.tilt and _kept(job, at_tilt(seat.tilt - step), gap))
    if flatter is not None:
        value = seat.tilt - flatter
        found.append(f"take a tilt of {value:.1f}{_but(job, at_tilt(value), gap)}")
    found.sort(key=len)
    last = HEADS if one.startswith("screw head") else KEYS.get(gap.code, "take another speaker")
    return f"{lead}: {', or '.join(found) or last}"


def _by_planning_anew(job: Job, plan: RingPlan, gap: Gap) -> str:
    """More height for a gap inside the ring, whose bore changes with it: doubled until it is kept, then halved back."""
    height, lead = plan.seat.frame.origin[2], f"{gap.wanted - gap.gap:.1f} more is needed"

    def kept(step: float) -> bool:
        try:
            taller = plan_ring(replace(job, height=round(height + step, 1), label=None))
        except InputError:
            return False
        found = [*ring_gaps(job, taller), *way_gaps(job, taller)]
        return all(g.verdict is Verdict.PASS for g in found if g.code == gap.code)

    high = next((float(2**k) for k in range(6) if kept(float(2**k))), None)
    if high is None:
        return f"{lead}: {KEYS[gap.code]}"
    low = high / 2 if high > 1 else 0.0
    while high - low > 0.5:
        middle = (low + high) / 2
        low, high = (low, middle) if kept(middle) else (middle, high)
    return f"{lead}: take a height of {height + high:.1f}, or {KEYS[gap.code].removeprefix('take ')}"


def _nearest(kept: Callable[[float], bool]) -> float | None:
    """Least step, to a tenth, at which something is kept; None when no step up to FURTHEST does."""
    coarse = next((step for step in range(1, int(FURTHEST) + 1) if kept(float(step))), None)
    if coarse is None:
        return None
    fine = [coarse - 1 + FINE * k for k in range(1, 11)]
    return next(step for step in fine if kept(round(step, 1)))


def _kept(job: Job, seat: Seat, gap: Gap) -> bool:
    """Whether every clearance of the gap's own kind between the same things is kept there."""
    same = [g for g in speaker_gaps(job, seat) if (g.code, g.between) == (gap.code, gap.between)]
    return bool(same) and all(g.verdict is Verdict.PASS for g in same)


def _but(job: Job, seat: Seat, gap: Gap) -> str:
    """What else would be missed there, told in words."""
    missed = {g.between for g in speaker_gaps(job, seat) if g.code != gap.code and g.verdict is not Verdict.PASS}
    pairs = " and ".join(f"{a} to {b}" for a, b in sorted(missed))
    return f" (but then {pairs} {'is' if len(missed) == 1 else 'are'} too near)" if missed else ""
