"""The mesh kernel by itself: how its error falls, and what it gives to envelopes and clearances."""

from __future__ import annotations

from math import hypot, pi, sin, tau

import numpy as np
import pytest

from mounts.errors import KernelError
from mounts.geometry.frames import PANEL, tilt_frame
from mounts.geometry.outline import circle, rectangle
from mounts.kernels import mesh
from mounts.kernels.nets import net
from mounts.shape.primitives import Body, Prism, Revolved
from tests.kernels.bank import CASES, ruled

SEAT = tilt_frame((0.0, 0.0, 20.0), 9.0, 60.0)
BODIES: dict[str, Body] = {
    "large circle": Prism(circle(60.0), 0.0, 1.0),
    "small circle": Prism(circle(5.0), 0.0, 1.0),
    "rounded": Prism(rectangle(50.0, 20.0, 3.0), 0.0, 1.0, islands=(circle(8.0),)),
    "tilted": ruled((PANEL, circle(60.0)), (SEAT, circle(50.0))),
    "revolved": Revolved(SEAT, ((0.0, 0.0), (2.0, 16.0), (5.0, 16.0), (5.0, 8.0))),
}


@pytest.mark.parametrize("segments", [12, 96, 256])
def test_a_circle_is_a_regular_polygon(segments: int) -> None:
    """Area of a regular polygon of n corners on a circle: n/2·r²·sin(2π/n)."""
    area = segments / 2 * 30.0**2 * sin(tau / segments)
    assert mesh.solid(BODIES["large circle"], segments).volume() == pytest.approx(area, rel=1e-12)


@pytest.mark.parametrize("name", BODIES)
def test_doubling_the_segments_keeps_every_point_and_quarters_the_error(name: str) -> None:
    coarse, fine = (net(BODIES[name], segments).points for segments in (64, 128))
    known = {tuple(point) for point in fine.round(9)}
    assert all(tuple(point) in known for point in coarse.round(9))
    volumes = [mesh.solid(BODIES[name], segments).volume() for segments in (128, 256, 512)]
    assert (volumes[1] - volumes[0]) / (volumes[2] - volumes[1]) == pytest.approx(4.0, rel=2e-3)


def test_a_small_circle_bulges_no_further_from_its_chords_than_a_large_one() -> None:
    def bulge(diameter: float) -> float:
        plane = net(Prism(circle(diameter), 0.0, 1.0), 256).points[:, :2]
        step = np.abs(plane[1] - plane[0])
        return diameter / 2 - hypot(diameter / 2, 0.0) * np.cos(np.arcsin(hypot(*step) / diameter))

    limit = 1.1 * bulge(180.0)
    assert bulge(2.0) < bulge(11.9) < limit
    assert bulge(13.0) < bulge(47.9) < limit


def test_faces_are_the_spans_and_the_caps() -> None:
    drawn = net(Prism(rectangle(20.0, 10.0, 2.0), 0.0, 3.0, islands=(circle(4.0),)), 32)
    counts = np.bincount(drawn.face)
    assert len(counts) == 8 + 1 + 2
    assert (counts > 0).all()
    corners = drawn.points[drawn.triangles]
    assert np.ptp(corners[drawn.face == 9][:, :, 2]) == 0
    assert np.ptp(corners[drawn.face == 10][:, :, 2]) == 0


def test_gaps_and_overlaps_between_envelopes() -> None:
    """Gap of two upright cylinders 30 apart; overlap of two boxes."""
    one, other = (mesh.solid(Prism(circle(20.0), 0.0, 5.0, PANEL.shifted(x, 0.0)), 512) for x in (0.0, 30.0))
    assert one.min_gap(other, 20.0) == pytest.approx(10.0, abs=1e-3)
    boxes = [Prism(rectangle(10.0, 10.0, 0.0), 0.0, 10.0, PANEL.shifted(x, 0.0)) for x in (0.0, 7.0)]
    assert mesh.union(boxes).volume() == pytest.approx(1700.0, abs=1e-9)
    assert (mesh.solid(boxes[0]) ^ mesh.solid(boxes[1])).volume() == pytest.approx(300.0, abs=1e-9)


def test_the_centroid_of_a_cone() -> None:
    part = mesh.build(CASES["cone"].recipe, 512)
    assert part.centroid == pytest.approx([0.0, 0.0, 2.25], abs=1e-9)
    assert part.volume == pytest.approx(
        pi * 300.0, rel=1.01 / 6 * (tau / 256) ** 2
    )  # a polygon's area falls short by (2π/n)²/6


def test_a_solid_of_nothing_says_what_it_was() -> None:
    with pytest.raises(KernelError, match=r"mesh kernel: a prism from 2\.000 up to 1\.000 has no height"):
        mesh.solid(Prism(circle(2.0), 2.0, 1.0))
