"""The fillet behind the plate: its ring by Guldin's rule, its radius by the room for it, and what both kernels make."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from mounts import pipeline
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import circle
from mounts.identity import Role
from mounts.kernels import mesh
from mounts.kinds.cup.body import BED, STRAIGHT
from mounts.kinds.cup.plan import KEPT, SAG, add_fillet, plan_cup
from mounts.kinds.cup.shape import draw_cup
from mounts.kinds.cup.values import CupLevel, Fillet, split_levels
from mounts.load.resolve.job import load_job
from mounts.shape.primitives import Ruled, Section
from mounts.shape.recipe import Feature, Recipe, Scene
from tests.cups import FLANGE, PROFILES, cup
from tests.idents import ident

CUPS = ("dash-tweeter-flange", "dash-tweeter-press", "sail-tweeter-flange", "sail-tweeter-press")
NONE = Fillet(0.0, -14.0, -14.0)
ROUND = tuple(  # a hub 40 across and upright, and from it a flare at 45 degrees to a plate 60 across
    CupLevel(z, circle(across)) for z, across in ((-20, 39), (-19, 40), (-14, 40), (-4, 60), (-1, 60), (0, 58))
)


def volume(levels, fillet):
    """Of the outside alone, mm³, as both kernels make it."""
    bodies = [
        Ruled(tuple(Section(PANEL.lifted(v.z), v.outline) for v in part)) for part in split_levels(levels, fillet)
    ]
    return pipeline.build(Scene(Recipe("round", (Feature(ident("hub"), tuple(bodies)),), 0)))[0].volume


def ring(radius, steps=None):
    """Guldin: area between two tangents, 45 degrees apart, and the arc or its chords, times its centroid's way round.

    A kite of the tangents and the arc's two radii less the sector, or less the triangles over its chords.
    """
    turn = radians(45)
    half = turn / 2
    kite, of_kite = radius**2 * tan(half), radius * (cos(half) + 1 / cos(half)) / 3
    if steps is None:
        taken, of_taken = radius**2 * half, 2 / 3 * radius * sin(half) / half
    else:
        piece = turn / steps
        taken = steps * radius**2 / 2 * sin(piece)
        middles = [-half + piece * (k + 0.5) for k in range(steps)]
        of_taken = 2 / 3 * radius * cos(piece / 2) * sum(cos(middle) for middle in middles) / steps
    area = kite - taken
    inward = (kite * of_kite - taken * of_taken) / area * cos(half)
    return area * 2 * pi * (20 + radius - inward)


@pytest.mark.parametrize("radius", [1.0, 2.0, 5.0])
def test_the_ring_by_guldin(radius):
    levels, fillet = add_fillet(ROUND, radius, 0.2)
    assert fillet.radius == radius
    length = radius * tan(radians(22.5))
    assert (fillet.low, fillet.high) == pytest.approx((-14 - length, -14 + length * sqrt(0.5)))
    more, steps = volume(levels, fillet) - volume(ROUND, NONE), len(levels) - len(ROUND)
    assert more == pytest.approx(ring(radius, steps), abs=1e-3)
    way = 2 * pi * (20 + length) * radius * radians(45)  # the arc's surface, at most
    assert 0 < more - ring(radius) < SAG * way
    assert radius * (1 - cos(radians(45) / steps / 2)) <= SAG < 0.02


def test_the_radius_is_the_largest_that_the_hub_leaves():
    """5 of hub and 10 of flare along z: tangents of 5 − KEPT, so the radius is that over tan 22.5°."""
    _, fillet = add_fillet(ROUND, 50, 0.2)
    assert fillet.radius == pytest.approx((5 - KEPT) / tan(radians(22.5)))
    assert fillet.low == pytest.approx(-19 + KEPT)
    short = (*ROUND[:1], CupLevel(-14.2, circle(40)), *ROUND[2:])
    assert add_fillet(short, 50, 0.2)[1] == NONE  # 0.1 and 0.07 of height are no layer
    assert add_fillet(short, 50, 0.2)[0] == short
    assert add_fillet(ROUND, 0, 0.2) == (ROUND, NONE)


def test_none_where_the_outside_bulges():
    bulging = (*ROUND[:3], CupLevel(-4, circle(40)), CupLevel(-1, circle(40)), CupLevel(0, circle(38)))
    assert add_fillet(bulging, 2, 0.2)[1].radius == 0


@pytest.mark.parametrize("changes", [{}, FLANGE, {"aim": {"tilt": 12, "toward": "4:00"}}])
def test_the_plan_gives_what_was_asked_or_what_fits(tmp_path, changes):
    two, none, most = (
        plan_cup(cup(tmp_path, **changes, **limits))
        for limits in ({}, {"limits": {"fillet": 0}}, {"limits": {"fillet": 100}})
    )
    assert (two.fillet.radius, none.fillet.radius) == (2.0, 0.0)
    assert len(none.levels) == 6
    assert 2 < most.fillet.radius < 300
    ends = (-most.depth + BED + KEPT, -most.thickness + STRAIGHT - KEPT)
    low, high = most.fillet.low - ends[0], ends[1] - most.fillet.high
    assert min(low, high) == pytest.approx(0, abs=1e-9)
    assert max(low, high) > 0
    for level in most.levels:  # it only adds, and never beyond the plate
        below, above = next(
            (a, b) for a, b in zip(none.levels, none.levels[1:], strict=False) if a.z - 1e-9 <= level.z <= b.z + 1e-9
        )
        share = (level.z - below.z) / (above.z - below.z)
        for angle in range(0, 360, 3):
            bare = (1 - share) * below.outline.support(angle) + share * above.outline.support(angle)
            assert bare - 1e-9 <= level.outline.support(angle) <= most.outline.support(angle) + 1e-9


def test_wells_stay_free_of_the_largest_fillet(tmp_path):
    import manifold3d

    plan = plan_cup(cup(tmp_path, limits={"fillet": 100}))
    scene = draw_cup(plan)
    assert [feature.ident.label for feature in scene.recipe.added] == ["hub", "fillet"]
    part, agreement = pipeline.build(scene)
    assert agreement.mesh_genus == agreement.brep_genus == plan.genus
    whole = manifold3d.Manifold(manifold3d.Mesh64(part.vertices, part.triangles.astype(np.uint64)))
    for feature in (one for one in scene.recipe.features if one.cut):
        if feature.ident.role is Role.WELL:
            assert (whole ^ mesh.union(feature.bodies, 64)).volume() < 1e-2


@pytest.mark.parametrize("name", CUPS)
def test_every_cup_of_the_profiles_has_one(name):
    for job in load_job(PROFILES / "jobs" / f"linnet-{name}.yaml"):
        plan = plan_cup(job)
        assert plan.fillet.radius == 2.0
        part, agreement = pipeline.build(draw_cup(plan))
        assert abs(agreement.difference_ppm) < 1.0
        assert (part.solids, part.shells, part.genus) == (1, 1, plan.genus)
        z = part.vertices[part.triangles[part.feature == part.features.index(ident("fillet"))]][..., 2]
        assert (z.min(), z.max()) == pytest.approx((plan.fillet.low, plan.fillet.high), abs=1e-6)
