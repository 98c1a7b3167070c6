"""Nearest height and tilt at which a missed clearance would be kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np

from mounts.design.clearances import SpeakerRoom, gaps_of
from mounts.errors import MountsError
from mounts.findings.compare import SEARCHED
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.geometry.frames import Frame, Frames, tilt_frame
from mounts.identity import BODY, Role
from mounts.kinds.ring.clearances import bore_gaps
from mounts.kinds.ring.insertion import insertion_gaps
from mounts.kinds.ring.plan import core_of, plan_ring
from mounts.kinds.ring.seat_clearances import speaker_rooms
from mounts.kinds.ring.values import RingPlan
from mounts.lengths import Units
from mounts.load.models.job_kinds import RingJob

FURTHEST = 40.0  # mm up or down, beyond which no one would go
FINE = 0.1  # mm and degrees
AT_ONCE = 10  # steps that are looked at together
UNREAD = "measure the body, which is taken as wide as the cutout; or else: "
REPLANNED = ("clear.body-bore", "way.speaker")  # gaps to what itself changes with the height

KEYS = {
    "clear.body-bore": "take a speaker with a slimmer body, or a wider opening",
    "way.speaker": "take a speaker with a slimmer magnet, or a wider opening",
    "way.trim": "take less height, so that nothing reaches through the trim's opening, or open the trim",
    "clear.body-opening": "move the seat with seat_offset, take less tilt, or open the panel",
    "clear.terminals": "take another turn so that the terminals pass where the opening is widest",
    "bed": "take a larger printer, or less tilt",
}

HEADS = "take a screw with a lower head, or a thinner base or washer"


def advise(job: RingJob, plan: RingPlan, gaps: Iterable[Gap]) -> tuple[str, ...]:
    """Return what would keep each clearance that is missed; empty for one that is kept.

    It is another height, or less tilt, with what else would then be missed.
    """
    rooms, taller = speaker_rooms(job, plan.seat), dict[str, float | None]()
    told = []
    for gap in gaps:
        if gap.verdict is Verdict.PASS:
            told.append("")
            continue
        if gap.code in REPLANNED and gap.code not in taller:
            taller[gap.code] = _taller(job, plan, gap.code)
        what = (
            _inside(plan, gap, taller[gap.code], job.units)
            if gap.code in REPLANNED
            else _outside(plan, gap, rooms, job.units)
        )
        told.append(what if job.speaker.body or gap.between[0] != BODY else UNREAD + what)
    return tuple(told)


def _outside(plan: RingPlan, gap: Gap, rooms: Sequence[SpeakerRoom], units: Units) -> str:
    """Return the nearest heights and tilt for a gap that depends on the seat's place alone."""
    seat, (x, y, height) = plan.seat, plan.seat.frame.origin
    one, other = gap.between
    lead = f"{units.at_least(gap.wanted - gap.gap)} more is needed between {one} and {other}"
    same = [room for room in rooms if room.code == gap.code and gap.between in room.between]

    def at_height(value: float) -> Frame:
        return tilt_frame((x, y, value), seat.tilt, seat.toward)

    def at_tilt(value: float) -> Frame:
        return tilt_frame((x, y, height), value, seat.toward)

    ways: tuple[tuple[str, Callable[[float], Frame], float, int, float], ...] = (
        ("take a height of", at_height, height, 1, FURTHEST),
        ("take a height of", at_height, height, -1, height - plan.least_height),
        ("take a tilt of", at_tilt, seat.tilt, -1, seat.tilt),
    )
    found = []
    for words, frame_at, now, way, most in ways:
        step = _nearest(lambda steps: _kept(same, gap, [frame_at(now + way * s) for s in steps]), most)  # noqa: B023
        if step is not None:
            value = now + way * step
            shown = f"{value:.1f}" if frame_at is at_tilt else units.key(value, up=way > 0)
            found.append(f"{words} {shown}{_but(rooms, frame_at(value), gap)}")
    found.sort(key=len)
    last = HEADS if one.role is Role.HEAD else KEYS.get(gap.code, "take another speaker")
    return f"{lead}: {', or '.join(found) or last}"


def _inside(plan: RingPlan, gap: Gap, more: float | None, units: Units) -> str:
    lead = f"{units.at_least(gap.wanted - gap.gap)} more is needed"
    if more is None:
        return f"{lead}: {KEYS[gap.code]}"
    height = plan.seat.frame.origin[2] + more
    return f"{lead}: take a height of {units.key(height, up=True)}, or {KEYS[gap.code].removeprefix('take ')}"


def _taller(job: RingJob, plan: RingPlan, code: str) -> float | None:
    """Return how much more height keeps gaps inside the ring, whose bore changes with it; None where none does.

    The step is doubled until they are kept, then bisected. The bore is drawn first; the rest of the ring, which may be
    refused, only where the speaker is clear of that.
    """
    height = plan.seat.frame.origin[2]

    def kept(step: float) -> bool:
        there = replace(job, height=round(height + step, 1), label=None)
        try:
            core = core_of(there)
            gaps = insertion_gaps if code == "way.speaker" else bore_gaps
            clear = all(gap.verdict is Verdict.PASS for gap in gaps(there, core.seat, core.tower.inside))
            return clear and plan_ring(there) is not None
        except MountsError:
            return False

    high = next((float(2**k) for k in range(6) if kept(float(2**k))), None)
    if high is None:
        return None
    low = high / 2 if high > 1 else 0.0
    while high - low > 0.5:
        middle = (low + high) / 2
        low, high = (low, middle) if kept(middle) else (middle, high)
    return high


def _nearest(kept: Callable[[Sequence[float]], Sequence[bool]], most: float) -> float | None:
    """Return the least step, to 0.1, at which something is kept; None when no step up to `most` or FURTHEST does."""
    coarse = [float(step) for step in range(1, int(FURTHEST) + 1) if step <= most]
    for first in range(0, len(coarse), AT_ONCE):
        steps = coarse[first : first + AT_ONCE]
        found = next((step for step, good in zip(steps, kept(steps), strict=True) if good), None)
        if found is not None:
            fine = [found - 1 + FINE * k for k in range(1, 11)]
            return next(step for step, good in zip(fine, kept([round(s, 1) for s in fine]), strict=True) if good)
    return None


def _kept(same: Sequence[SpeakerRoom], gap: Gap, seats: Sequence[Frame]) -> Sequence[bool]:
    """Return on which seats every clearance of the gap's own kind between the same things is kept."""
    kept = np.full(len(seats), bool(same))
    for room in same:
        values = room.measure(Frames.of(*seats)).values
        rows = [k for k, pair in enumerate(room.pairs(values.shape[1])) if pair == gap.between]
        kept &= values[:, rows].min(axis=1) >= max(room.wanted, room.least) - SEARCHED
    return [bool(one) for one in kept]


def _but(rooms: Iterable[SpeakerRoom], seat: Frame, gap: Gap) -> str:
    """Return what else would be missed there, in words."""
    missed = {g.between for g in gaps_of(rooms, seat) if g.code != gap.code and g.verdict is not Verdict.PASS}
    pairs = " and ".join(f"{a} to {b}" for a, b in sorted(missed, key=lambda pair: [str(one) for one in pair]))
    return f" (but then {pairs} {'is' if len(missed) == 1 else 'are'} too near)" if missed else ""
