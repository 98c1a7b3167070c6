"""Choice of the pose that a job leaves open, and of what holds it there.

Active constraints of a chosen pose, and what each costs: found by searching again with it relaxed by one step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from mounts.design.choice import Active, Choice, Faced
from mounts.design.fasteners import Fastening
from mounts.design.listening import Listener, find_listeners, off_axis
from mounts.errors import InputError
from mounts.geometry.frames import PANEL, Array, clock_vector, tilt_frame
from mounts.geometry.ties import least_of, sort_with_ties
from mounts.kinds.ring.aiming.bed import Lie, ways_to_lie
from mounts.kinds.ring.aiming.drawn import (
    Draw,
    Solved,
    bed_cut,
    is_drawable,
    linear_cuts,
    lowest_job,
    room_lying,
    with_pose,
)
from mounts.kinds.ring.aiming.freedom import Freedom, Poses
from mounts.kinds.ring.aiming.limits import ROUNDED, Limit, limits_of
from mounts.kinds.ring.aiming.problem import TOUCHED, PoseProblem, Target
from mounts.kinds.ring.aiming.sampled import sampled_pose, settled_pose
from mounts.kinds.ring.aiming.search import search
from mounts.kinds.ring.height import height_bounds
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Base
from mounts.kinds.ring.seat import lay_out_seat, seat_at
from mounts.kinds.ring.turn import turn_of
from mounts.load.models.job import AimAngles

NEAR = 0.1  # mm or degrees: a limit that is kept by no more than this holds the place
REACH = 8.0  # mm: clearances that are kept by more than this do not come into play when another gives way
ROUNDS = 12  # of each search: the rough one, and the one that goes on until it gains no more than SLIGHT
SLIGHT = 1e-4  # squared degrees
MUCH = 1.0  # mm or degrees that a limit gives way by
DRAWN = 5  # times that the place is changed for what a drawn ring shows
MORE = 15.0  # mm that another place may bring on a bed at most
SAME = 1e-3  # degrees and mm: a place that has moved no further stays where it is
AGAIN = 1.0  # degrees and mm that a search then goes at first
TURNS = 3  # times that the speaker is turned again for the place that was found
STARTS = ((5.0, 0.0), (10.0, 0.0), (12.0, 70.0), (12.0, -70.0), (8.0, 180.0))  # tilt, and clock from ears
SIDEWAYS = 0.8  # of what a seat may be moved, by which it is where a search begins that leans to a side
CENTRED = 1  # of them, first: their seats lie aside as far as they lean, so that the bore does not narrow at the face
OVER = (1.0, 8.0)  # mm over the least height at which a search starts, in turn

Aims = tuple[tuple[Listener, float], ...]  # listeners and their shares


def active_limits(problem: PoseProblem, numbers: Array, miss: float) -> tuple[Active, ...]:
    """Return the limits that hold a place, the one that would bring most first.

    Args:
        problem: what was asked.
        numbers: of its best place.
        miss: by how much the worst clearance is missed, mm.
    """
    few = problem.near(numbers, REACH)
    margins, limits = few.margins(numbers)
    clearances = np.arange(len(limits)) < len(limits) - len(few.limits.hard_rows())
    touched = margins < np.where(clearances, NEAR - miss, NEAR)  # what must hold holds where clearances are missed
    causes = list(dict.fromkeys(limit.cause for limit, held in zip(limits, touched, strict=True) if held))
    if not causes:
        return ()
    gives = MUCH * np.array([[limit.cause == cause for limit in limits] for cause in causes])
    tell = few.teller(gives)
    found = search(np.tile(numbers, (len(causes), 1)), tell, MUCH, rounds=ROUNDS, alone=False)
    found = search(found.numbers, tell, MUCH / 2, SLIGHT, rounds=ROUNDS, alone=False)
    gained = _gains(few, numbers, found.numbers, found.miss, miss)
    told = [_active(cause, gain, margins, limits, touched) for cause, gain in zip(causes, gained, strict=True)]
    return tuple(sort_with_ties(told, (lambda one: -one.gives, SAME)))


def _gains(problem: PoseProblem, numbers: Array, wider: Array, missed: Array, miss: float) -> list[float]:
    """Return what relaxing each limit brings, per mm or degree."""
    before, after = (problem.freedom.poses(one) for one in (numbers[None], wider))
    if miss > TOUCHED:
        gained = miss - missed
    elif problem.targets:
        gained = problem.angle(before) - problem.angle(after)
    else:
        gained = after.heights - before.heights
    return [max(0.0, float(gain)) / MUCH for gain in gained]


def _active(cause: str, gain: float, margins: Array, limits: tuple[Limit, ...], touched: NDArray[np.bool_]) -> Active:
    """Return one cause with the tightest of the limits that rest on it."""
    rows = [k for k, limit in enumerate(limits) if limit.cause == cause and touched[k]]
    row = least_of(rows, key=lambda k: float(margins[k]))
    limit = limits[row]
    gap = float(margins[row]) + limit.wanted + limit.spare + ROUNDED
    return Active(limit.code, limit.between, gap, limit.wanted, limit.spare, limit.reading, limit.unit, gain)


def choose_pose(job: RingJob, screw: Fastening, base: Base, draw: Draw) -> Choice | None:
    """Return the pose of a ring's seat that a job leaves to be found; None where it gives one.

    Args:
        job: what is wanted.
        screw, base: of its ring.
        draw: job whose pose is given → the ring's plan, thin walls and all.

    Raises:
        InputError: where the ears to which it is to be turned were neither read nor estimated from the seat, or a
            height is sought that nothing limits.
    """
    if job.sought is None and job.height != "best":
        return None
    _refuse_endless(job)
    faced = _listeners(job)
    search = partial(_drawn, job, screw, base, draw)
    found = _on_bed(job, search(_best_pose(job, screw, base, faced)), draw, search)
    if not is_drawable(job, found, draw):
        found = sampled_pose(job, found, draw)
    return _choice(job, faced, found)


def _drawn(job: RingJob, screw: Fastening, base: Base, draw: Draw, found: Solved, *, lie: Lie | None = None) -> Solved:
    """Return the best place near a found one, of those at which a ring can be drawn and lies on its bed."""
    for _ in range(DRAWN):
        bare = found.miss > TOUCHED
        try:
            cuts = linear_cuts(job, found, screw, base, draw, bare=bare)
            bed = bed_cut(job, found, draw, lie) if lie else None
        except InputError:  # nothing can be drawn there
            break
        if not cuts and not bed:
            break
        limits = found.problem.limits
        limits = replace(limits, bed=(bed,) if bed else limits.bed)
        limits = replace(limits, bare=(*limits.bare, *cuts)) if bare else replace(limits, cuts=(*limits.cuts, *cuts))
        problem, before = replace(found.problem, limits=limits), found
        found = Solved(found.turn, problem, *problem.solved(found.numbers[None], AGAIN))
        if bare and np.abs(found.numbers - before.numbers).max(initial=0.0) < SAME:
            break
    return found


def _on_bed(job: RingJob, found: Solved, draw: Draw, search: Callable[..., Solved]) -> Solved:
    """Return the best place at which the ring lies on its bed, in one piece where that is possible at all.

    Where neither way to lie leaves a place that keeps all else as well, it is the best of the first way that is
    possible; where none is, the place that was found, and the check of the bed reports it.
    """

    def room(place: Solved, lie: Lie) -> float:
        return room_lying(with_pose(job, *place.pose, place.turn), draw, lie)

    kept = []
    for lie in ways_to_lie(job):
        left = room(found, lie)
        if left >= 0:
            return found
        if max(left, room_lying(lowest_job(job, found), draw, lie)) < -MORE:
            continue
        there = search(found, lie=lie)
        if room(there, lie) >= 0:
            if there.miss <= found.miss + TOUCHED:
                return there
            kept.append(there)
    return kept[0] if kept else found


def _refuse_endless(job: RingJob) -> None:
    """Refuse to seek a height that nothing limits."""
    old = job.panel.original
    if job.height == "best" and job.panel.in_front is None and (old is None or old.front is None):
        what = "best needs to know what is in front; read in_front: trim or grille"
        raise InputError(job.problem("height", f"{what}, or original: front, or give a height or least"))


def _listeners(job: RingJob) -> Aims:
    """Return the listeners that the job turns to."""
    if job.sought is None:
        return ()
    known = {one.which: one for one in find_listeners(job.panel, job.uncertainty("ears"))}
    missing = [seat for seat, _ in job.sought.at if seat not in known]
    if missing:
        what = "is needed to turn the speaker there, but was not read"
        need = "give any three of straight, rearward, inboard and up to the middle of the head, or the panel's seats"
        raise InputError(job.problem(f"panel.ears.{missing[0]}", f"{what}; {need}"))
    whole = sum(weight for _, weight in job.sought.at)
    return tuple((known[seat], weight / whole) for seat, weight in job.sought.at)


def _targets(faced: Aims) -> tuple[Target, ...]:
    """Return the places of the listeners; an estimate counts for a short, an average and a tall person alike."""
    return tuple(
        (place, share / (3 if one.is_estimated else 1))
        for one, share in faced
        for place in (one.points() if one.is_estimated else one.points()[:1])
    )


def _best_pose(job: RingJob, screw: Fastening, base: Base, faced: Aims, *, printed: bool = True) -> Solved:
    """Return the best place, with the speaker turned for it again until the turn stays.

    The height that the printer prints counts as long as it leaves a seat that can be drawn.
    """
    turn, best = _turn(job, screw, _first(job, faced)), None
    tried: set[float] = set()
    while turn not in tried and len(tried) < TURNS:
        tried.add(turn)
        seat = seat_at(job, lay_out_seat(job, turn), AimAngles(), 0.0)
        bounds = height_bounds(job, seat, base, screw)
        freedom = Freedom.of(job, bounds)
        limits = limits_of(job, seat, screw, bounds, freedom)
        problem = PoseProblem(_targets(faced), limits if printed else replace(limits, top=None), freedom)
        starts = _starts(job, problem, faced, seat.straight)
        numbers, miss = problem.solved(starts if best is None else np.concatenate([best.numbers[None], starts[:2]]))
        found = Solved(turn, problem, numbers, miss)
        if best is None or (round(found.miss, 2), found.cost) < (round(best.miss, 2), best.cost):
            best = found
        turn = _turn(job, screw, freedom.poses(numbers[None]))
    assert best is not None
    best = settled_pose(best) if best.miss > TOUCHED else best
    return best if best.is_possible else _best_pose(job, screw, base, faced, printed=False)


def _turn(job: RingJob, screw: Fastening, poses: Poses) -> float:
    """Return the speaker's turn on a seat, degrees."""
    offset = (float(poses.offsets[0, 0]), float(poses.offsets[0, 1]))
    there = replace(job, aim=AimAngles(float(poses.tilts[0]), float(poses.towards[0])), seat_offset=offset)
    return turn_of(there, screw, float(poses.heights[0]))


def _first(job: RingJob, faced: Aims) -> Poses:
    """Return the pose at which the speaker is turned for the first time."""
    tilt = job.aim.tilt if job.sought is None else 8.0 if job.sought.tilt is None else job.sought.tilt
    toward = job.sought.toward if job.sought else job.aim.toward
    toward = _clock(faced) if toward is None else toward
    height = 15.0 if isinstance(job.height, str) else job.height
    return Poses(np.array([tilt]), np.array([toward]), np.array([height]), np.array([job.seat_offset]))


def _clock(faced: Aims) -> float:
    """Return the clock direction of the listeners, degrees."""
    x, y = (sum(share * one.ear[k] for one, share in faced) for k in (0, 1))
    return float(np.degrees(np.arctan2(x, y)))


def _starts(job: RingJob, problem: PoseProblem, faced: Aims, straight: float) -> Array:
    """Return the numbers from which the search begins: towards the listeners, to their sides, and away from them."""
    clock, freedom = _clock(faced) if faced else job.aim.toward, problem.freedom
    tilts, aside = (np.array(column) for column in zip(*STARTS, strict=True))
    if job.sought is None:
        tilts, aside = np.full(len(OVER), job.aim.tilt), np.zeros(len(OVER))
    elif job.sought.tilt is not None:
        tilts, aside = np.full(len(STARTS), job.sought.tilt), np.linspace(0, 300, len(STARTS))
    towards = clock + aside if freedom.toward is None else np.full(len(tilts), freedom.toward)
    tilts = np.minimum(tilts, min((most for most, _ in problem.limits.most), default=np.inf))
    offsets = np.tile(np.asarray(job.seat_offset), (len(tilts), 1))
    if freedom.aside:
        lean = np.sin(np.radians(tilts[:CENTRED])) * straight
        offsets[:CENTRED] = lean[:, None] * [clock_vector(float(clock)) for clock in towards[:CENTRED]]
        to_sides = np.flatnonzero(aside)
        offsets[to_sides] = (
            SIDEWAYS * problem.limits.aside * np.array([clock_vector(clock + aside[k]) for k in to_sides])
        )
    flat = Poses(tilts, towards, np.zeros(len(tilts)), offsets)
    least = problem.limits.bounds.least(flat.frames).max(axis=1)
    heights = least + np.resize(OVER, len(tilts))
    return freedom.numbers(Poses(tilts, towards, heights, offsets))


def _choice(job: RingJob, faced: Aims, found: Solved) -> Choice:
    """Return the choice in plain values."""
    aim, height, offset = found.pose
    start = (*offset, height)
    axis = tilt_frame(start, aim.tilt, aim.toward).z
    told = tuple(
        Faced(one, share, off_axis(axis, start, one.ear), off_axis(PANEL.z, (0.0, 0.0, height), one.ear))
        for one, share in faced
    )
    return Choice(
        aim=aim,
        height=height,
        seat_offset=offset,
        turn=found.turn,
        faced=told,
        angle=float(found.problem.angle(found.problem.freedom.poses(found.numbers[None]))[0]) if faced else None,
        active=active_limits(found.problem, found.numbers, found.miss),
        misses=found.miss if found.miss > TOUCHED else 0.0,
        sure=job.sure,
        quantile=found.problem.limits.quantile,
    )
