"""Plan of a ring: every dimension, in the order in which they depend on each other.

Openings in the tower's wall: room for the terminals, and the wire's passage.

Template of the base at 1:1, to be laid on the door.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, radians

from mounts.design.body import terminal_block
from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke, centre_lines
from mounts.design.fasteners import Fastening
from mounts.design.lettering import slug
from mounts.errors import InputError
from mounts.findings.wall import Wall
from mounts.geometry.frames import Frame, clock_to_angle, clock_vector
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, circle, offset_outline, rectangle
from mounts.geometry.planes import rim_point
from mounts.geometry.ties import least_of
from mounts.kinds.remembered import remembered
from mounts.kinds.ring.aiming.choose import choose_pose
from mounts.kinds.ring.aiming.drawn import NO_WALL, Draw, with_pose
from mounts.kinds.ring.base import base_for, fastening_of, fixings_for, outline_round
from mounts.kinds.ring.collar import collar_for
from mounts.kinds.ring.height import seat_height
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.label import LabelHost, labels_for
from mounts.kinds.ring.pieces import Base, Collar, Fixing, Relief, RingSeat, Tower, WirePassage
from mounts.kinds.ring.seat import lay_out_seat, seat_at
from mounts.kinds.ring.tower import tower_between
from mounts.kinds.ring.turn import turn_of
from mounts.kinds.ring.values import RingPlan
from mounts.kinds.ring.walls.closed_form import walls_of
from mounts.load.models.limits import Limits
from mounts.shape.sheet import Sheet, least_on

CORNER = 2.0  # mm, rounding of a relief's corners: no notch for a crack to start from
UNDER_SEAT = 3.0  # mm of seat left above a relief, for the gasket to lie on
BARELY = 1e-3  # mm, rounding
AWAY = 2.0  # mm of tower left round a wire's passage
LINING = 3.0  # mm: the lining is cut back this far outside the base


def terminal_reliefs(job: RingJob, seat: RingSeat, tower: Tower) -> tuple[Relief, ...]:
    """Return the room for each terminal that would come nearer to the bore's wall than its clearance."""
    clear, bore = job.limits.terminals, Sheet(tower.inside)
    found = []
    for terminal in job.speaker.terminals:
        if least_on(bore, terminal_block(terminal, seat.frame, seat.turn, seat.lift).to) >= clear - BARELY:
            continue
        turned = terminal.at + seat.turn
        reach, half = terminal.reach + clear, terminal.width / 2 + clear
        slot = rectangle(reach, 2 * half, CORNER).moved(reach / 2, 0).turned(clock_to_angle(turned))
        top = min(seat.lift - terminal.depth[0] + clear, -UNDER_SEAT)
        found.append(Relief(slot, top))
    return tuple(found)


def wire_passage(job: RingJob, seat: RingSeat, tower: Tower, base: Base) -> WirePassage | None:
    """Return the wire's passage through the tower's wall just above the base; None when the job wants none.

    Raises:
        InputError: where the tower is too low or a fixing stands in the way.
    """
    if job.wire is None:
        return None
    hx, hy = clock_vector(job.wire.at)
    x, y = rim_point(tower.foot, job.wire.at)
    u, v, _ = (float(value) for value in seat.frame.into((x, y, 0.0)))
    roof = seat.frame.origin[2] - (u * seat.frame.z[0] + v * seat.frame.z[1])
    room = roof - UNDER_SEAT / cos(radians(seat.tilt)) - base.thickness - AWAY / 2
    if job.wire.across > room:
        what = (
            f"a passage {job.units(job.wire.across)} across needs a wall that high; here "
            f"{job.units(max(0.0, room), 1)} are left"
        )
        raise InputError(job.problem("wire.across", f"{what}; take a smaller one, another clock, or a greater height"))
    z = base.thickness + AWAY / 2 + job.wire.across / 2
    for name, (fx, fy) in job.panel.fixings.points.items():
        aside, ahead = abs(fx * hy - fy * hx), fx * hx + fy * hy
        if ahead > 0 and aside < job.wire.across / 2 + AWAY:
            raise InputError(job.problem("wire.at", f"the passage would run into fixing {name}; take another clock"))
    frame = Frame((0.0, 0.0, z), (hy, -hx, 0.0), (hx, hy, 0.0))
    return WirePassage(frame, job.wire.across, hypot(x, y) + seat.outline.support(clock_to_angle(job.wire.at)))


def draw_template(job: RingJob, base: Base, fixings: Sequence[Fixing]) -> Drawing:
    """Draw the template of the base: outline, opening, holes, centre and the clock's 12, seen from the cabin."""
    strokes = [Stroke(base.outline, Layer.CUT, "base"), Stroke(base.opening, Layer.CUT, "opening")]
    strokes += [Stroke(circle(f.hole, f.at), Layer.CUT, f"hole {f.name}") for f in fixings]
    captions = [f"{job.panel.name}, {job.side} side, seen from the cabin; lay it on the face: every hole must show"]
    if job.panel.face.lining:
        strokes.append(Stroke(offset_outline(base.outline, LINING), Layer.REF, "lining cut away"))
        captions.append(f"dashed: cut the lining ({job.units(job.panel.face.lining)} thick) away along this line")
    if job.panel.nearby:
        captions.append(f"nearby: {', '.join(map(str, job.panel.nearby))}; read the cautions first")
    top = base.outline.support(90.0)
    return Drawing(
        title=f"{job.name}, {job.side}",
        captions=tuple(captions),
        items=(
            *strokes,
            centre_lines(base.outline.box),
            *(Cross(f.at) for f in fixings),
            Note("12:00", (0.0, top - 6.0), 4.0, on_paper=True),
            *(Note(f.name, (f.at[0] + f.hole / 2 + 4.0, f.at[1]), 4.0) for f in fixings),
        ),
    )


def plan_ring(job: RingJob) -> RingPlan:
    """Plan the ring that a job asks for.

    Raises:
        InputError: when what was asked for cannot be drawn, at the key that asks for it, with the nearest value.
    """
    plan = draft_ring(job)
    _refuse_missing_walls(job, plan.walls)
    return plan


@remembered(4)  # of both sides, and of a ring that comes in halves, which is asked for each
def draft_ring(job: RingJob) -> RingPlan:
    """Plan as `plan_ring` does, a ring with walls of no thickness as well."""
    screw = fastening_of(job)
    base = base_for(job, screw)
    draw = _drawing()
    choice = choose_pose(job, screw, base, draw)
    if choice is None:
        return _drawn(job)
    there = with_pose(job, choice.aim, choice.height, choice.seat_offset, choice.turn)
    if job.height != "best":
        seat_height(there, lay_out_seat(job, choice.turn), base, screw)  # refuses one that is too low
    return replace(draw(there), choice=choice)


def _drawing() -> Draw:
    """Return a function that draws the rings of one job at given poses, each once."""
    drawn: dict[tuple[object, ...], RingPlan] = {}

    def draw(job: RingJob, *, walls: frozenset[str] | None = None) -> RingPlan:
        pose = (job.aim, job.height, job.seat_offset, job.turn, job.label)
        whole = drawn.get((*pose, None))
        if whole is not None:
            return whole
        if (*pose, walls) not in drawn:
            drawn[*pose, walls] = _drawn(job, walls, strict=False)
        return drawn[*pose, walls]

    return draw


@dataclass(frozen=True, slots=True)
class Core:
    """First part of a ring's plan: the seat on its tower, and what both stand on.

    Attributes:
        screw, base: of the ring; the base without its outline.
        seat, collar, tower: of the ring.
        least: height of the lowest seat.
    """

    screw: Fastening
    base: Base
    seat: RingSeat
    collar: Collar | None
    tower: Tower
    least: float


def core_of(job: RingJob, *, strict: bool = True) -> Core:
    """Return seat and tower of a job that gives its pose; unless `strict`, also a little too low.

    Raises:
        InputError: as `plan_ring` does.
    """
    screw = fastening_of(job)
    base = base_for(job, screw)
    layout = lay_out_seat(job, _turn(job, screw, base))
    height, least = seat_height(job, layout, base, screw, strict=strict)
    seat = seat_at(job, layout, job.aim, height)
    collar = collar_for(job, seat)
    return Core(screw, base, seat, collar, tower_between(job, screw, base, seat, collar), least)


def _drawn(job: RingJob, walls: frozenset[str] | None = None, *, strict: bool = True) -> RingPlan:
    """Return the plan of a job that gives its pose, whatever its walls come to.

    Args:
        job: whose pose is given.
        walls: codes of those that are wanted; all where it is not given.
        strict: whether a seat that is too low is refused.
    """
    core = core_of(job, strict=strict)
    screw, base, seat, collar, tower = core.screw, core.base, core.seat, core.collar, core.tower
    silhouette = _silhouette(seat, tower.foot, collar)
    fixings = fixings_for(job, screw, base, silhouette)
    base = replace(base, outline=outline_round(job, screw, base, tower.foot))
    wire = wire_passage(job, seat, tower, base)
    labels, tab = labels_for(job, LabelHost(base, seat, tower, silhouette, fixings, wire))
    if tab:
        base = replace(base, outline=hull([base.outline, tab]))
    plan = RingPlan(
        name=slug(f"{job.name}-{job.side}"),
        side=job.side,
        base=base,
        fixings=fixings,
        seat=seat,
        tower=tower,
        collar=collar,
        terminals=terminal_reliefs(job, seat, tower),
        wire=wire,
        labels=labels,
        walls=(),
        least_height=core.least,
        genus=1 + len(fixings) + sum(screw.nut is not None for screw in seat.screws) + (wire is not None),
        paper=draw_template(job, base, fixings),
    )
    return replace(plan, walls=_walls_of((plan, job.limits, walls)))


@remembered(8)  # of both sides; most readings move no wall
def _walls_of(given: tuple[RingPlan, Limits, frozenset[str] | None]) -> tuple[Wall, ...]:
    return walls_of(*given)


def _turn(job: RingJob, screw: Fastening, base: Base) -> float:
    """Return the speaker's turn, degrees: as given, or the best at about the seat's height."""
    if job.turn != "best":
        return turn_of(job, screw, 0.0)
    return turn_of(job, screw, seat_height(job, lay_out_seat(job, 0.0), base, screw)[0])


def _silhouette(seat: RingSeat, foot: Outline, collar: Collar | None) -> Outline:
    """Return an outline that holds the whole tower seen along the panel's z, erring outward."""
    levels = [seat.frame.lifted(level) for level in (-seat.band, 0.0, seat.rim)]
    members = [foot, *(_seen(seat.outline, frame) for frame in levels)]
    return hull([*members, _seen(collar.outside, collar.rim)] if collar else members)


def _seen(outline: Outline, frame: Frame) -> Outline:
    return outline.moved(frame.origin[0], frame.origin[1])


def _refuse_missing_walls(job: RingJob, found: tuple[Wall, ...]) -> None:
    """Refuse a part with a wall of no thickness; of those that one remedy mends the worst is named."""
    gone: dict[str, list[Wall]] = {}
    for wall in found:
        if wall.thickness < NO_WALL:
            gone.setdefault(wall.code, []).append(wall)
    if not gone:
        return
    problems = []
    for walls in gone.values():
        wall = least_of(walls, key=lambda one: one.thickness - one.limit)
        one, other = wall.between
        least = wall.thickness
        left = f"overlaps the {other} by {job.units(-least, 1)}" if least <= -NO_WALL else f"touches the {other}"
        more = f", and {len(walls) - 1} more like it" if len(walls) > 1 else ""
        what = f"{one} {left} and needs {job.units(wall.limit)}{more}"
        problems.append(job.problem(_key_of(wall.code), f"{what}: {wall.advice(job.units)}"))
    raise InputError(*problems)


def _key_of(code: str) -> str:
    return {
        "wall.screw-bore": "fix_speaker",
        "wall.screw-outside": "fix_speaker",
        "wall.nut-bore": "fix_speaker",
        "wall.nut-outside": "fix_speaker",
        "wall.nut-groove": "turn",
        "wall.nut-path": "turn",
        "wall.relief-outside": "turn",
        "wall.relief-groove": "turn",
        "wall.relief-path": "turn",
        "wall.floor": "height",
        "wall.screw-path": "turn",
        "wall.path-bore": "fix_to_panel",
        "wall.path-collar": "fix_to_panel",
        "wall.recess-bore": "fix_to_panel",
        "seal.land": "gaskets.base",
        "seal.lip": "gaskets.base",
    }.get(code, "panel.fixings")
