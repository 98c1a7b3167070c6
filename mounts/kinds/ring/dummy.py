r"""Plan of a ring's dummy: thin walls at the ends of mount and speaker, to wind the window and close the trim on.

It comes in two halves that both stand flat on the bed, parted at the panel's face, so that neither needs support:

      ____  ring of the cone at full travel      front: printed as it stands
     | || |  flange, screw heads, tower, base
    _|_||_|_ arms _____ rim of the base
    =========  face, z = 0  =======  the halves are screwed together here, through the opening
      \  /   body, magnet, terminals             rear: printed upside down
       ||

Convex things (glass, trim, a rail) meet a body at its convex hull: so the hull of both
halves is that of mount and speaker.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, sqrt

from mounts.design.body import BodyBlock, Ring, body_rings, screw_head, terminal_block
from mounts.errors import InputError
from mounts.geometry.distance import inset_outline, least_clearance
from mounts.geometry.frames import PANEL, Frame, clock_to_angle, clock_vector
from mounts.geometry.hull import hull, match_spans
from mounts.geometry.outline import Outline, Point, circle, offset_outline, rectangle
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Base, Fixing, base_profile
from mounts.kinds.ring.values import RingPlan
from mounts.shape.primitives import Section

LINES = 2.16  # of the nozzle in a wall: two, and enough over that a leaning one keeps them
ARM, ARM_TALL = 5.0, 1.6  # mm, width of the arms on the bed, and their least height
POST = 4.0  # mm, diameter of what carries a screw head
BITE = 0.3  # mm by which a terminal goes into the body's wall
BOLT, BOLT_SHARE = 3.4, 0.55  # mm, holes by which the halves are screwed together (M3), and where along the arms
KEPT = 1.2  # mm of an arm over a bead or a step of the face


@dataclass(frozen=True, slots=True)
class Post:
    """Support of a speaker screw's head: its frame at the screw, the level of the head's top, its diameter, mm."""

    frame: Frame
    top: float
    head: float


@dataclass(frozen=True, slots=True)
class Dummy:
    """Both halves of a dummy, every dimension decided.

    Attributes:
        name: of the ring.
        wall: thickness of the thin walls.
        arm: height of the arms on the bed.
        arms: of those in front, where they begin and end.
        feet: the ends of those behind.
        middle: where the speaker's axis meets the face, from which they run.
        bolts: where the halves are screwed together; none where there is no rear half.
        rim: sections of the base's wall, up outside with its broken edges and down inside.
        feet_of: fixings with the diameter of what bears under their screws.
        shell: sections of the tower's wall, up outside and down inside.
        flange: outline, what it leaves free, and its levels over the seat; None under a rim.
        cone: diameter and level of the cone at full travel; None where either was not measured.
        posts: of the speaker's screw heads.
        seat: frame of the seat.
        body: profile of the body behind, up outside and down inside; empty where the body ends before the face.
        blocks: what of the terminals stands out of it.
        plan: of the ring, for what is cut.
    """

    name: str
    wall: float
    arm: float
    arms: tuple[tuple[Point, Point], ...]
    feet: tuple[Point, ...]
    middle: Point
    bolts: tuple[Point, ...]
    rim: tuple[Section, ...]
    feet_of: tuple[tuple[Fixing, float], ...]
    shell: tuple[Section, ...]
    flange: tuple[Outline, Outline, float, float] | None
    cone: Ring | None
    posts: tuple[Post, ...]
    seat: Frame
    body: tuple[Ring, ...]
    blocks: tuple[BodyBlock, ...]
    plan: RingPlan


def plan_dummy(job: RingJob, plan: RingPlan) -> Dummy:
    """Plan the dummy of a ring.

    Raises:
        InputError: where the base or the tower is too narrow for a wall of its own.
    """
    wall, seat = LINES * job.printer.nozzle, plan.seat
    middle = project_to_face(seat.frame, (0.0, 0.0))
    posts = tuple(_posts(job, plan))
    ends, cone = [fixing.at for fixing in plan.fixings], _cone(job, plan)
    front = [(middle, _to_rim(plan.base.outline, middle, at, wall)) for at in ends]
    near = max(0.0, cone[1] / 2 - ARM) if cone else 0.0
    front += [
        (_toward(middle, foot, near), foot) for foot in (project_to_face(post.frame, (0.0, 0.0)) for post in posts)
    ]
    body = tuple(reversed(body_rings(job.speaker, seat.lift)))
    is_behind = float(seat.frame.out((0.0, 0.0, body[0][0]))[2]) < -2 * ARM_TALL
    feet = tuple(_to_wall(seat.frame, body, at, middle, wall) for at in ends) if is_behind else ()
    try:
        rim = _rim(plan.base, wall)
        shell = _shell(plan, wall)
    except ValueError as error:
        what = f"no dummy: {error}; it needs walls of {job.units(wall)}: make the first-check slice instead"
        raise InputError(job.problem("make", what)) from error
    return Dummy(
        name=plan.name,
        wall=wall,
        arm=max(ARM_TALL, *(step.height + KEPT for step in plan.base.steps), _bead(plan)),
        arms=tuple(front),
        feet=feet,
        middle=middle,
        bolts=tuple(_between(middle, foot, BOLT_SHARE) for foot in feet[:2]),
        rim=rim,
        feet_of=tuple((fixing, _foot(fixing, wall)) for fixing in plan.fixings),
        shell=shell,
        flange=_flange(job, plan, wall),
        cone=cone,
        posts=posts,
        seat=seat.frame,
        body=_walled(body, wall) if is_behind else (),
        blocks=tuple(_blocks(job, plan, body)) if is_behind else (),
        plan=plan,
    )


def _rim(base: Base, wall: float) -> tuple[Section, ...]:
    """Return the base's edge as a wall that follows its broken edges."""
    levels = [(z, offset_outline(base.outline, by)) for z, by in base_profile(base)]
    levels += [(z, inset_outline(base.outline, wall - by)) for z, by in reversed(base_profile(base))]
    outlines = match_spans(*(outline for _, outline in levels))
    return tuple(Section(PANEL.lifted(z), outline) for (z, _), outline in zip(levels, outlines, strict=True))


def project_to_face(frame: Frame, at: Point) -> Point:
    """Return where the line along a frame's z through a point of its plane meets the panel's face."""
    x, y, z = (float(value) for value in frame.out((*at, 0.0)))
    dx, dy, dz = frame.z
    return (x - z * dx / dz, y - z * dy / dz)


def _bead(plan: RingPlan) -> float:
    return plan.base.bead.depth + KEPT if plan.base.bead else 0.0


def _cone(job: RingJob, plan: RingPlan) -> Ring | None:
    front, piston = job.speaker.front, job.speaker.piston_diameter
    if front is None or piston is None:
        return None
    return (plan.seat.lift + front.height + front.travel, piston)


def _posts(job: RingJob, plan: RingPlan) -> Iterator[Post]:
    head = screw_head(job.speaker, plan.seat.lift, job.fix_speaker)
    if head is None or plan.seat.rim > head[0]:
        return
    for screw in plan.seat.screws:
        yield Post(plan.seat.frame.shifted(*screw.at), head[0], head[1])


def _foot(fixing: Fixing, wall: float) -> float:
    """Return the diameter of what bears under a panel screw: its washer, or the wall round a recess."""
    recess = fixing.recess.diameter + 2 * wall if fixing.recess else 0.0
    return min(max(fixing.washer, recess), fixing.disc - 0.1)


def _shell(plan: RingPlan, wall: float) -> tuple[Section, ...]:
    """Return the tower's outside from the bed to its top and back down inside, thicker under the flange."""
    seat, outer = plan.seat, plan.tower.outside
    more = 0.0 if seat.let_in else max(0.0, least_clearance(seat.flange, seat.outline)[0]) + 0.1
    below = Section(seat.frame.lifted(-min(more + 1.0, seat.band / 2)), seat.outline)
    ways = (Section(PANEL, plan.tower.foot), *outer[:2], below, *outer[2:])
    upright = [plan.tower.foot, plan.tower.foot, seat.outline, seat.outline]
    top = plan.collar.outside if plan.collar else seat.outline
    inner = [inset_outline(outline, wall) for outline in upright]
    inner += [inset_outline(seat.outline, more + wall), inset_outline(top, more + wall)]
    whole = match_spans(*(section.outline for section in ways), *inner)
    outside = [Section(way.frame, outline) for way, outline in zip(ways, whole[: len(ways)], strict=True)]
    inside = [Section(way.frame, outline) for way, outline in zip(ways, whole[len(ways) :], strict=True)]
    return (*outside, *reversed(inside))


def _flange(job: RingJob, plan: RingPlan, wall: float) -> tuple[Outline, Outline, float, float] | None:
    seat = plan.seat
    if seat.let_in:
        return None
    return (
        seat.flange,
        inset_outline(seat.flange, wall + 0.2),
        -seat.edge - 1.0,
        seat.lift + job.speaker.flange.thickness,
    )


def _to_rim(outline: Outline, middle: Point, at: Point, wall: float) -> Point:
    """Return the end of an arm that runs through a fixing: in the middle of the rim's wall."""
    low, high = 0.0, 1000.0
    for _ in range(50):
        far = (low + high) / 2
        inside = outline.depth(_toward(middle, at, far)) > wall / 2
        low, high = (far, high) if inside else (low, far)
    return _toward(middle, at, low)


def _toward(start: Point, at: Point, far: float) -> Point:
    """Return the point `far` mm from a start in the direction of another."""
    away = hypot(at[0] - start[0], at[1] - start[1])
    return _between(start, at, far / away)


def _to_wall(frame: Frame, body: Sequence[Ring], at: Point, middle: Point, wall: float) -> Point:
    """Return the end of an arm behind, towards a fixing: in the middle of the body's wall under the face."""
    low, high = 0.0, 400.0
    for _ in range(50):
        far = (low + high) / 2
        u, v, w = (float(x) for x in frame.into((*_toward(middle, at, far), -ARM_TALL / 2)))
        inside = hypot(u, v) < _across(body, w) / 2 - wall / 2
        low, high = (far, high) if inside else (low, far)
    return _toward(middle, at, low)


def _across(body: Sequence[Ring], level: float) -> float:
    """Return the diameter of a profile of rising levels at a level, interpolated."""
    for (low, one), (high, other) in pairwise(body):
        if low <= level <= high and high > low:
            return one + (other - one) * (level - low) / (high - low)
    return body[-1][1] if level > body[-1][0] else body[0][1]


def _walled(body: Sequence[Ring], wall: float) -> tuple[Ring, ...]:
    """Return the body's wall as a profile: up outside and down inside, no corner twice."""
    around = [*body, *reversed(_hollow(body, wall))]
    return tuple(ring for ring, before in zip(around, [around[-1], *around], strict=False) if ring != before)


def _blocks(job: RingJob, plan: RingPlan, body: Sequence[Ring]) -> Iterator[BodyBlock]:
    """Yield each terminal from within the body's wall outward."""
    for terminal in job.speaker.terminals:
        whole = terminal_block(terminal, plan.seat.frame, plan.seat.turn, plan.seat.lift)
        high, low = (plan.seat.lift - depth for depth in terminal.depth)
        least = min(_across(body, low), _across(body, high), *(a for level, a in body if low <= level <= high)) / 2
        inner = sqrt(max(0.0, least**2 - (terminal.width / 2) ** 2)) - BITE
        if inner >= terminal.reach or low < body[0][0] - whole.deep:
            continue
        away, out = terminal.at + plan.seat.turn, (max(inner, 0.0) + terminal.reach) / 2
        x, y = clock_vector(away)
        outline = rectangle(terminal.reach - max(inner, 0.0), terminal.width, 0.0).turned(clock_to_angle(away))
        yield BodyBlock(plan.seat.frame.shifted(x * out, y * out).lifted(high), outline, whole.deep)


def _hollow(body: Sequence[Ring], wall: float) -> list[Ring]:
    """Return the inside of the body: a wall in, narrowing to the rear by at most 45° so that it prints."""
    corners = [(level, across - 2 * wall * _aslant(body, k)) for k, (level, across) in enumerate(body)]
    levels = sorted({level for level, _ in corners} | {level + d for level, _ in corners for d in _kinks(corners)})
    low, high = corners[0][0], corners[-1][0]
    found = []
    for level in (one for one in levels if low <= one <= high):
        found.append((level, min(_reach(corners, k, level) for k in range(len(corners) - 1))))
    return found


def _aslant(body: Sequence[Ring], k: int) -> float:
    """Return how much wider a wall is across than thick, where a profile slopes most beside a corner."""
    slopes = [abs(b[1] - a[1]) / 2 / (b[0] - a[0]) for a, b in pairwise(body[max(0, k - 1) : k + 2]) if b[0] > a[0]]
    return hypot(1.0, min(max(slopes, default=0.0), 1.0))


def _kinks(corners: Sequence[Ring]) -> list[float]:
    """Return how far from a shoulder the 45° slope away from it may end, mm."""
    widths = [across for _, across in corners]
    return [abs(a - b) / 2 for a in widths for b in widths]


def _reach(corners: Sequence[Ring], k: int, level: float) -> float:
    """Return the diameter that one piece of a profile leaves free at a level: its own, and a 45° cone beyond it."""
    (low, one), (high, other) = corners[k], corners[k + 1]
    if high > low and low <= level <= high:
        return one + (other - one) * (level - low) / (high - low)
    if level > high:
        return max(min(one, other) if high == low else other, 0.0) + 2 * (level - high)
    return (min(one, other) if high == low else one) + 2 * (low - level)


def _between(a: Point, b: Point, share: float) -> Point:
    return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)


def bar(start: Point, end: Point, width: float) -> Outline:
    """Return an arm's outline, round about its start and ending within its end."""
    long = hypot(end[0] - start[0], end[1] - start[1])
    return hull([circle(width, start), circle(width, _between(start, end, max(0.1, 1 - width / 2 / long)))])
