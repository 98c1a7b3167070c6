"""The room in a place, told by a speaker that nobody sells: made for the opening, and grown until something is near."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from mounts.choosing.stand_in import NARROWER, SHALLOW, THICK, narrowed, stand_in
from mounts.choosing.trial import Place, Workshop, reason, trial_job
from mounts.design.body import Block
from mounts.design.measured import grille_plane
from mounts.design.room import gaps_of
from mounts.errors import InputError
from mounts.findings.gap import Gap
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import circle
from mounts.geometry.planes import disc_gap_below
from mounts.identity import FLANGE
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.seat import reach_behind
from mounts.kinds.ring.fit import speaker_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.trim import Standing, cover_rooms
from mounts.kinds.ring.values import RingPlan
from mounts.load.library import Library
from mounts.load.models.jobbase import Aim
from mounts.load.models.pins import PinPanel
from mounts.load.models.resolved import CupJob, Job
from mounts.load.models.speaker import BodyStep

MAGNETS = (60.0, 80.0, 100.0, 120.0)  # mm, diameters that woofers' magnets have: common practice
DOMES = (20.0, 28.0, 36.0)  # mm, diameters of tweeters' bodies: common practice
STRAIGHT = 15.0  # mm behind the seat that a body stays as wide as its cutout less 1
DEEP = 200.0  # mm, depth up to which is looked
WIDEST = 300.0  # mm: a flange of which no more is said
FINE = 0.2  # mm to which sizes are found


@dataclass(frozen=True, slots=True)
class Room:
    """What goes in at one tilt.

    Attributes:
        tilt: degrees.
        height: of the seat above the face, mm; None where no mount can be drawn.
        why: why not; "" where it can.
        body: diameter of a straight body that passes the opening, mm; None on pins.
        depths: of the magnet or body diameters, the greatest depth from the seat and what limits it; None where even a
            shallow one does not go in.
        flange: greatest diameter under trim and grille, mm; None where nothing limits it.
        front: greatest height above the seat with the cone at full travel, mm; None where no grille was measured.
    """

    tilt: float
    height: float | None
    why: str = ""
    body: float | None = None
    depths: tuple[tuple[float, tuple[float, str] | None], ...] = ()
    flange: float | None = None
    front: float | None = None


def rooms(library: Library, place: Place, workshop: Workshop, tilts: Sequence[float]) -> tuple[Room, ...]:
    """The room at each tilt."""
    if isinstance(place.panel, PinPanel):
        return tuple(_cup_room(library, place, workshop, tilt) for tilt in tilts)
    try:
        level = trial_job(library, place, stand_in(place.panel.opening.least - 4.0), workshop)
    except InputError as error:
        return tuple(Room(tilt, None, reason(error)) for tilt in tilts)
    assert isinstance(level, Job)
    return tuple(_ring_room(level, replace(level, aim=Aim(tilt, place.toward if tilt else 0.0))) for tilt in tilts)


def _ring_room(level: Job, job: Job) -> Room:
    """The room for a ring; where the stand-in is too wide once it is tilted, for a narrower one."""
    while True:
        try:
            plan = plan_ring(job)
            break
        except InputError as error:
            cutout = job.speaker.cutout.least - NARROWER
            if cutout < level.speaker.cutout.least / 2:
                return Room(job.aim.tilt, None, reason(error))
            job = replace(job, speaker=narrowed(job.speaker, cutout))
    bare = replace(job, panel=job.panel.model_copy(update={"in_front": None}))
    body = _body(bare, plan)
    magnets = [magnet for magnet in MAGNETS if magnet <= body]
    return Room(
        tilt=job.aim.tilt,
        height=plan.seat.frame.origin[2],
        body=body,
        depths=tuple((magnet, _depth(bare, plan, body, magnet)) for magnet in magnets),
        flange=_flange(job, plan),
        front=_front(job, plan),
    )


def _body(job: Job, plan: RingPlan) -> float:
    """Widest straight body, long enough to pass the sheet, that passes the opening."""
    depth = plan.seat.frame.origin[2] + SHALLOW

    def passes(across: float) -> bool:
        found = _gaps(job, plan, ((0.0, across), (depth, across)), depth)
        return all(gap.gap >= gap.wanted for gap in found if gap.code == "clear.body-opening")

    return _greatest(passes, 10.0, job.panel.opening.across) or 0.0


def _depth(job: Job, plan: RingPlan, body: float, magnet: float) -> tuple[float, str] | None:
    """Greatest depth with a magnet of a diameter, and what limits it."""

    def near(depth: float) -> list[Gap]:
        steps = ((0.0, body), (min(STRAIGHT, depth / 2), max(magnet, 0.8 * body)), (depth / 2, magnet), (depth, magnet))
        found = _gaps(job, plan, steps, depth)
        return [gap for gap in found if gap.code in ("clear.glass", "clear.thing") and gap.gap < gap.wanted]

    depth = _greatest(lambda tried: not near(tried), SHALLOW, DEEP)
    if depth is None:
        return None
    beyond = near(depth + 2 * FINE)
    return depth, min(beyond, key=lambda gap: gap.gap - gap.wanted).between[1].label if beyond else "nothing measured"


def _gaps(job: Job, plan: RingPlan, steps: Sequence[tuple[float, float]], depth: float) -> list[Gap]:
    """Gaps of a body of these steps, (depth, diameter), on the seat."""
    body = tuple(BodyStep(depth=level, across=across) for level, across in steps)
    return list(
        speaker_gaps(replace(job, speaker=job.speaker.model_copy(update={"body": body, "depth": depth})), plan.seat)
    )


def _flange(job: Job, plan: RingPlan) -> float | None:
    """Widest flange that keeps its distance to trim and grille."""
    top = plan.seat.frame.lifted(plan.seat.lift + THICK)

    def clears(across: float) -> bool:
        standing = Standing(FLANGE, Block(top, circle(across), THICK))
        return all(gap.gap >= gap.wanted for gap in gaps_of(cover_rooms(job, [standing]), PANEL))

    found = _greatest(clears, 20.0, WIDEST)
    return None if found is not None and found >= WIDEST - FINE else found or 0.0


def _front(job: Job, plan: RingPlan) -> float | None:
    """Height above the seat to which a cone 0.8 of the cutout wide may come at full travel."""
    plane, seat = grille_plane(job.panel), plan.seat
    if plane is None:
        return None
    across = 0.8 * job.speaker.cutout.least

    def clears(high: float) -> bool:
        x, y, z = (float(v) for v in seat.frame.out((0.0, 0.0, seat.lift + high)))
        return disc_gap_below(plane, (x, y, z), seat.frame.z, across)[0] >= job.limits.cone_to_grille

    return _greatest(clears, 0.0, DEEP) or 0.0


def _cup_room(library: Library, place: Place, workshop: Workshop, tilt: float) -> Room:
    """The room on pins, for a few bodies one after the other, each with its seat as near the grille as it can be."""
    found: list[tuple[float, tuple[float, str] | None]] = []
    heights, why = [], ""
    for across, job in _domes(library, place, workshop, tilt):
        if isinstance(job, str):
            found.append((across, None))
            why = why or job
            continue
        try:
            plan = plan_cup(job)
        except InputError as error:
            found.append((across, None))
            why = why or reason(error)
            continue
        frame = plan.seat.frame
        heights.append(frame.origin[2])
        left = job.panel.room - job.limits.fixed - reach_behind(job, frame)
        depth = int(10 * (job.speaker.depth + left / frame.z[2])) / 10
        found.append((across, (depth, "room")))
    if not heights:
        return Room(tilt, None, why)
    return Room(tilt, max(heights), depths=tuple(found))


def _domes(library: Library, place: Place, workshop: Workshop, tilt: float) -> Iterator[tuple[float, CupJob | str]]:
    for across in DOMES:
        try:
            job = trial_job(library, place, stand_in(across, dome=True), workshop)
        except InputError as error:
            yield across, reason(error)
            continue
        assert isinstance(job, CupJob)
        yield across, replace(job, aim=Aim(tilt, place.toward if tilt else 0.0))


def _greatest(holds: Callable[[float], bool], low: float, high: float) -> float | None:
    """The greatest value up to which something holds, rounded down to a tenth; None where it never does."""
    if not holds(low):
        return None
    if holds(high):
        return high
    while high - low > FINE / 2:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return int(low * 10) / 10
