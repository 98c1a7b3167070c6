"""Envelopes of the real things round a ring: the moving speaker, sheet, glass, trim, hardware, tools.

Findings name gaps by these identities. Sides that stand for something endless are SPAN wide.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.body import body_rings, front_rings, screw_head, terminal_block
from mounts.design.measured_planes import glass_plane, grille_plane, things_behind, trim_plane
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Outline, Point, circle, rectangle
from mounts.identity import (
    BEAD,
    BODY,
    CONE,
    FLANGE,
    GLASS,
    GRILLE,
    OPENING,
    SPEAKER_HEADS,
    TERMINALS,
    TRIM,
    TRIM_WAY,
    Ident,
    Role,
)
from mounts.kinds.ring.clearances import bead_rims, plan_flange
from mounts.kinds.ring.insertion import path_envelopes
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.trim import is_slid, ring_bodies, speaker_bodies, trim_poses
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.shape.primitives import Prism, Revolved
from mounts.shape.recipe import Envelope

SPAN = 600.0  # mm: wider than any mount with what is near it
THICK = 3.0  # mm: glass and grille are drawn as plates this thick, away from the speaker
DEEP = 60.0  # mm: so far the trim goes on about its opening, since nobody measures how thick it is there
REACH = 120.0  # mm: how far on a thing behind goes


def surroundings(job: RingJob, plan: RingPlan) -> tuple[Envelope, ...]:
    """Return every envelope that the measurements give."""
    return (
        *_speaker(job, plan.seat),
        *_panel(job),
        *_cover(job),
        *_trim_on_its_way(job, plan),
        *_behind(job),
        *_hardware(job, plan),
        *path_envelopes(job, plan),
    )


def flat_surroundings(job: RingJob, plan: FlatPlan) -> tuple[Envelope, ...]:
    """Return the envelopes round a ring cut from sheet: all that do not belong to the tower."""
    return round_sheet(job, plan.seat)


def round_sheet(job: RingJob, seat: RingSeat) -> tuple[Envelope, ...]:
    """Return the envelopes round a seat alone."""
    return (*_speaker(job, seat), *_panel(job), *_cover(job), *_behind(job))


def _speaker(job: RingJob, seat: RingSeat) -> Iterator[Envelope]:
    speaker = job.speaker
    yield Envelope(BODY, (Revolved(seat.frame, tuple(reversed(body_rings(speaker, seat.lift)))),))
    yield Envelope(FLANGE, (Prism(seat.flange, seat.lift, seat.lift + speaker.flange.thickness, seat.frame),))
    head = screw_head(speaker, seat.lift, job.fix_speaker)
    if head is not None:
        low = seat.lift + speaker.flange.thickness
        heads = tuple(Prism(circle(head[1], screw.at), low, head[0], seat.frame) for screw in seat.screws)
        yield Envelope(SPEAKER_HEADS, heads)
    for what, level, across in front_rings(speaker, seat.lift)[1:]:
        yield Envelope(what, (Prism(circle(across), seat.lift, level, seat.frame),))
    piston = speaker.piston_diameter
    if speaker.front is not None and piston is not None:
        top = seat.lift + speaker.front.height + speaker.front.travel
        yield Envelope(CONE, (Prism(circle(piston), seat.lift, top, seat.frame),))
    boxes = []
    for terminal in speaker.terminals:
        block = terminal_block(terminal, seat.frame, seat.turn, seat.lift)
        boxes.append(Prism(block.outline, -block.deep, 0.0, block.frame))
    if boxes:
        yield Envelope(TERMINALS, tuple(boxes))


def _panel(job: RingJob) -> Iterator[Envelope]:
    face, opening = job.panel.face, job.panel.opening.outline()
    sheet = Prism(rectangle(SPAN, SPAN, 1.0), -job.face_thickness, 0.0, islands=(opening,))
    yield Envelope(OPENING, (sheet,))
    if face.bead:
        inside, outside = bead_rims(job.panel, face.bead)
        yield Envelope(BEAD, (Prism(outside, 0.0, face.bead.height, islands=(inside,)),))


def _cover(job: RingJob) -> Iterator[Envelope]:
    """Yield trim and grille in their final place."""
    trim, grille, at = trim_plane(job.panel), grille_plane(job.panel), _trim_at(job)
    if trim is not None:
        yield Envelope(TRIM, (_plate(trim.frame(*at), DEEP, _trim_holes(job)),))
    if grille is not None:
        yield Envelope(GRILLE, (_plate(grille.frame(*at), THICK),))


def _trim_on_its_way(job: RingJob, plan: RingPlan) -> Iterator[Envelope]:
    trim, at = trim_plane(job.panel), _trim_at(job)
    if trim is not None:
        standing = (*speaker_bodies(job, plan.seat), *ring_bodies(job, plan))
        through = any(one.height_over(trim.frame(*at)) > 0 for one in standing)
        poses, holes = trim_poses(job) if through else (trim.frame(*at),), _trim_holes(job)
        if through and is_slid(job) and all(hole.is_convex for hole in holes):
            poses = (poses[0], poses[-1])  # what both leave free all between them do
        yield Envelope(TRIM_WAY, tuple(_plate(pose, DEEP, holes) for pose in poses))


def _trim_at(job: RingJob) -> Point:
    front = job.panel.in_front
    return front.trim.at if front and front.trim else (0.0, 0.0)


def _trim_holes(job: RingJob) -> tuple[Outline, ...]:
    front = job.panel.in_front
    return (job.panel.trim_rim,) if front and front.trim and front.trim.opening else ()


def _behind(job: RingJob) -> Iterator[Envelope]:
    glass = glass_plane(job.panel)
    if glass is not None:
        body = Prism(rectangle(SPAN, SPAN, 1.0), -THICK, 0.0, glass.frame(0.0, 0.0))
        yield Envelope(GLASS, (body,))
    for ident, thing in things_behind(job.panel):
        body = Prism(thing.outline(), -thing.depth - REACH, -thing.depth)
        yield Envelope(ident, (body,))


def _hardware(job: RingJob, plan: RingPlan) -> Iterator[Envelope]:
    washer = job.fix_to_panel.washer
    for fixing in plan.fixings:
        if fixing.recess:
            across, height = plan_flange(job, fixing.recess)
            body = Prism(circle(across, fixing.at), fixing.step, fixing.step + height)
            yield Envelope(fixing.flange, (body,))
        thick = washer.thickness if washer else 0.0
        head = job.fix_to_panel.screw.head_diameter
        bodies = []
        if fixing.head_top > fixing.seat:
            bodies.append(Prism(circle(fixing.washer, fixing.at), fixing.seat, fixing.seat + max(thick, 0.5)))
            bodies.append(Prism(circle(head, fixing.at), fixing.seat, fixing.head_top))
            yield Envelope(Ident(Role.HEAD, fixing.name), tuple(bodies))


def _plate(frame: Frame, thick: float, islands: tuple[Outline, ...] = ()) -> Prism:
    """Return an endless plate whose near side is a frame's plane, away from the mount."""
    return Prism(rectangle(SPAN, SPAN, 1.0), 0.0, thick, frame, islands)
