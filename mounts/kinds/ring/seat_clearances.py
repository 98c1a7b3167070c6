"""Clearances that depend only on the place of the speaker's seat, as functions of that place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

import numpy as np

from mounts.design.body import (
    BodyBlock,
    Ring,
    body_rings,
    from_body,
    front_rings,
    terminal_block,
    terminal_corners,
    to_sheet,
)
from mounts.design.clearances import Between, Cost, Measure, SpeakerRoom, block_edges, rings_rims, upright_plane
from mounts.design.measured_planes import glass_plane, grille_plane, things_behind, trim_plane
from mounts.geometry.frames import PANEL, Array, Frames
from mounts.geometry.planes import Plane, disc_gaps
from mounts.geometry.rims import Picks, RimMinima
from mounts.identity import BODY, CONE, GLASS, GRILLE, OPENING, TERMINALS, Ident, Role
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.trim import cover_rooms, speaker_bodies
from mounts.load.models.surroundings import Thing

DOWN = (0.0, 8.0, 20.0, 40.0)  # mm below a thing's near end, where its edges are looked at


def speaker_rooms(job: RingJob, seat: RingSeat) -> tuple[SpeakerRoom, ...]:
    """Return the clearances to trim, grille, glass, things and the opening's edge, as functions of the seat."""
    here = replace(seat, frame=PANEL)  # so that all is given in the seat's frame
    found = (_grille, _glass, _things, _sheet, _terminals)
    return (*cover_rooms(job, speaker_bodies(job, here)), *(room for rooms in found for room in rooms(job, here)))


def _grille(job: RingJob, seat: RingSeat) -> Iterator[SpeakerRoom]:
    """Yield the clearance of the cone at full travel to the grille."""
    plane, limit, speaker = grille_plane(job.panel), job.limits.cone_to_grille, job.speaker
    piston = speaker.piston_diameter
    if plane is None or speaker.front is None or piston is None:
        return
    disc = ((seat.lift + speaker.front.height + speaker.front.travel, piston),)
    measure, sd = partial(_discs, plane, disc, -1.0), job.uncertainty("in_front")
    yield SpeakerRoom("clear.grille", ((CONE, GRILLE),), limit, limit, measure, "in_front.grille", sd)


def _glass(job: RingJob, seat: RingSeat) -> Iterator[SpeakerRoom]:
    plane, limits = glass_plane(job.panel), job.limits
    if plane is None:
        return
    rings, sd = body_rings(job.speaker, seat.lift), job.uncertainty("behind")
    found: list[tuple[Ident, Measure]] = [(BODY, partial(_discs, plane, rings, 1.0))]
    boxes = [terminal_corners(terminal, seat.turn, seat.lift) for terminal in job.speaker.terminals]
    found += [(TERMINALS, partial(_corners, plane, corners)) for corners in boxes]
    for what, measure in found:
        yield SpeakerRoom(
            "clear.glass", ((what, GLASS),), limits.glass, limits.glass_least, measure, "behind.glass", sd
        )


def proven_rooms(job: RingJob, seat: RingSeat) -> Iterator[SpeakerRoom]:
    """Yield the excess of the speaker over the former one's room, where nothing else was measured there."""
    proven, panel, speaker = job.panel.original, job.panel, job.speaker
    if proven is None:
        return
    if proven.front is not None and trim_plane(panel) is None:
        tops = [(level, across) for _, level, across in front_rings(speaker, seat.lift)]
        if speaker.front is not None and speaker.piston_diameter is not None:
            top = seat.lift + speaker.front.height + speaker.front.travel
            tops.append((top, speaker.piston_diameter))
        measure = partial(_discs, Plane(proven.front), tuple(tops), -1.0)
        yield SpeakerRoom(
            "proven.front",
            ((Ident(Role.FRONT), Ident(Role.LIMIT, "old-front", "the old speaker's front")),),
            0.0,
            0.0,
            measure,
            "original.front",
        )
    if proven.depth is not None and glass_plane(panel) is None:
        measure = partial(_discs, Plane(-proven.depth), body_rings(speaker, seat.lift), 1.0)
        yield SpeakerRoom(
            "proven.depth",
            ((BODY, Ident(Role.LIMIT, "old-depth", "the old speaker's depth")),),
            0.0,
            0.0,
            measure,
            "original.depth",
        )


def _things(job: RingJob, seat: RingSeat) -> Iterator[SpeakerRoom]:
    rings, sd = body_rings(job.speaker, seat.lift), job.uncertainty("behind")
    for index, (ident, thing) in enumerate(things_behind(job.panel)):
        limit, reading = job.limits.moving if thing.moving else job.limits.fixed, f"behind.things.{index}"
        cost, edges = partial(_to_thing, thing), upright_plane(thing.outline(), tuple(-thing.depth - by for by in DOWN))
        measures = [(BODY, _body(rings, cost, edges))]
        measures += [(TERMINALS, _box(block, cost, edges)) for block in terminal_blocks(job, seat)]
        for what, measure in measures:
            yield SpeakerRoom("clear.thing", ((what, ident),), limit, limit, measure, reading, sd)


def _sheet(job: RingJob, seat: RingSeat) -> Iterator[SpeakerRoom]:
    """Yield the clearance of the tilted body to the sheet's opening, which it passes with more than its diameter."""
    limit, sd = job.limits.body, job.uncertainty("holes")
    measure = _body(body_rings(job.speaker, seat.lift), *_opening(job))
    yield SpeakerRoom("clear.body-opening", ((BODY, OPENING),), limit, limit, measure, "opening", sd)


def _terminals(job: RingJob, seat: RingSeat) -> Iterator[SpeakerRoom]:
    limit, sd = job.limits.terminals, job.uncertainty("holes")
    for block in terminal_blocks(job, seat):
        measure = _box(block, *_opening(job))
        yield SpeakerRoom("clear.terminals", ((TERMINALS, OPENING),), limit, limit, measure, "opening", sd)


def _opening(job: RingJob) -> tuple[Cost, Array]:
    """Return the distance function of points from the sheet, and the edges of its opening."""
    opening, thick = job.panel.opening.outline(), job.face_thickness
    return partial(to_sheet, opening, thick), upright_plane(opening, (0.0, -thick))


def _body(rings: tuple[Ring, ...], cost: Cost, edges: Array) -> Measure:
    """Return the measure of the body to something: from its rings, and from the edges of that."""
    return Between(rings_rims(rings), cost, edges, partial(from_body, rings))


def _box(block: BodyBlock, cost: Cost, edges: Array) -> Measure:
    """Return the measure of a terminal to something: from its edges, and from the edges of that."""
    return Between(block_edges(block), cost, edges, block.to)


def _discs(plane: Plane, rings: tuple[Ring, ...], side: float, frames: Frames, picks: Picks | None = None) -> RimMinima:
    levels, across = np.array(rings).T
    centres = frames.out(np.column_stack([np.zeros((len(rings), 2)), levels]))
    return RimMinima.exact(*disc_gaps(plane, centres, frames.z[:, None], across, side))


def _corners(plane: Plane, corners: Array, frames: Frames, picks: Picks | None = None) -> RimMinima:
    points = frames.out(corners)
    return RimMinima.exact(plane.gaps(points), points)


def _to_thing(thing: Thing, points: Array) -> Array:
    """Return the signed distance of points (n, 3) from a thing that reaches from its depth into the vehicle's side."""
    away = points[:, :2] - np.array(thing.at)
    if isinstance(thing.size, tuple):
        over = np.abs(away) - np.array(thing.size) / 2
        aside = np.hypot(*np.maximum(over, 0.0).T) + np.minimum(over.max(axis=1), 0.0)
    else:
        aside = np.hypot(*away.T) - thing.size / 2
    below = points[:, 2] + thing.depth
    outside = np.hypot(np.maximum(aside, 0), np.maximum(below, 0))
    apart: Array = np.where((aside <= 0) & (below <= 0), np.maximum(aside, below), outside)
    return apart


def terminal_blocks(job: RingJob, seat: RingSeat) -> Iterator[BodyBlock]:
    """Yield the speaker's terminals in their places."""
    for terminal in job.speaker.terminals:
        yield terminal_block(terminal, seat.frame, seat.turn, seat.lift)
