"""Plan of a ring: every dimension, in the order in which they depend on each other."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mounts.design.fasteners import Fastening
from mounts.design.slug import slug
from mounts.errors import InputError
from mounts.findings.wall import Wall
from mounts.geometry.frames import Frame
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline
from mounts.kinds.ring.aiming.choose import choose_pose
from mounts.kinds.ring.aiming.drawn import NO_WALL, Draw, with_pose
from mounts.kinds.ring.base import base_for, fastening_of, fixings_for, outline_round
from mounts.kinds.ring.collar import collar_for
from mounts.kinds.ring.height import seat_height
from mounts.kinds.ring.label import LabelHost, labels_for
from mounts.kinds.ring.openings import terminal_reliefs, wire_passage
from mounts.kinds.ring.seat import lay_out_seat, seat_at
from mounts.kinds.ring.template import draw_template
from mounts.kinds.ring.tower import tower_between
from mounts.kinds.ring.turn import turn_of
from mounts.kinds.ring.values import Base, Collar, RingPlan, RingSeat, Tower
from mounts.kinds.ring.walls.closed_form import walls_of
from mounts.load.models.job_kinds import RingJob
from mounts.remembered import remembered


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
    return replace(plan, walls=walls_of(plan, job.limits, walls))


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
    """Refuse a part with a wall of no thickness."""
    gone = [wall for wall in found if wall.thickness < NO_WALL]
    if not gone:
        return
    problems = []
    for wall in gone:
        one, other = wall.between
        least = wall.thickness
        left = (
            f"leaves {abs(least):.1f} to the {other}" if least > -NO_WALL else f"overlaps the {other} by {-least:.1f}"
        )
        what = f"{one} {left} and needs {wall.limit:g}"
        problems.append(job.problem(_key_of(wall.code), f"{what}: {wall.advice}"))
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
