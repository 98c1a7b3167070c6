"""Turn of the speaker on its seat."""

from __future__ import annotations

from math import radians, tan

import numpy as np

from mounts.design.body import all_turns, best_turn, pockets_to_axes, turn_points
from mounts.design.fasteners import Fastening
from mounts.errors import InputError
from mounts.geometry.distance import depths, support_values
from mounts.geometry.frames import Array, Frame, clock_vector, tilt_frame
from mounts.geometry.outline import offset_outline
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.seat import BELOW_POCKET
from mounts.load.models.speaker import Terminals

FAR = 1000.0  # mm: the wall where there are no screws
DOUBT = 2.0  # mm: turns whose walls by the axes alone come this near to the best are computed exactly
ALIKE = 1e-3  # mm: outlines whose reach differs by less are the same
THROUGH = 0.5  # mm: a terminal this close before or behind the sheet counts as passing it


def turn_of(job: RingJob, screw: Fastening, height: float) -> float:
    """Return the speaker's turn, degrees: as given, or the best one at about this height."""
    round_unit = job.speaker.flange.outline().is_circle and job.speaker.cutout.outline().is_circle
    if job.turn != "best":
        if not round_unit and job.turn % 90:
            need = f"{job.turn:g} is no turn for a flange or cutout that is not round; give 0, 90, 180 or 270"
            raise InputError(job.problem("turn", need))
        return (job.turn + 180) % 360 - 180
    turns = _turns(job, free=round_unit and not job.speaker.flange.ears)
    seat = tilt_frame((*job.seat_offset, height), job.aim.tilt, job.aim.toward)
    missing = np.minimum(terminal_gaps(job, seat, turns) - job.limits.terminals, 0.0)
    cut = np.minimum(terminals_to_bore(job, seat, turns) - job.limits.terminals, 0.0)
    scores = 100 * missing + cut + screw_gaps(job, screw, seat, turns)
    return best_turn(turns, scores, 1 if job.side == "left" else -1)


def _turns(job: RingJob, *, free: bool) -> Array:
    """Return the turns that a unit can take: any, or the quarters or halves that leave flange and cutout alike."""
    if free:
        return all_turns()
    ways = np.arange(0.0, 360.0, 5.0)
    outlines = (job.speaker.flange.outline(), job.speaker.cutout.outline())
    quarters = all(
        np.allclose(support_values(one, ways), support_values(one, ways + 90), atol=ALIKE) for one in outlines
    )
    return np.array([0.0, 90.0, 180.0, -90.0] if quarters and not job.speaker.flange.ears else [0.0, 180.0])


def screw_gaps(job: RingJob, screw: Fastening, seat: Frame, turns: Array) -> Array:
    """Return the least wall between the speaker screws' pockets and the tool paths at each turn, mm.

    It is exact where it can be the greatest; elsewhere it is estimated from the axes, less than DOUBT off.
    """
    holes = job.speaker.holes
    if holes is None or job.fix_speaker is None:
        return np.full(len(turns), FAR)
    need = job.fix_speaker.hardware.pocket(job.limits, 0.0)
    centres = turn_points(list(holes.points.values()), turns)
    axes = np.array(list(job.panel.fixings.points.values()))
    middle = seat.out(np.concatenate([centres, np.full((*centres.shape[:2], 1), -need.depth / 2)], axis=2))[..., :2]
    apart = np.hypot(*(middle[:, :, None, :] - axes).transpose(3, 0, 1, 2)).min(axis=(1, 2))
    gap: Array = apart - (need.hole + screw.path) / 2
    close = gap > gap.max() - DOUBT
    exact = pockets_to_axes(seat, centres[close], need.hole, need.depth, axes).min(axis=(1, 2))
    gap[close] = exact - screw.path / 2
    return gap


def terminal_gaps(job: RingJob, seat: Frame, turns: Array) -> Array:
    """Return the least distance from a terminal to the opening's edge at each turn, mm; inf if none passes it."""
    gap = np.full(len(turns), np.inf)
    opening, sheet = job.panel.opening.outline(), job.face_thickness
    for terminal in job.speaker.terminals:
        edges = terminal_edges(terminal)
        flat = turn_points(edges[:, :2], turns)
        points = seat.out(np.concatenate([flat, np.broadcast_to(edges[:, 2:], (*flat.shape[:2], 1))], axis=2))
        through = (points[..., 2] <= THROUGH) & (points[..., 2] >= -sheet - THROUGH)
        away = np.full(through.shape, np.inf)
        if through.any():
            away[through] = depths(opening, points[through][:, :2])
        gap = np.minimum(gap, away.min(axis=1))
    return gap


def terminals_to_bore(job: RingJob, seat: Frame, turns: Array) -> Array:
    """Estimate the least distance from a terminal to the bore's leaning wall at each turn, mm.

    It is inf where no terminal is beside the wall. Below its straight part the bore runs upright to the face, flared
    and within the opening, while the terminals go on along the axis. So the distance at a height lies between those at
    the two ends: good enough to find the side with room.
    """
    gap, opening, limits = np.full(len(turns), np.inf), job.panel.opening.outline(), job.limits
    bore = offset_outline(job.speaker.cutout.outline(), limits.bore / 2)
    need = job.fix_speaker.hardware.pocket(limits, 0.0) if job.fix_speaker else None
    top = seat.lifted(-BELOW_POCKET - (need.depth if need and not need.nut else 0.0))
    is_flared = seat.origin[2] > limits.flare_below and not (need and need.nut)
    wider = max(0.0, top.origin[2]) * tan(radians(limits.flare)) if is_flared else 0.0
    below = bore.moved(*top.origin[:2])
    for terminal in job.speaker.terminals:
        edges = terminal_edges(terminal)
        flat = turn_points(edges[:, :2], turns)
        local = np.concatenate([flat, np.broadcast_to(edges[:, 2:], (*flat.shape[:2], 1))], axis=2)
        points = seat.out(local)
        share = np.clip(points[..., 2] / top.origin[2], 0, 1)
        at_top, at_opening, at_bore = (
            depths(outline, places[..., :2].reshape(-1, 2)).reshape(share.shape)
            for outline, places in ((bore, local), (opening, points), (below, points))
        )
        at_face = np.minimum(at_opening, at_bore + wider)
        beside = points[..., 2] >= 0
        gap = np.minimum(gap, np.where(beside, share * at_top + (1 - share) * at_face, np.inf).min(axis=1))
    return gap


def terminal_edges(terminal: Terminals) -> Array:
    """Return points along a terminal's outer edges in the speaker's own frame, (n, 3) mm, seat at z = 0."""
    ahead = np.array(clock_vector(terminal.at))
    aside = np.array([ahead[1], -ahead[0]]) * terminal.width / 2
    levels = -np.linspace(terminal.depth[0], terminal.depth[1], 41)
    corners = (ahead * terminal.reach + aside, ahead * terminal.reach - aside)
    return np.concatenate([np.column_stack([np.tile(corner, (41, 1)), levels]) for corner in corners])
