"""Of places that are equally good, the one that is taken is near enough to the one that takes least material.

Ties are drawn at random about the chosen place: as near to the listener within a tenth of a degree and to the grille
within a tenth of a millimetre, every limit kept. Volumes are those of the mesh kernel (manifold3d).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from mounts.geometry.frames import Array
from mounts.kernels import mesh
from mounts.kinds.ring.aiming.drawn import Solved, with_pose
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import _drawn, plan_ring
from mounts.kinds.ring.shape import draw_ring
from tests.kinds.ring.aimed import ANY, aimed, solved
from tests.kinds.ring.conftest import jobs_of

TIE = 0.1  # degrees and mm
MORE = 1.03  # of the least volume, at most
LOOKED, DRAWN = 60_000, 8  # places that are looked at, and ties that are drawn


def volume(job: RingJob) -> float:
    """Of the ring of a job that gives its pose, mm³."""
    return mesh.build(draw_ring(_drawn(job, frozenset(), strict=False)).recipe, 96).volume


def ties(found: Solved) -> Array:
    """Numbers of places that are as good as the best, far from each other."""
    random, (problem, free) = np.random.default_rng(6), (found.problem, found.problem.freedom)
    best = free.poses(found.numbers[None])
    wide = np.array([3.0] * free.lean + [0.5] * (free.height is None) + [16.0] * (2 * free.aside))
    scales = 10 ** random.uniform(-2, 0, (LOOKED, 1))
    cloud = found.numbers + scales * random.uniform(-1, 1, (LOOKED, len(found.numbers))) * wide
    poses = free.poses(cloud)
    cloud = cloud[(problem.angle(poses) <= problem.angle(best) + TIE) & (abs(poses.heights - best.heights) <= TIE)]
    cloud = cloud[problem.limits.hard(free.poses(cloud)).min(axis=1) >= -0.02][:400]
    cloud = cloud[problem.limits.soft(free.poses(cloud))[0].min(axis=1) >= -0.02]
    apart, picks = np.full(len(cloud), np.inf), [0]
    for _ in range(DRAWN - 1):
        apart = np.minimum(apart, abs(cloud - cloud[picks[-1]]).max(axis=1))
        picks.append(int(apart.argmax()))
    picked: Array = cloud[picks]
    return picked


JOBS = {
    "the woofer on its door": lambda: aimed(jobs_of("linnet-woofer")[0]),
    "its seat free to go far aside": lambda: aimed(
        jobs_of("linnet-woofer")[0], sought=replace(ANY, tilt=3.0, aside=10.0)
    ),
}


@pytest.mark.parametrize("name", JOBS)
def test_no_tie_takes_much_less_material(name):
    job = JOBS[name]()
    choice, found = plan_ring(job).choice, solved(job)
    chosen = volume(with_pose(job, choice.aim, choice.height, choice.seat_offset, choice.turn))
    others = []
    for numbers in ties(found):
        aim, height, offset = found.pose_of(numbers)
        others.append(volume(with_pose(job, aim, height, offset, found.turn)))
    assert len(set(others)) == DRAWN
    assert chosen <= MORE * min(others)
