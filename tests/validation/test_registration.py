"""Registration of hole patterns against the literature and a general-purpose library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from mounts.geometry.registration import find_registrations
from tests.geometry.motion import nearest_motion

# S. Umeyama, Least-squares estimation of transformation parameters between two point patterns, IEEE PAMI 13 (1991)
# 376-380: the example of its section V, as it is repeated in two public repositories' tests; without scale, as here,
# the rotation is the same and the shift follows from the centroids (computed with numpy's SVD).
UMEYAMA_A = ((0.0, 0.0), (1.0, 0.0), (0.0, 2.0))
UMEYAMA_B = ((0.0, 0.0), (-1.0, 0.0), (0.0, 2.0))


def test_the_rotation_of_umeyamas_example():
    found = nearest_motion(UMEYAMA_A, UMEYAMA_B)
    (x, y), origin = found.moved((1.0, 0.0)), found.moved((0.0, 0.0))
    assert (x - origin[0], y - origin[1]) == pytest.approx((0.83205, -0.55470), abs=1e-5)  # R's first column
    assert found.shift == pytest.approx((-0.98048, 0.29687), abs=1e-5)
    moved = np.array([found.moved(point) for point in UMEYAMA_A])
    assert ((moved - UMEYAMA_B) ** 2).sum(axis=1).mean() == pytest.approx(0.61975, abs=1e-5)


def test_umeyamas_example_is_a_reflection():
    """The rotation is kept proper though the data are a mirror image; with the mirror nothing is left."""
    best = find_registrations(UMEYAMA_A, UMEYAMA_B, 0.1, 3)[0]
    assert best.motion.mirrored
    assert best.worst < 1e-12


@pytest.mark.parametrize("seed", range(5))
def test_against_scipys_alignment_of_vectors(seed):
    """scipy.spatial.transform.Rotation.align_vectors (Markley's method): the same residual for noisy patterns."""
    drawn = np.random.default_rng(seed)
    points = drawn.uniform(-100, 100, (6, 2))
    turn = drawn.uniform(-180, 180)
    onto = (Rotation.from_euler("z", turn, degrees=True).as_matrix()[:2, :2] @ points.T).T + drawn.normal(
        0, 0.5, (6, 2)
    )
    found = nearest_motion([tuple(p) for p in points], [tuple(q) for q in onto])
    left = np.array([found.moved(tuple(p)) for p in points]) - onto
    flat = [np.column_stack([p - p.mean(axis=0), np.zeros(6)]) for p in (onto, points)]
    rotation, root = Rotation.align_vectors(*flat)
    assert np.sqrt((left**2).sum()) == pytest.approx(root, rel=1e-6)
    assert (-found.turn - rotation.as_euler("zyx", degrees=True)[0]) % 360 == pytest.approx(0, abs=1e-6)
