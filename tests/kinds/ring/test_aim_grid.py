"""A dense grid of poses on doors made up at random finds nothing that is feasible and better by a quarter of a degree.

Angles are told for all poses of the grid, and only those that would beat the search are held against the limits, one
limit after the other. Where poses nearly keep them all, a finer cloud of poses is laid about each. The limits are the
plan's own closed forms, which the other tests hold against formulas and the mesh. A door of each speaker, with a thing
behind and without, always; `MOUNTS_SCALE=1` takes fifty.
"""

from __future__ import annotations

import os
from dataclasses import replace

import numpy as np
import pytest

from mounts.geometry.frames import Array
from mounts.kinds.ring.aiming.drawn import Solved
from mounts.kinds.ring.aiming.freedom import Poses
from mounts.load.models.surroundings import Ears, InFront
from tests.kinds.ring.aimed import ANY, aimed, angle, flat, glass, solved, trim
from tests.kinds.ring.conftest import changed, jobs_of

BETTER = 0.25  # degrees
TILTS, CLOCKS = np.arange(0.0, 24.0, 2.0), np.arange(0.0, 360.0, 20.0)
RISES = np.arange(0.03, 12.0, 1.5)  # mm over the least height
NEARLY = 1.0  # mm and degrees: poses that miss by no more have a finer cloud laid about them
SEEDS, CLOUD = 12, 50  # such poses at most, and poses in each cloud
JOBS = 50 if os.environ.get("MOUNTS_SCALE") else 6


def random_job(seed: int):
    """A door of its own, with any of three speakers."""
    random = np.random.default_rng(seed)
    job = jobs_of(("linnet-woofer", "linnet-rear-three-holes", "linnet-slider-oblong")[seed % 3])[0]
    clocks = ("12:00", "3:00", "6:00", "9:00")
    deep = {clock: float(random.uniform(46, 66)) for clock in clocks}
    low = random.uniform(36, 46)
    high = {clock: float(low + random.uniform(-3, 3)) for clock in clocks}
    at, depth = random.uniform(-55, 55, 2).tolist(), float(random.uniform(15, 45))
    stop = {"what": "stop", "at": at, "size": [20, 30], "depth": depth}
    x, y, across, rise = (float(random.uniform(*span)) for span in ((-8, 8), (-8, 8), (118, 150), (2, 12)))
    front = InFront(trim=trim(high, across, (x, y)), grille=flat(float(low) + rise))
    spans = {"rearward": (-200, 700), "inboard": (350, 900), "up": (100, 700)}
    listener = {way: float(random.uniform(*span)) for way, span in spans.items()}
    changes = {
        "panel__behind": glass(deep, stop) if seed % 2 else glass(deep),
        "panel__in_front": front,
        "panel__ears": Ears.model_validate({"this_seat": listener}),
        "panel__lean": float(random.uniform(0, 15)),
        "seat_offset": (0.0, 0.0),
        "turn": {"linnet-slider-oblong": 90.0}.get(job.name, job.turn),
    }
    return aimed(job, **changes)


def grid(found: Solved) -> Poses:
    """Poses all round, in the middle, aside, and where the bore just stays within the opening when it leans."""
    tilts, towards = (part.ravel() for part in np.meshgrid(TILTS, CLOCKS, indexing="ij"))
    turn, rise = np.radians(towards), np.sin(np.radians(tilts))
    ahead = np.stack([np.sin(turn), np.cos(turn)], axis=-1)
    aside = found.problem.limits.aside - 0.05
    around = np.radians(np.arange(0, 360, 60))
    ways = [np.zeros_like(ahead), *(np.tile([np.cos(a), np.sin(a)], (len(tilts), 1)) * aside for a in around)]
    ways.append(np.minimum(6.5 * rise, aside)[:, None] * ahead)
    offsets = np.concatenate(ways)
    tilts, towards = np.tile(tilts, len(ways)), np.tile(towards, len(ways))
    flat_ones = Poses(tilts, towards, np.zeros(len(tilts)), offsets)
    least = found.problem.limits.bounds.least(flat_ones.frames).max(axis=1)
    count = len(RISES)
    return Poses(
        np.repeat(tilts, count),
        np.repeat(towards, count),
        (least[:, None] + RISES).ravel(),
        np.repeat(offsets, count, axis=0),
    )


def chosen(poses: Poses, keep: Array) -> Poses:
    """Some of the poses."""
    return Poses(poses.tilts[keep], poses.towards[keep], poses.heights[keep], poses.offsets[keep])


def kept(found: Solved, poses: Poses, slack: float) -> Poses:
    """Those that keep every limit but for some slack."""
    limits = found.problem.limits
    poses = chosen(poses, limits.hard(poses).min(axis=1) >= -0.05 - slack) if len(poses.tilts) else poses
    for room in limits.rooms:
        if len(poses.tilts):
            margin = room.measure(poses.frames).values.min(axis=1) - room.wanted - limits.spare(room)
            poses = chosen(poses, margin >= -slack)
    return poses


def cloud(poses: Poses, random: np.random.Generator) -> Poses:
    """Many poses about each of some."""
    count = len(poses.tilts) * CLOUD
    turn = np.radians(np.repeat(poses.towards, CLOUD))
    lean = np.repeat(poses.tilts, CLOUD)[:, None] * np.stack([np.sin(turn), np.cos(turn)], axis=-1)
    lean = lean + random.uniform(-NEARLY, NEARLY, (count, 2))
    heights = np.repeat(poses.heights, CLOUD) + random.uniform(-NEARLY, NEARLY, count)
    offsets = np.repeat(poses.offsets, CLOUD, axis=0) + random.uniform(-NEARLY, NEARLY, (count, 2))
    return Poses(np.hypot(*lean.T), np.degrees(np.arctan2(lean[:, 0], lean[:, 1])), heights, offsets)


def best_on(found: Solved, better_than: float) -> float:
    """The least angle of a feasible pose on the grid that beats so many degrees; those degrees where none does."""
    poses, random = grid(found), np.random.default_rng(1)
    for _ in range(2):
        nearly = kept(found, chosen(poses, found.problem.angle(poses) < better_than + NEARLY), NEARLY)
        if not len(nearly.tilts):
            return better_than
        seeds = np.argsort(found.problem.angle(nearly))[:: max(1, len(nearly.tilts) // SEEDS)]
        poses = cloud(chosen(nearly, seeds), random)
        good = kept(found, chosen(poses, found.problem.angle(poses) < better_than), 0.0)
        if len(good.tilts):
            return float(found.problem.angle(good).min())
    return better_than


@pytest.mark.parametrize("seed", range(JOBS))
def test_no_pose_of_the_grid_is_better(seed: int) -> None:
    found = solved(random_job(seed))
    if found.miss > 0.01:  # nothing fits, and nothing on the grid does
        poses = grid(found)
        assert not len(kept(found, chosen(poses, np.arange(0, len(poses.tilts), 5)), 0.0).tilts)
        return
    assert best_on(found, angle(found) - BETTER) == angle(found) - BETTER


def test_the_grid_would_find_a_better_pose() -> None:
    """Held against a search that was stopped from leaning far, the grid finds better ones."""
    job = random_job(0)
    held = solved(changed(job, sought=replace(ANY, within=1.0, aside=0.0)))
    free = solved(job)
    assert best_on(free, angle(held) - BETTER) < angle(held) - BETTER
