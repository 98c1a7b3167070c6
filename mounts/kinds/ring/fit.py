"""Clearances of the speaker on its seat to what is round it, in closed form or on exact points of its surface."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from math import inf

import numpy as np
from numpy.typing import NDArray

from mounts.design.body import (
    Least,
    body_rings,
    body_sheet,
    least_on_body,
    least_on_lid,
    screw_head,
    terminal_corners,
    terminal_faces,
    to_sheet,
)
from mounts.findings.gap import Gap
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Array, Vector
from mounts.geometry.outline import Outline, circle
from mounts.geometry.planes import Plane, disc_gap, disc_gap_below, nearest_plane, to_plate
from mounts.kinds.ring.values import Recess, RingPlan, Seat
from mounts.load.models.panel import Panel
from mounts.load.models.resolved import Job
from mounts.load.models.surroundings import Thing
from mounts.shape.sheet import Sheet, least_gap

PRACTICE = "common practice, no source"
STANDS_OFF = 0.2  # mm that the mount keeps from the hardware's flange, so that it lies on the face and not on that


def speaker_gaps(job: Job, seat: Seat) -> Iterator[Gap]:
    """Everything that depends on where the seat is and on nothing else of the ring."""
    yield from _trim(job, seat)
    yield from _grille(job, seat)
    yield from _glass(job, seat)
    yield from _things(job, seat)
    yield from _sheet(job, seat)
    yield from _terminals(job, seat)


def ring_gaps(job: Job, plan: RingPlan) -> Iterator[Gap]:
    """The speaker inside the ring, and the ring itself under the trim and over what stands on the face."""
    yield from _bore(job, plan)
    yield from _own_top(job, plan)
    for fixing in plan.fixings:
        if fixing.recess:
            across, height = plan_flange(job, fixing.recess)
            gap = min((fixing.recess.diameter - across) / 2, fixing.recess.depth - height)
            names, at = ("mount", f"flange of hardware {fixing.name}"), (*fixing.at, fixing.step + height)
            yield Gap("clear.hardware", names, gap, STANDS_OFF, STANDS_OFF, PRACTICE, at, "fix_to_panel")


def plan_flange(job: Job, recess: Recess) -> tuple[float, float]:
    """Diameter and height of the hardware's flange that a recess was planned round."""
    room = max(job.limits.recess_across, 6 * job.uncertainty("holes"))
    return recess.diameter - room, recess.depth - job.limits.recess_deep


def _bore(job: Job, plan: RingPlan) -> Iterator[Gap]:
    """The body in the bore: near the seat, where it needs little room, and deeper."""
    limits, seat = job.limits, plan.seat
    body, bore = body_sheet(seat.frame, body_rings(job.speaker, seat.lift)), Sheet(plan.tower.inside)
    lower = seat.lift - limits.near_seat
    for word, side, wanted in (("near the seat", 1, limits.body_near_seat), ("deeper", -1, limits.body)):

        def keep(points: Array, side: int = side) -> NDArray[np.bool_]:
            return side * (seat.frame.into(points)[:, 2] - lower) >= -1e-9

        gap = least_gap(bore, body, keep)
        if gap < inf:
            at = _axis_point(seat, lower)
            yield Gap("clear.body-bore", ("body", f"bore, {word}"), gap, wanted, wanted, PRACTICE, at)


def _own_top(job: Job, plan: RingPlan) -> Iterator[Gap]:
    """The ring's highest edge, its stops and its screw heads under the trim."""
    cost, seat = _to_trim(job), plan.seat
    if cost is None:
        return
    if plan.collar is None:
        top = plan.tower.outside[-1]
        found = [least_on_lid(top.frame, top.outline, cost)]
        found += [least_on_lid(seat.frame.shifted(*at).lifted(seat.lift), circle(seat.stop), cost) for at in seat.stops]
        yield _under_trim(job, "mount", min(found))
    head, washer = job.fix_to_panel.screw.head_diameter, job.fix_to_panel.washer
    for fixing in plan.fixings:
        discs = [(fixing.head_top, head), (fixing.seat + (washer.thickness if washer else 0.0), fixing.washer)]
        found = [least_on_lid(PANEL.shifted(*fixing.at).lifted(z), circle(across), cost) for z, across in discs]
        yield _under_trim(job, f"screw head {fixing.name}", min(found))


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
    cost = _to_trim(job)
    if cost is None:
        return
    top = seat.lift + job.speaker.flange.thickness
    yield _under_trim(job, "flange", least_on_lid(seat.frame.lifted(top), seat.flange, cost))
    head = screw_head(job.speaker, seat.lift, job.fix_speaker)
    if head is not None:
        heads = [
            least_on_lid(seat.frame.shifted(*screw.at).lifted(head[0]), circle(head[1]), cost) for screw in seat.screws
        ]
        yield _under_trim(job, "speaker screws", min(heads))


def _to_trim(job: Job) -> Callable[[Array], Array] | None:
    """Distance of points to the trim with its opening; None when the trim was not measured."""
    plane, front = trim_plane(job.panel), job.panel.in_front
    if plane is None or front is None or front.trim is None:
        return None
    opening = front.trim.opening.outline() if front.trim.opening else None
    return partial(to_plate, plane, front.trim.at, opening)


def _under_trim(job: Job, what: str, least: Least) -> Gap:
    limit = job.limits.front
    rest = (limit, limit, PRACTICE, least[1], "in_front.trim", job.uncertainty("in_front"))
    return Gap("clear.trim", (what, "trim"), least[0], *rest)


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
    sd, rings = job.uncertainty("behind"), body_rings(job.speaker, seat.lift)
    boxes = [_box_points(corners) for corners in _terminal_corners(job, seat)]
    for index, thing in enumerate(job.panel.behind.things if job.panel.behind else ()):
        limit = job.limits.moving if thing.moving else job.limits.fixed
        cost = partial(_to_thing, thing)
        found = [("body", *least_on_body(seat.frame, rings, cost))]
        found += [("terminals", *_least(cost, box)) for box in boxes]
        for what, gap, at in found:
            reading = f"behind.things.{index}"
            yield Gap("clear.thing", (what, thing.what), gap, limit, limit, PRACTICE, at, reading, sd)


def _sheet(job: Job, seat: Seat) -> Iterator[Gap]:
    """The tilted body needs more than its diameter where it passes the sheet."""
    limit, sd = job.limits.body, job.uncertainty("holes")
    cost = partial(to_sheet, job.panel.opening.outline(), _sheet_thickness(job))
    gap, at = least_on_body(seat.frame, body_rings(job.speaker, seat.lift), cost)
    yield Gap("clear.body-opening", ("body", "opening"), gap, limit, limit, PRACTICE, at, "opening", sd)


def _terminals(job: Job, seat: Seat) -> Iterator[Gap]:
    limit, sd = job.limits.terminals, job.uncertainty("holes")
    cost = partial(to_sheet, job.panel.opening.outline(), _sheet_thickness(job))
    for terminal in job.speaker.terminals:
        gap, at = _least(cost, seat.frame.out(terminal_faces(terminal, seat.turn, seat.lift, 0.25)))
        yield Gap("clear.terminals", ("terminals", "opening"), gap, limit, limit, PRACTICE, at, "opening", sd)


def _least(cost: Callable[[Array], Array], points: Array) -> tuple[float, Vector]:
    values = cost(points)
    least = int(values.argmin())
    return float(values[least]), _vector(points[least])


def _sheet_thickness(job: Job) -> float:
    """The sheet's thickness; when it was not measured, as thin as makes no difference."""
    return job.panel.face.thickness or 1e-3


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


def _axis_point(seat: Seat, level: float) -> Vector:
    return _vector(seat.frame.out((0.0, 0.0, level)))


def _vector(point: Array) -> Vector:
    x, y, z = (float(value) for value in point)
    return (x, y, z)


def _front(job: Job) -> float:
    return job.uncertainty("in_front")
