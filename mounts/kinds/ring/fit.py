"""Clearances of the speaker on its seat to what is round it, in closed form or on exact points of its surface."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import inf

import numpy as np

from mounts.checks.gap import Gap
from mounts.design.body import (
    Ring,
    body_points,
    body_rings,
    front_rings,
    terminal_corners,
    through_sheet,
)
from mounts.geometry.distance import depths
from mounts.geometry.frames import Array, Vector
from mounts.geometry.outline import Outline
from mounts.geometry.planes import Plane, disc_gap, disc_gap_below, nearest_plane
from mounts.kinds.ring.turn import terminal_gaps
from mounts.kinds.ring.values import RingPlan, Seat
from mounts.load.models.panel import Panel
from mounts.load.models.resolved import Job
from mounts.load.models.surroundings import Thing

PRACTICE = "common practice, no source"


def speaker_gaps(job: Job, seat: Seat) -> Iterator[Gap]:
    """Everything that depends on where the seat is and on nothing else of the ring."""
    yield from _trim(job, seat)
    yield from _grille(job, seat)
    yield from _glass(job, seat)
    yield from _things(job, seat)
    yield from _sheet(job, seat)
    yield from _terminals(job, seat)


def ring_gaps(job: Job, plan: RingPlan) -> Iterator[Gap]:
    """The speaker inside the ring, and the ring's own screws under the trim."""
    limits, seat = job.limits, plan.seat
    rings = body_rings(job.speaker, seat.lift)
    straight = [(level, across) for level, across in _cut(rings, -seat.straight)]
    for word, room, wanted in (
        ("near the seat", [r for r in straight if r[0] >= seat.lift - limits.near_seat], limits.body_near_seat),
        ("deeper", [r for r in straight if r[0] < seat.lift - limits.near_seat], limits.body),
    ):
        if room:
            level, across = max(room, key=lambda ring: ring[1])
            gap = _bore_gap(seat.bore, across)
            at = _vector(seat.frame.out((across / 2, 0.0, level)))
            yield Gap("clear.body-bore", ("body", f"bore, {word}"), gap, wanted, wanted, PRACTICE, at)
    mouth = _outline_gap(plan.tower.mouth, through_sheet(seat.frame, rings, 0.0, plan.base.thickness / 2))
    if mouth is not None:
        gap, at = mouth
        yield Gap("clear.body-bore", ("body", "bore's mouth"), gap, limits.body, limits.body, PRACTICE, at)
    trim = trim_plane(job.panel)
    if trim is not None:
        for fixing in plan.fixings:
            gap, at = disc_gap_below(trim, (*fixing.at, fixing.head_top), (0.0, 0.0, 1.0), fixing.washer)
            names = (f"screw head {fixing.name}", "trim")
            yield Gap("clear.trim", names, gap, limits.front, limits.front, PRACTICE, at, "in_front.trim", _front(job))


def glass_plane(panel: Panel) -> Plane | None:
    """The window glass at its worst, moved towards the speaker by its largest residual; None when not measured."""
    if panel.behind is None or panel.behind.glass is None:
        return None
    readings = {clock: -depth for clock, depth in panel.behind.glass.at_clock.items()}
    return nearest_plane(readings, panel.opening.outline(), (0.0, 0.0), towards=1)


def trim_plane(panel: Panel) -> Plane | None:
    """The trim's underside, moved towards the speaker by its largest residual; None when not measured."""
    front = panel.in_front
    if front is None or front.trim is None:
        return None
    return nearest_plane(front.trim.at_clock, trim_rim(panel), front.trim.at, towards=-1)


def grille_plane(panel: Panel) -> Plane | None:
    """The grille's underside likewise."""
    front = panel.in_front
    if front is None or front.grille is None:
        return None
    centre = front.trim.at if front.trim else (0.0, 0.0)
    return nearest_plane(front.grille.at_clock, trim_rim(panel), centre, towards=-1)


def trim_rim(panel: Panel) -> Outline:
    """The edge at which readings in front were taken: the trim's opening, else the panel's."""
    trim = panel.in_front.trim if panel.in_front else None
    return (trim.opening if trim and trim.opening else panel.opening).outline()


def _trim(job: Job, seat: Seat) -> Iterator[Gap]:
    plane, limit = trim_plane(job.panel), job.limits.front
    if plane is None:
        return
    for what, level, across in front_rings(job.speaker, seat.lift, job.fix_speaker):
        if what == "surround":
            continue
        gap, at = disc_gap_below(plane, _axis_point(seat, level), seat.frame.z, across)
        yield Gap("clear.trim", (what, "trim"), gap, limit, limit, PRACTICE, at, "in_front.trim", _front(job))


def _grille(job: Job, seat: Seat) -> Iterator[Gap]:
    plane, limits, speaker = grille_plane(job.panel), job.limits, job.speaker
    piston = speaker.piston_diameter
    if plane is None or speaker.front is None or piston is None:
        return
    for what, level, limit in (
        ("cone at full travel", seat.lift + speaker.front.height + speaker.front.travel, limits.cone_to_grille),
        ("surround", seat.lift + speaker.front.height, limits.front),
    ):
        gap, at = disc_gap_below(plane, _axis_point(seat, level), seat.frame.z, piston)
        yield Gap("clear.grille", (what, "grille"), gap, limit, limit, PRACTICE, at, "in_front.grille", _front(job))


def _glass(job: Job, seat: Seat) -> Iterator[Gap]:
    plane, limits = glass_plane(job.panel), job.limits
    if plane is None:
        return
    rest = (limits.glass, limits.glass_least, PRACTICE)
    sd = job.uncertainty("behind")
    reached = [
        disc_gap(plane, _axis_point(seat, level), seat.frame.z, across)
        for level, across in body_rings(job.speaker, seat.lift)
    ]
    gap, at = min(reached)
    yield Gap("clear.glass", ("body", "glass"), gap, *rest, at, "behind.glass", sd)
    for corners in _terminal_corners(job, seat):
        gap, at = min((plane.gap(_vector(corner)), _vector(corner)) for corner in corners)
        yield Gap("clear.glass", ("terminals", "glass"), gap, *rest, at, "behind.glass", sd)


def _things(job: Job, seat: Seat) -> Iterator[Gap]:
    things = job.panel.behind.things if job.panel.behind else ()
    if not things:
        return
    body = body_points(seat.frame, body_rings(job.speaker, seat.lift))
    parts = [("body", body), *(("terminals", _box_points(corners)) for corners in _terminal_corners(job, seat))]
    for index, thing in enumerate(things):
        limit = job.limits.moving if thing.moving else job.limits.fixed
        for what, points in parts:
            apart = _to_thing(thing, points)
            near = int(apart.argmin())
            yield Gap(
                "clear.thing",
                (what, thing.what),
                float(apart[near]),
                limit,
                limit,
                PRACTICE,
                _vector(points[near]),
                f"behind.things.{index}",
                job.uncertainty("behind"),
            )


def _sheet(job: Job, seat: Seat) -> Iterator[Gap]:
    """The tilted body needs more than its diameter where it passes the sheet."""
    sheet, limit = job.panel.face.thickness or 0.0, job.limits.body
    points = through_sheet(seat.frame, body_rings(job.speaker, seat.lift), -sheet, 0.0)
    found = _outline_gap(job.panel.opening.outline(), points)
    if found is not None:
        gap, at = found
        sd = job.uncertainty("holes")
        yield Gap("clear.body-opening", ("body", "opening"), gap, limit, limit, PRACTICE, at, "opening", sd)


def _terminals(job: Job, seat: Seat) -> Iterator[Gap]:
    gap = float(terminal_gaps(job, seat.frame.lifted(seat.lift), np.array([seat.turn]))[0])
    if gap < inf:
        limit, sd = job.limits.terminals, job.uncertainty("holes")
        at = _axis_point(seat, seat.lift)
        yield Gap("clear.terminals", ("terminals", "opening"), gap, limit, limit, PRACTICE, at, "opening", sd)


def _to_thing(thing: Thing, points: Array) -> Array:
    """Signed distance from points to a thing that reaches from its depth on into the vehicle's side."""
    aside = -depths(thing.outline(), points[:, :2])
    below = points[:, 2] + thing.depth
    outside = np.hypot(np.maximum(aside, 0), np.maximum(below, 0))
    return np.where((aside <= 0) & (below <= 0), np.maximum(aside, below), outside)


def _terminal_corners(job: Job, seat: Seat) -> Iterator[Array]:
    for terminal in job.speaker.terminals:
        yield seat.frame.out(terminal_corners(terminal, seat.turn, seat.lift))


def _box_points(corners: Array) -> Array:
    """Points throughout a box given by its eight corners, 2 mm apart or nearer on its faces."""
    origin = corners[0]
    u, v, w = corners[1] - origin, corners[2] - origin, corners[4] - origin
    shares = [np.linspace(0, 1, max(2, int(np.linalg.norm(edge) / 2) + 1)) for edge in (u, v, w)]
    a, b, c = (grid.ravel()[:, None] for grid in np.meshgrid(*shares))
    points: Array = origin + a * u + b * v + c * w
    return points


def _outline_gap(outline: Outline, points: Array) -> tuple[float, Vector] | None:
    """Least depth of points inside an outline, and where; None without points."""
    if len(points) == 0:
        return None
    inside = depths(outline, points)
    near = int(inside.argmin())
    return float(inside[near]), (float(points[near, 0]), float(points[near, 1]), 0.0)


def _bore_gap(bore: Outline, across: float) -> float:
    """Room a side round a round body on the bore's own axis."""
    turns = np.radians(np.arange(0, 360, 1))
    ring = across / 2 * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    return float(depths(bore, ring).min())


def _cut(rings: Iterable[Ring], low: float) -> list[Ring]:
    """A body's rings down to a level, with one exactly there."""
    rings = list(rings)
    levels, widths = [r[0] for r in rings][::-1], [r[1] for r in rings][::-1]
    kept = [ring for ring in rings if ring[0] > low]
    if rings[-1][0] < low:
        kept.append((low, float(np.interp(low, levels, widths))))
    return kept


def _axis_point(seat: Seat, level: float) -> Vector:
    return _vector(seat.frame.out((0.0, 0.0, level)))


def _vector(point: Array) -> Vector:
    x, y, z = (float(value) for value in point)
    return (x, y, z)


def _front(job: Job) -> float:
    return job.uncertainty("in_front")
