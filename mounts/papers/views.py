"""A mount as it is seen from the cabin and from behind, with its sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot
from typing import Literal

from mounts.design.view import Callout, Line, Pen, Size, Tag, View
from mounts.geometry.frames import Frame, heading
from mounts.geometry.outline import Outline, Point
from mounts.identity import Role
from mounts.kernels.seen import Seen, seen
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.ring.values import FlatPlan, RingPlan, Seat
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.models.hardware import Insert, Pilot
from mounts.load.models.resolved import CupJob, Job, SpacerJob
from mounts.load.units import clock_words
from mounts.made import Made
from mounts.papers.caliper import caliper_checks

FRONT, BACK = Frame(), Frame(x=(-1.0, 0.0, 0.0), z=(0.0, 0.0, -1.0))
NUMBERS = "①②③④⑤"
LETTER = 20.0  # mm from a fixing, within which its letter may stand in the way of a size
Told = tuple[Point, str]  # a place in the panel's plane, and what is said of it


def front_view(made: Made) -> View:
    """From the cabin, with the caliper's sizes."""
    told = [*_measured(made), *_front_words(made)]
    return _view(made, FRONT, "Seen from the cabin, 12:00 up", told)


def back_view(made: Made) -> View:
    """From behind, with what is cut into the back."""
    return _view(made, BACK, "Seen from behind, 12:00 up: left and right change places", list(_back_words(made)))


def _view(made: Made, frame: Frame, title: str, told: Sequence[Told]) -> View:
    drawn: Seen = seen(made.part, frame)
    lines = [*(Line(path) for path in drawn.sharp), *(Line(path, Pen.THIN) for path in drawn.smooth)]
    points = frame.into(made.part.vertices)
    (u0, v0, _), (u1, v1, _) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    box = (u0, v0, u1, v1)
    way = frame.x[0]
    lines += [
        Line(((box[0] - 3, 0.0), (box[2] + 3, 0.0)), Pen.AXIS),
        Line(((0.0, box[1] - 3), (0.0, box[3] + 3)), Pen.AXIS),
    ]
    callouts = tuple(Callout((way * at[0], at[1]), text, _margin(way * at[0], box)) for at, text in told)
    named, wide, high = _fixings(made), box[2] - box[0], box[3] - box[1]
    across = -2 if any(_beside(way * u - box[0], wide, v - box[1]) for (u, v), _ in named) else -1
    upright = -2 if any(_beside(v - box[1], high, way * u - box[0]) for (u, v), _ in named) else -1
    sizes = (
        Size((box[0], box[1]), (box[2], box[1]), "u", across, f"{wide:.1f}"),
        Size((box[0], box[1]), (box[0], box[3]), "v", upright, f"{high:.1f}"),
    )
    above = 9.0 if any(abs(at[0]) < 15.0 and at[1] > 0 for at, _ in named) else 4.0  # over a fixing's letter
    tags = (Tag((0.0, box[3]), "12:00 ▲", (0.0, above)), *(_tag(at, name, way) for at, name in named))
    return View(title, box, (), tuple(lines), sizes, callouts, tags)


def _beside(along: float, whole: float, away: float) -> bool:
    """Whether a fixing's letter comes to stand where a size along the view's edge has its figure."""
    return away < LETTER and abs(along - whole / 2) < LETTER


def _margin(u: float, box: tuple[float, float, float, float]) -> Literal[-1, 1]:
    return 1 if u >= (box[0] + box[2]) / 2 else -1


def _tag(at: Point, name: str, way: float) -> Tag:
    far = max(hypot(*at), 1e-9)
    return Tag((way * at[0], at[1]), name, (7.5 * way * at[0] / far, 7.5 * at[1] / far))


def _fixings(made: Made) -> tuple[Told, ...]:
    """Names of fixings or pins at their places."""
    plan, job = made.plan, made.job
    if isinstance(job, Job):
        return tuple((at, name) for name, at in job.panel.fixings.points.items())
    return tuple((stake.at, stake.name) for stake in plan.stakes) if isinstance(plan, CupPlan) else ()


def _measured(made: Made) -> Iterator[Told]:
    """The caliper's sizes by their numbers, at one of their ends."""
    for number, check in zip(NUMBERS, caliper_checks(made), strict=False):
        one, other = check.ends
        at = one if one[2] >= other[2] else other
        yield (at[0], at[1]), f"{number} {check.what} {check.value:.1f}"


def _front_words(made: Made) -> Iterator[Told]:
    plan, job = made.plan, made.job
    if isinstance(plan, RingPlan) and isinstance(job, Job):
        yield from _fixing_holes(plan)
        yield from _speaker_holes(plan, job)
        yield _own_twelve(plan.seat)
    elif isinstance(plan, FlatPlan):
        for role, many in ((Role.HOLE, "panel screws"), (Role.SCREW, "speaker's screws")):
            held = [hole for hole in plan.holes if hole.ident.role is role]
            if held:
                yield _edge(held[0].at, held[0].diameter), f"{len(held)} × ⌀ {held[0].diameter:.1f} for the {many}"
        yield _own_twelve(plan.seat)
    elif isinstance(plan, CupPlan) and isinstance(job, CupJob):
        for stake in plan.stakes:
            size = f"⌀ {stake.width:.1f}" if not stake.way else f"slot {stake.width:.1f} × {stake.length:.1f}"
            yield stake.at, f"pin {stake.name}: {size}, {stake.role}"
    elif isinstance(plan, SpacerPlan) and isinstance(job, SpacerJob):
        if plan.slit and plan.slit.half is None:
            hx, hy = heading(plan.slit.clock)
            reach = plan.bore.outline.box[2]
            yield (plan.slit.at[0] + hx * reach, plan.slit.at[1] + hy * reach), f"slit {plan.slit.width:.1f} wide"
        ribs = [*plan.outside.ribs, *plan.bore.ribs]
        if ribs:
            yield ribs[0].at, f"{len(ribs)} crush ribs: do not file them"


def _own_twelve(seat: Seat) -> Told:
    """Where the speaker's own 12:00 comes to lie on the seat's edge."""
    hx, hy = heading(seat.turn)
    reach = seat.outline.support(90.0 - seat.turn) - seat.edge
    at = seat.frame.out((hx * reach, hy * reach, 0.0))
    return (
        float(at[0]),
        float(at[1]),
    ), f"speaker's own 12:00 here, at about {clock_words(round(seat.turn / 2.5) * 2.5)}"


def _fixing_holes(plan: RingPlan) -> Iterator[Told]:
    first = plan.fixings[0]
    yield _edge(first.at, first.hole), f"{len(plan.fixings)} × ⌀ {first.hole:.1f} for the panel screws"


def _speaker_holes(plan: RingPlan, job: Job) -> Iterator[Told]:
    screws, fix = plan.seat.screws, job.fix_speaker
    if not screws or fix is None:
        return
    at = plan.seat.frame.out((*screws[-1].at, 0.0))
    what = "inserts" if isinstance(fix.hardware, Insert) else "screws" if isinstance(fix.hardware, Pilot) else "bolts"
    deep = "through" if screws[0].nut else f"{screws[0].depth:.1f} deep"
    yield (float(at[0]), float(at[1])), f"{len(screws)} × ⌀ {screws[0].hole:.1f}, {deep}, for {what}"


def _back_words(made: Made) -> Iterator[Told]:
    plan = made.plan
    if isinstance(plan, RingPlan):
        recess = next((f for f in plan.fixings if f.recess), None)
        if recess is not None and recess.recess is not None:
            room = recess.recess
            size = f"⌀ {room.diameter:.1f}, {room.depth:.1f} deep"
            text = f"{len(plan.fixings)} recesses {size}, over the hardware's flanges"
            yield _edge(recess.at, room.diameter), text
        if plan.base.seal is not None:
            seal = plan.base.seal
            x, y = _leftmost(seal.outside)
            yield (x + 1.0, y), f"gasket groove {seal.depth:.1f} deep"
        for step in plan.base.steps:
            at = next(f.at for f in plan.fixings if f.name == step.name)
            yield at, f"step {step.height:.1f} at {step.name}"
    elif isinstance(plan, CupPlan):
        for stake in plan.stakes:
            text = f"{stake.name}: {stake.head.form} head ⌀ {stake.head.diameter:.1f}, {stake.head.height:.1f} high"
            yield stake.at, text


def _leftmost(outline: Outline) -> Point:
    return min(outline.points(0.05), key=lambda p: p[0])


def _edge(at: Point, across: float) -> Point:
    """The place on a hole's edge that lies furthest out from the middle."""
    far = max(hypot(*at), 1e-9)
    return (at[0] * (1 + across / 2 / far), at[1] * (1 + across / 2 / far))
