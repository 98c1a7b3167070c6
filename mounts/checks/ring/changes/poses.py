"""Other poses of the seat at which the speaker keeps its clearances, the nearest first, in closed form."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from math import floor, hypot

import numpy as np
from numpy.typing import NDArray

from mounts.design.clearances import SpeakerRoom
from mounts.errors import MountsError
from mounts.findings.compare import SEARCHED
from mounts.geometry.frames import PANEL, Array, Frame, Frames, tilt_frame
from mounts.geometry.outline import Point
from mounts.identity import BODY, CONE, FLANGE, SURROUND
from mounts.kinds.review import Change
from mounts.kinds.ring.aiming.walls import wall_rooms
from mounts.kinds.ring.base import base_for, fastening_of
from mounts.kinds.ring.height import height_bounds, seat_height
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import draft_ring
from mounts.kinds.ring.seat import lay_out_seat, seat_at
from mounts.kinds.ring.seat_clearances import speaker_rooms
from mounts.kinds.ring.trim import lid_rooms
from mounts.kinds.ring.turn import turn_of
from mounts.load.models.job import Sought

FURTHEST = 40.0  # mm up or down
STEP = 0.1  # degrees, as it is written; lengths have the step of the job's unit
APART = 1.0  # mm or degrees between two trials
TRIALS = 3  # plans for each key
WIDE = 1000.0  # mm of a bed that holds any ring
AROUND = np.radians(np.arange(0, 360, 30))  # ways in which the seat is moved aside

HIGHEST, GRID = 120.0, 2.0  # mm: seats at which it is asked whether there is room at all, and their distance in height
LEAN = 2.0  # degrees from one of them to the next
BESIDE = 0.7  # of the way aside: where twelve of them lie round one in the middle
BETWEEN = 0.45  # of that way: no place within it is further from all of them
UNTURNED = (BODY, CONE, SURROUND)  # what of a speaker stands as it does however it is turned and its mount is made

Kept = Callable[[Sequence[Frame]], NDArray[np.bool_]]


def pose_changes(job: RingJob) -> Iterator[Change[RingJob]]:
    """Yield other heights, less tilt, and places aside at which the speaker and the tools have room."""
    try:
        (x, y, height), kept = _limits(job)
    except MountsError:
        return
    tilt, toward = job.aim.tilt, job.aim.toward
    step = job.units.step
    steps = np.arange(1, round(FURTHEST / step) + 1)
    heights: Array = np.round(step * (round(height / step) + np.ravel([steps, -steps], order="F")), 9)
    for value in _spaced(heights, kept([tilt_frame((x, y, float(one)), tilt, toward) for one in heights])):
        yield Change({"height": job.units.key(value)}, replace(job, height=value))
    tilts = np.round(STEP * np.arange(round(tilt / STEP) - 1, 0, -1.0), 1)
    if len(tilts):
        for value in _spaced(tilts, kept([tilt_frame((x, y, height), float(one), toward) for one in tilts])):
            yield Change({"tilt": f"{value:g}"}, replace(job, aim=replace(job.aim, tilt=value)))
    places = [
        (_stepped(job, x + away * float(np.sin(turn))), _stepped(job, y + away * float(np.cos(turn))))
        for away in np.arange(1.0, job.limits.aside + 0.5)
        for turn in AROUND
    ]
    good = kept([tilt_frame((u, v, height), tilt, toward) for u, v in places])
    for u, v in [place for place, is_kept in zip(places, good, strict=True) if is_kept][:TRIALS]:
        yield Change({"seat_offset": _pair(job, (u, v))}, replace(job, seat_offset=(u, v)))


def sought_pose(job: RingJob) -> Change[RingJob] | None:
    """Return the highest seat at the job's tilt, moved aside where that helps; None where it cannot be sought."""
    sought = Sought((), job.aim.tilt, job.aim.toward, job.aim.tilt, job.limits.aside)
    wide = job.printer.model_copy(update={"bed": (WIDE, WIDE, job.printer.bed[2])})  # the trial looks at the bed
    try:
        plan = draft_ring(replace(job, height="best", sought=sought, seat_offset=(0.0, 0.0), printer=wide))
    except MountsError:
        return None
    if plan.choice is None:
        return None
    step = job.units.step
    height = round(floor(plan.choice.height / step + 1e-6) * step, 9)
    x, y = (_stepped(job, value) for value in plan.choice.seat_offset)
    lines = {"height": job.units.key(height), "seat_offset": _pair(job, (x, y))}
    return Change(lines, replace(job, height=height, seat_offset=(x, y)))


def has_room(job: RingJob) -> bool:
    """Return whether at a pose that changes reach nothing fails that the speaker's own place decides.

    Between the places of a grid no distance differs by more than the way to the nearest of them.
    """
    try:
        seat = seat_at(job, lay_out_seat(job, turn_of(job, fastening_of(job), 15.0)), job.aim, 15.0)
    except MountsError:
        return True
    speaker, aside, tilt = job.speaker, job.limits.aside, job.aim.tilt
    round_flange = (FLANGE,) if speaker.flange.outline().is_circle else ()
    rooms = [one for one in speaker_rooms(job, seat) if one.between[0][0] in (*UNTURNED, *round_flange)]
    ways = [(0.0, 0.0), *(BESIDE * aside * np.column_stack([np.sin(AROUND), np.cos(AROUND)]))]
    levels = np.arange(0.0, HIGHEST + GRID, GRID)
    places = np.array([(x, y, z) for x, y in np.add(ways, job.seat_offset) for z in levels])
    turned = np.radians(LEAN / 2) * hypot(speaker.depth, speaker.flange.across) if tilt else 0.0
    slack = hypot(BETWEEN * aside, GRID / 2) + turned + seat.lift

    def is_free(lean: float) -> bool:
        frames = Frames.tilted(places, np.full(len(places), lean), np.full(len(places), job.aim.toward))
        for room in rooms:
            found = room.measure(frames).values.min(axis=1) >= room.least - slack
            frames = Frames(frames.origins[found], frames.axes[found])
            if not len(frames.origins):
                return False
        return True

    return any(is_free(lean) for lean in (np.arange(tilt, 0.0, -LEAN) if tilt else (0.0,)))


def _stepped(job: RingJob, value: float) -> float:
    """Return a length as it is written in the job's unit, mm."""
    return round(round(value / job.units.step) * job.units.step, 9) + 0.0


def _pair(job: RingJob, at: Point) -> str:
    return f"[{job.units.key(at[0])}, {job.units.key(at[1])}]"


def _limits(job: RingJob) -> tuple[tuple[float, float, float], Kept]:
    """Return where the seat is, and which of some others keep every clearance that depends on the seat alone."""
    screw = fastening_of(job)
    base = base_for(job, screw)
    guess = 15.0 if isinstance(job.height, str) else job.height
    layout = lay_out_seat(job, turn_of(job, screw, guess))
    given = replace(job, height=guess) if job.height == "best" else job
    height, least = seat_height(given, layout, base, screw, strict=False)
    seat = seat_at(job, layout, job.aim, max(height, least))
    rooms: list[SpeakerRoom] = [*speaker_rooms(job, seat), *wall_rooms(job, seat, screw)]
    rooms += lid_rooms(job, replace(seat, frame=PANEL))
    bounds = height_bounds(job, seat, base, screw)

    def kept(seats: Sequence[Frame]) -> NDArray[np.bool_]:
        frames = Frames.of(*seats)
        on_face = replace(frames, origins=frames.origins * (1.0, 1.0, 0.0))
        found: NDArray[np.bool_] = bounds.margins(on_face, frames.origins[:, 2]).min(axis=1) >= -SEARCHED
        for room in rooms:
            some = np.flatnonzero(found)
            if not len(some):
                break
            values = room.measure(Frames.of(*(seats[int(k)] for k in some))).values.min(axis=1)
            found[some] = values >= max(room.wanted, room.least) - SEARCHED
        return found

    return seat.frame.origin, kept


def _spaced(values: Array, kept: NDArray[np.bool_]) -> Iterator[float]:
    """Yield the values that are kept, each apart from those before it."""
    yielded: list[float] = []
    for value in values[kept]:
        if all(abs(value - other) > APART - STEP / 2 for other in yielded):
            yielded.append(float(value))
            yield yielded[-1]
        if len(yielded) == TRIALS:
            return
