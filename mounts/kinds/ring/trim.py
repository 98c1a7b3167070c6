"""Trim and grille over the mount: their clearance once they are on, and what the trim meets on its way there.

How it comes there is the panel's `goes_on`: straight on to the face, slid along its own plane, or hooked at one edge
and swung in. How far off that edge is, nobody measures: HINGE stands for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from math import ceil, cos, radians, sin

import numpy as np

from mounts.design.body import BodyBlock, Least, least_on_lid, least_on_wall, screw_head
from mounts.design.clearances import SpeakerRoom, flat_frame
from mounts.design.measured_planes import grille_plane, trim_plane
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE
from mounts.geometry.frames import PANEL, Array, Frame, Frames, Vector, clock_vector
from mounts.geometry.outline import Outline, circle, offset_outline
from mounts.geometry.planes import plate_distances
from mounts.geometry.rims import PARTS, Picks, RimMinima, minimize_along, sample_rim
from mounts.identity import CONE, FLANGE, GRILLE, MOUNT, SPEAKER_HEADS, SURROUND, TRIM, TRIM_WAY, Ident, Role
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.values import RingPlan

STRAIGHT, SLID = 60.0, 25.0  # mm before the face, and aside, from where the trim comes
HINGE, SWUNG = 300.0, 12.0  # mm from the opening to the hooks, and degrees that the trim stands off at first
STEP = 2.0  # mm from one place on the way to the next
SLIDES = "slid from"
LID = Ident(Role.TRIM, "lid", "the trim's opening, taken as closed")


@dataclass(frozen=True, slots=True)
class CoveredBody:
    """A thing under the trim, with the identity of its envelope."""

    ident: Ident
    block: BodyBlock

    def height_over(self, frame: Frame) -> float:
        """Return how far its top reaches over the plane of a frame, mm."""
        rim = np.array(self.block.outline.points(0.01, least=8))
        points = self.block.frame.out(np.column_stack([rim, np.zeros(len(rim))]))
        return float(frame.into(points)[:, 2].max())

    def least(self, cost: Callable[[Array], Array], *, reaching: bool) -> Least:
        """Return the least cost on its top, and on its wall where it reaches through the trim's opening."""
        block = self.block
        top = least_on_lid(block.frame, block.outline, cost)
        return min(top, least_on_wall(block.frame, block.outline, block.deep, cost)) if reaching else top


def speaker_bodies(job: RingJob, seat: RingSeat) -> Iterator[CoveredBody]:
    """Yield the speaker's flange, its front and its screws."""
    speaker, thick = job.speaker, job.speaker.flange.thickness
    yield CoveredBody(FLANGE, BodyBlock(seat.frame.lifted(seat.lift + thick), seat.flange, thick))
    head = screw_head(speaker, seat.lift, job.fix_speaker)
    if head is not None:
        for screw in seat.screws:
            top = seat.frame.shifted(*screw.at).lifted(head[0])
            yield CoveredBody(SPEAKER_HEADS, BodyBlock(top, circle(head[1]), head[0] - seat.lift - thick))
    if speaker.front is not None and speaker.piston_diameter is not None:
        top = seat.frame.lifted(seat.lift + speaker.front.height)
        yield CoveredBody(SURROUND, BodyBlock(top, circle(speaker.piston_diameter), speaker.front.height))


def collar_bodies(plan: RingPlan) -> Iterator[CoveredBody]:
    """Yield the collar's rim; it lies against the trim's foam and so is measured to the grille alone."""
    if plan.collar is not None:
        yield CoveredBody(MOUNT, BodyBlock(plan.collar.rim, plan.collar.outside, 0.0))


def edge_bodies(seat: RingSeat) -> Iterator[CoveredBody]:
    """Yield the ring's highest edge, which is broken, and its stops."""
    top, low = seat.frame.lifted(seat.rim), seat.frame.lifted(seat.rim - seat.edge)
    yield CoveredBody(MOUNT, BodyBlock(top, offset_outline(seat.outline, -seat.edge), 0.0))
    yield CoveredBody(MOUNT, BodyBlock(low, seat.outline, seat.band))
    for at in seat.stops:
        yield CoveredBody(MOUNT, BodyBlock(seat.frame.shifted(*at).lifted(seat.lift), circle(seat.stop), seat.lift))


def ring_bodies(job: RingJob, plan: RingPlan) -> Iterator[CoveredBody]:
    """Yield the ring's edge, unless a collar goes up to the trim, and the heads of its screws."""
    if plan.collar is None:
        yield from edge_bodies(plan.seat)
    washer, head = job.fix_to_panel.washer, job.fix_to_panel.screw.head_diameter
    thick = washer.thickness if washer else 0.0
    for fixing in plan.fixings:
        ident, middle = Ident(Role.HEAD, fixing.name), PANEL.shifted(*fixing.at)
        for high, across in ((fixing.head_top, head), (fixing.seat + thick, fixing.washer)):
            yield CoveredBody(ident, BodyBlock(middle.lifted(high), circle(across), high - fixing.seat))


def cover_rooms(job: RingJob, standing: Iterable[CoveredBody]) -> tuple[SpeakerRoom, ...]:
    """Return the clearances of things to trim and grille, as functions of the frame that they are given in."""
    everything, trim = tuple(standing), _place(job)
    found = _cover_rooms(job, everything, TRIM, trim, _opening(job)) if trim else ()
    return (*found, *grille_rooms(job, everything))


def grille_rooms(job: RingJob, standing: Iterable[CoveredBody]) -> tuple[SpeakerRoom, ...]:
    """Return the clearances of things to the grille alone."""
    grille = grille_plane(job.panel)
    return tuple(_cover_rooms(job, tuple(standing), GRILLE, grille.frame(0.0, 0.0), None)) if grille else ()


def lid_rooms(job: RingJob, seat: RingSeat) -> tuple[SpeakerRoom, ...]:
    """Return the clearances of the speaker to the trim's opening as a lid, where no grille was read further out.

    Something closes that opening, and nothing else that was read is over the speaker. A job that lets the front stand
    proud moves the lid out, so that it may reach as far.
    """
    plane = trim_plane(job.panel)
    if plane is None or grille_plane(job.panel) is not None or _opening(job) is None:
        return ()
    out = 0.0 if job.proud is None else job.proud + job.limits.front
    standing, speaker = [*speaker_bodies(job, seat)], job.speaker
    if speaker.front is not None and speaker.piston_diameter is not None:
        top = seat.frame.lifted(seat.lift + speaker.front.height + speaker.front.travel)
        standing.append(CoveredBody(CONE, BodyBlock(top, circle(speaker.piston_diameter), 0.0)))
    return tuple(_cover_rooms(job, tuple(standing), LID, plane.frame(0.0, 0.0).lifted(out), None))


def _cover_rooms(
    job: RingJob, standing: tuple[CoveredBody, ...], cover: Ident, frame: Frame, opening: Outline | None
) -> Iterator[SpeakerRoom]:
    """Yield one clearance for each identity."""
    limit, sd = job.limits.front, job.uncertainty("in_front")
    for ident in dict.fromkeys(one.ident for one in standing):
        blocks = [one.block for one in standing if one.ident == ident]
        measure = _ToCover(np.concatenate([_rim(block) for block in blocks]), _deep(blocks), frame, opening)
        yield SpeakerRoom(f"clear.{cover.role}", ((ident, cover),), limit, limit, measure, f"in_front.{cover.role}", sd)


def _rim(block: BodyBlock) -> Array:
    """Return a thing's top rim, (PARTS, FINE + 1, 3) float."""
    places = sample_rim(block.outline)
    return block.frame.out(np.concatenate([places, np.zeros((*places.shape[:-1], 1))], axis=-1))


def _deep(blocks: list[BodyBlock]) -> Array:
    """Return how far the walls under those rims go down, (rims, 1) float."""
    return np.repeat([block.deep for block in blocks], PARTS)[:, None]


@dataclass(frozen=True, slots=True, eq=False)
class _ToCover:
    """Least distances of things to a plate with an opening, a row for each part of their rims.

    What lies under a plate comes nearest to it with its rim. Where it reaches through the opening its wall does: with
    its top, where it passes the plate's plane, or square to the plate's edge below that.
    """

    rims: Array
    deep: Array
    frame: Frame
    opening: Outline | None

    def __call__(self, frames: Frames, picks: Picks | None = None, /) -> RimMinima:
        """Return the distances as a `Measure`."""

        def place(local: Array) -> Array:
            return frames.out(local) if local.ndim == self.rims.ndim else frames.each_out(local)

        return minimize_along(self.rims, place, partial(self._cost, frames.z[:, None, None]), picks)

    def _cost(self, axis: Array, points: Array) -> Array:
        top, normal = self._to_plate(points), np.asarray(self.frame.z)
        over = (points - np.asarray(self.frame.origin)) @ normal
        if self.opening is None or over.max() <= 0:
            return top
        upright = axis @ normal
        slope = np.sqrt(np.maximum(1 - upright**2, 0.0))
        down = np.clip(over / upright, 0, self.deep)
        beside = self._to_plate(points - down[..., None] * axis)
        further = np.where(over > 0, np.clip(down + np.abs(beside) * slope, 0, self.deep), down)
        below = self._to_plate(points - further[..., None] * axis)
        return np.minimum(top, np.minimum(beside, below))

    def _to_plate(self, points: Array) -> Array:
        return flat_frame(partial(plate_distances, self.frame, self.opening), points)


def trim_way_gap(job: RingJob, standing: Iterable[CoveredBody]) -> Gap | None:
    """Return the least gap to the trim on its way on; None when the trim was not measured.

    What does not reach through the trim's opening is never nearer than when the trim is on.
    """
    frame = _place(job)
    if frame is None:
        return None
    opening, poses = _opening(job), trim_poses(job)
    frames = Frames.of(*poses)
    on = partial(plate_distances, frame, opening)

    def cost(points: Array) -> Array:
        places = frames.into(points).reshape(-1, 3)
        nearest: Array = plate_distances(PANEL, opening, places).reshape(len(poses), -1).min(axis=0)
        return nearest

    found = []
    for one in standing:
        reaching = one.height_over(frame) > 0
        found.append((*one.least(cost if reaching else on, reaching=reaching), one.ident))
    gap, at, ident = min(found, key=lambda one: one[:2])
    limit, sd = job.limits.passing, job.uncertainty("in_front")
    return Gap("way.trim", (ident, TRIM_WAY), gap, limit, limit, PRACTICE, at, "in_front.trim", sd)


def trim_poses(job: RingJob) -> tuple[Frame, ...]:
    """Return frames of the trim's underside on its way, from its end back; none when it was not measured."""
    frame, front = _place(job), job.panel.in_front
    if frame is None or front is None or front.trim is None:
        return ()
    how, _, edge = front.trim.goes_on.rpartition(" the ")
    if not how:
        return tuple(_moved(frame, (0.0, 0.0, s)) for s in _steps(STRAIGHT))
    hx, hy = clock_vector(_clock(edge, job.side))
    if how == SLIDES:
        return tuple(frame.shifted(s * hx, s * hy) for s in _steps(SLID))
    hook = frame.shifted(HINGE * hx, HINGE * hy)
    return tuple(_swung(frame, hook, (hx, hy), degrees) for degrees in _steps(SWUNG, HINGE * radians(SWUNG)))


def is_slid(job: RingJob) -> bool:
    """Return whether the trim comes along its own plane."""
    front = job.panel.in_front
    return front is not None and front.trim is not None and front.trim.goes_on.startswith(SLIDES)


def _place(job: RingJob) -> Frame | None:
    """Return the frame of the trim's underside at its opening's centre, when the trim is on."""
    plane, front = trim_plane(job.panel), job.panel.in_front
    return plane.frame(*front.trim.at) if plane is not None and front and front.trim else None


def _opening(job: RingJob) -> Outline | None:
    front = job.panel.in_front
    return front.trim.opening.outline() if front and front.trim and front.trim.opening else None


def _clock(edge: str, side: str) -> float:
    """Return the clock direction of an edge, seen from the cabin: forward is right on a left door."""
    forward = 90.0 if side == "left" else 270.0
    return {"top": 0.0, "bottom": 180.0, "front": forward, "rear": 360.0 - forward}[edge]


def _steps(far: float, way: float | None = None) -> Array:
    """Return steps from 0 to `far` that cut a way of so many mm into pieces of at most STEP."""
    return np.linspace(0.0, far, ceil((far if way is None else way) / STEP) + 1)


def _moved(frame: Frame, by: Vector) -> Frame:
    x, y, z = (a + b for a, b in zip(frame.origin, by, strict=True))
    return Frame((x, y, z), frame.x, frame.z)


def _swung(frame: Frame, hook: Frame, toward: tuple[float, float], degrees: float) -> Frame:
    """Turn a frame outward about the line through a hook's origin, square to the way there in the frame's plane."""
    away, up = _from(frame, (-toward[0], -toward[1], 0.0)), np.asarray(frame.z)
    c, s = cos(radians(degrees)), sin(radians(degrees))

    def turned(vector: Array) -> Vector:
        a, b = float(vector @ away), float(vector @ up)
        x, y, z = (float(v) for v in vector + (a * c - b * s - a) * away + (a * s + b * c - b) * up)
        return (x, y, z)

    origin = turned(np.subtract(frame.origin, hook.origin))
    return _moved(Frame(origin, turned(np.asarray(frame.x)), turned(up)), hook.origin)


def _from(frame: Frame, direction: Vector) -> Array:
    found: Array = frame.axes @ np.asarray(direction)
    return found
