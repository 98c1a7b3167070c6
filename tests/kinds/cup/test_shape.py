"""The cup as both kernels make it, and as its STEP tells it."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi, radians, tan

import numpy as np
import pytest

from mounts import pipeline
from mounts.identity import Role
from mounts.kernels import mesh
from mounts.kernels.readback import read_cylinders
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.shape import draw_cup
from mounts.write.step import step_bytes
from tests.cups import FLANGE, cup, cups

NUT = {"by": "ring nut", "clamp": {"across": 40, "height": 5, "grip": [2, 6]}}
PIN = "panel__pins__"
MANY = {
    "press": {},
    "press, tilted": {"aim": {"tilt": 15, "toward": "3:00"}},
    "lip": {"retention": {"by": "press", "keep": "lip"}},
    "lip over an oval": {
        "speaker__flange": {"oblong": [40, 34], "thickness": 2},
        "retention": {"by": "press", "keep": "lip"},
    },
    "flange": FLANGE,
    "flange, tilted": {**FLANGE, "aim": {"tilt": 10, "toward": "1:00"}},
    "ring nut": {"retention": NUT},
    "spring clip, tilted": {"retention": {**NUT, "by": "spring clip"}, "aim": {"tilt": 8, "toward": "9:00"}},
    "closed": {"back": "closed"},
    "closed, with a wire": {"back": "closed", "wire": {"at": "3:00", "across": 4}},
    "notch": {"wire": {"at": "3:00", "across": 4}, "aim": {"tilt": 8, "toward": "9:00"}},
    "two pins": {PIN + "C": None, PIN + "D": None},
    "six pins": {
        PIN + "E": {"at": [0, 34], "diameter": 2.6, "height": 8},
        PIN + "F": {"at": [0, -36], "diameter": 2.6, "height": 8},
    },
    "hollow pin": {PIN + "A": {"at": [-30, 12], "diameter": 5, "height": 10, "form": "hollow", "hole": 2.5}},
    "long pin": {PIN + "A__height": 14},
}


@pytest.mark.parametrize("name", MANY)
def test_every_kind_of_cup_is_one_solid_with_the_holes_planned(tmp_path, name):
    plan = plan_cup(cup(tmp_path, **MANY[name]))
    part = mesh.build(draw_cup(plan).recipe, 96)
    holes = {"two pins": 3, "six pins": 7, "closed, with a wire": 6}.get(name, 5)
    assert (part.solids, part.shells, part.genus, plan.genus) == (1, 1, holes, holes)
    low, high = part.vertices[:, 2].min(), part.vertices[:, 2].max()
    assert (low, high) == pytest.approx((-plan.depth, 0.0), abs=1e-9)


@pytest.mark.parametrize("name", ["press, tilted", "flange", "spring clip, tilted", "closed, with a wire"])
def test_both_kernels_agree(tmp_path, name):
    plan = plan_cup(cup(tmp_path, **MANY[name]))
    _, agreement = pipeline.build(draw_cup(plan))
    assert abs(agreement.difference_ppm) < 1.0
    assert agreement.brep_genus == agreement.mesh_genus == plan.genus


def test_volume_of_what_is_cut_by_formula(tmp_path):
    """Level seat and upright sides: the bore below the seat between closed and open, a disc of the floor less."""
    open_, closed = (plan_cup(cup(tmp_path, back=back, retention=NUT)) for back in ("open", "closed"))
    assert open_.seat.bore.area == pytest.approx(pi / 4 * 28.5**2)
    part = mesh.build(draw_cup(open_).recipe, 512)
    # at a level between seat and nut room there is hub less bore and wells; told by a thin slice of the mesh
    import manifold3d

    whole = manifold3d.Manifold(manifold3d.Mesh64(part.vertices, part.triangles.astype(np.uint64)))
    area = whole.slice(-6.0).area()
    bare = draw_cup(open_).recipe
    hub = mesh.union([body for feature in bare.added for body in feature.bodies], 512)
    wells = hub.slice(-6.0)
    for feature in (one for one in bare.features if one.cut):
        if feature.ident.role is Role.WELL:
            wells = wells - mesh.union(feature.bodies, 512).slice(-6.0)
    assert area == pytest.approx(wells.area() - pi / 4 * 28.5**2, rel=1e-4)
    assert closed.depth > open_.depth


def test_the_two_sides_are_mirror_images(tmp_path):
    """The tweeter is its own mirror image, so the parts are each other's (text aside)."""
    jobs = cups(tmp_path, sides=["left", "right"], aim={"tilt": 8, "toward": "10:00"}, wire={"at": "4:00", "across": 4})
    left, right = (mesh.build(draw_cup(plan_cup(job)).recipe, 96) for job in jobs)
    import manifold3d

    one, other = (
        manifold3d.Manifold(manifold3d.Mesh64(part.vertices, part.triangles.astype(np.uint64)))
        for part in (left, right)
    )
    mirrored = other.mirror((1.0, 0.0, 0.0))
    both = (one ^ mirrored).volume()
    assert both == pytest.approx(one.volume(), rel=2e-4)
    assert both == pytest.approx(mirrored.volume(), rel=2e-4)


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """A tilted pressed cup: its plan, and the cylinders of its STEP."""
    job = cup(tmp_path_factory.mktemp("cup"), aim={"tilt": 10, "toward": "2:00"})
    plan = plan_cup(job)
    part, _ = pipeline.build(draw_cup(plan))
    return plan, read_cylinders(step_bytes(part))


def test_pin_holes_read_back_from_step(told):
    plan, found = told
    upright = [c for c in found if c.hole and abs(c.direction[2]) > 0.999999]
    for stake in plan.stakes:
        ways = (-stake.way, stake.way) if stake.way else (0.0,)
        a, c = (next(s for s in plan.stakes if s.role == role) for role in ("locator", "slot"))
        run = hypot(c.at[0] - a.at[0], c.at[1] - a.at[1])
        along = ((c.at[0] - a.at[0]) / run, (c.at[1] - a.at[1]) / run)
        for way in ways:
            at = (stake.at[0] + way * along[0], stake.at[1] + way * along[1])
            near = [
                c for c in upright
                if hypot(c.start[0] - at[0], c.start[1] - at[1]) < 1e-6 and abs(c.diameter - stake.width) < 1e-6
            ]  # fmt: skip
            assert len(near) == 1, stake.name
            assert near[0].start[2] == pytest.approx(-stake.seat, abs=1e-6)
            assert near[0].sweep == pytest.approx(180.0 if stake.way else 360.0, abs=1e-6)


def test_wells_read_back_from_step(told):
    plan, found = told
    for stake in plan.stakes:
        mine = [
            c
            for c in found
            if c.hole
            and abs(c.diameter - stake.well) < 1e-6
            and hypot(c.start[0] - stake.at[0], c.start[1] - stake.at[1]) < 1e-6
        ]
        assert len(mine) == 1
        assert mine[0].end[2] == pytest.approx(-stake.seat, abs=1e-6)


def test_ribs_read_back_from_step(told):
    """Six outward cylinders along the tweeter's axis, their tips on the circle that the plan leaves free."""
    plan, found = told
    press, frame = plan.seat.press, plan.seat.frame
    ribs = [c for c in found if not c.hole and abs(c.diameter - press.tip) < 1e-6]
    assert len(ribs) == press.ribs == 6
    places = []
    for rib in ribs:
        assert np.asarray(rib.direction) == pytest.approx(frame.z, abs=1e-6)
        x, y, _ = frame.into(rib.start)
        assert 2 * (hypot(x, y) - press.tip / 2) == pytest.approx(press.inside, abs=1e-6)
        places.append(np.degrees(np.arctan2(y, x)) % 360)
    assert np.diff(sorted(places)) == pytest.approx([60.0] * 5, abs=1e-6)


def test_bore_and_room_read_back_from_step(told):
    plan, found = told
    along = [c for c in found if c.hole and np.asarray(c.direction) == pytest.approx(plan.seat.frame.z, abs=1e-6)]
    across = {round(c.diameter, 6) for c in along}
    assert {28.5, 34.6} <= across
    bore = [c for c in along if abs(c.diameter - 28.5) < 1e-6]
    ends = [plan.seat.frame.into(p)[2] for c in bore for p in (c.start, c.end)]
    assert max(ends) == pytest.approx(0.0, abs=1e-6)  # the bore ends at the seat


def test_nothing_is_steeper_than_the_printer_prints(tmp_path):
    """The hub narrows no faster than 45 degrees, told on its own outlines: support lost by height lost."""
    plan = plan_cup(cup(tmp_path, aim={"tilt": 12, "toward": "4:00"}))
    for below, above in pairwise(plan.levels[1:-2]):
        for angle in range(0, 360, 5):
            lost = above.outline.support(angle) - below.outline.support(angle)
            assert lost <= (above.z - below.z) * tan(radians(45)) + 1e-9
