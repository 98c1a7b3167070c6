"""A ring in two: where it is split, both halves by both kernels, and what lies between them.

Volumes and gaps are held against manifold3d's own sections and distances, the edge distance against the rule of two
hole diameters (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import cos, degrees, hypot, radians, sin
from pathlib import Path

import manifold3d
import numpy as np
import pytest

from mounts.errors import InputError
from mounts.kernels import mesh
from mounts.kernels.brep import build_verified
from mounts.kinds.kind import kind_of
from mounts.kinds.ring.halves.plan import _instead, half_pose, parts_of, plan_part, split_advice
from mounts.kinds.ring.halves.search import NoLaps, best_split
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring, draw_whole
from mounts.load.resolve.job import load_from, load_job
from mounts.load.resolve.library import Library
from mounts.made import Made
from mounts.papers.hardware import bought_items, hardware
from mounts.write.stl import apply_pose

PROFILES = Path(__file__).parents[3] / "profiles"
FINE = 1024  # chords of a circle


def job_of(text: str, name: str = "any"):
    """One job of the library, changed."""
    return load_from(Library(PROFILES), PROFILES / "jobs" / f"{name}.yaml", f"kind: ring\nname: {name}\n{text}\n")[0]


def demo(name: str):
    return load_job(PROFILES / "jobs" / f"{name}.yaml")[0]


@pytest.fixture(scope="module")
def halves():
    """The plans of both halves of the demo ring."""
    jobs = parts_of(demo("linnet-tailgate-halves"))
    assert [job.part for job in jobs] == ["left.a", "left.b"]
    return tuple(plan_part(job) for job in jobs)


@pytest.fixture(scope="module")
def solids(halves):
    """Half a, half b and the whole by the quick kernel, finely."""
    recipes = [draw_ring(halves[0]).recipe, draw_ring(halves[1]).recipe, draw_whole(halves[0]).recipe]
    return tuple(mesh.build_solid(recipe, FINE).whole for recipe in recipes)


def test_one_plan_decides_both_halves(halves):
    a, b = halves
    assert a.split == b.split
    same = ("base", "fixings", "seat", "tower", "labels", "walls")
    assert all(getattr(a, name) == getattr(b, name) for name in same)
    assert (a.name, b.name) == ("linnet-tailgate-halves-left-a", "linnet-tailgate-halves-left-b")


def test_both_kernels_give_both_halves_and_they_lack_the_gap_alone(halves, solids):
    """V a + V b = V − g (sections of the steps + tongues' area): sections by manifold3d, volumes of the real parts."""
    split = halves[0].split
    whole = solids[2]
    volumes = [build_verified(draw_ring(half).recipe)[0].volume for half in halves]
    volumes.append(build_verified(draw_whole(halves[0]).recipe)[0].volume)
    gone = sum(gap_in(whole, lap.angle, side, split) for lap, side in zip(split.laps, (1, -1), strict=True))
    assert gone > 80
    assert volumes[0] + volumes[1] == pytest.approx(volumes[2] - gone, abs=0.3)
    assert sum(split.genus[:2]) == split.genus[2] - 1 + len(split.screws)  # the ring's own hole opens, lap holes come


def gap_in(whole, angle, side, split):
    """Volume of the gap at one lap: thin slabs, each as large as the ring's section in its middle."""
    level, long, gap = split.level, split.long, split.gap
    upright = whole.rotate([0, 0, -angle])  # the lap's middle along +x, half b towards +y where side is 1
    ahead = upright ^ manifold3d.Manifold.cube([300, 600, 300]).translate([20, -300, -10])
    lying = ahead.rotate([-90, 0, 0])  # y has become −z, z has become y
    below = lying.slice(-side * long / 2) ^ band(-10, level - gap / 2)
    above = lying.slice(side * long / 2) ^ band(level + gap / 2, 200)
    flat = [ahead.slice(level + off) for off in (-gap / 4, gap / 4)]  # the lap screws' holes change at the level
    strip = manifold3d.CrossSection.square([300, long + gap]).translate([0, -(long + gap) / 2])
    tongue = sum((one ^ strip).area() for one in flat) / 2
    return gap * (below.area() + above.area() + tongue)


def band(low, high):
    """All that lies between two heights, in sections whose y is up."""
    return manifold3d.CrossSection.square([600, high - low]).translate([-100, low])


def test_the_gap_is_the_same_on_every_face_and_b_is_put_on_from_the_front(halves, solids):
    a, b, _ = solids
    gap = halves[0].split.gap
    assert a.min_gap(b, 2.0) == pytest.approx(gap, abs=1e-3)
    for way in (0.0, 1.0, 5.0, 20.0, 40.0):  # on its way off
        assert (a ^ b.translate([0, 0, way])).volume() == pytest.approx(0.0, abs=1e-6)
        assert a.min_gap(b.translate([0, 0, way]), 2.0) >= gap - 1e-3


def test_the_fit_word_is_shared_by_both_sides_of_a_tongue(halves):
    assert halves[0].split.gap == pytest.approx(0.2 / 2)  # slide is 0.2 across, as the print guides have it


def test_face_and_seat_stay_plane_across_the_laps(halves, solids):
    seat = halves[0].seat
    for solid in solids[:2]:
        points = solid.to_mesh64().vert_properties[:, :3]
        assert points[:, 2].min() == pytest.approx(0.0, abs=1e-9)
        level = seat.frame.into(points)[:, 2]
        assert np.sum(np.abs(level) < 1e-6) > 20
        assert np.sort(level)[-1] == pytest.approx(seat.lift, abs=1e-6)  # only the stops stand higher


def test_laps_keep_away_from_all_that_stands_near_them(halves):
    plan, split = halves[0], halves[0].split
    for lap in split.laps:
        for fixing in plan.fixings:
            assert beside(lap, fixing.at) - split.long / 2 >= fixing.path / 2 + 3.0 - 1e-9
        for screw in plan.seat.screws:
            x, y, _ = plan.seat.frame.out((*screw.at, 0.0))
            assert beside(lap, (x, y)) - split.long / 2 >= screw.boss / 2 - 1e-9


def beside(lap, at):
    """How far along the ring a place is from a lap's middle; far for one on the other side."""
    x, y = cos(radians(lap.angle)), sin(radians(lap.angle))
    return abs(at[1] * x - at[0] * y) if at[0] * x + at[1] * y > 0 else 1000.0


def test_screws_keep_two_hole_diameters_to_the_tongues_ends_and_their_heads_apart(halves):
    split = halves[0].split
    for lap in split.laps:
        assert len(lap.screws) == 2
        for screw in lap.screws:
            assert split.long / 2 - beside(lap, screw.at) >= 2 * screw.clear - 0.2  # they stand on a bow
        one, other = lap.screws
        assert hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]) - one.head >= 2.9
    assert {wall.code for wall in halves[0].walls if "lap" in wall.code} == {
        *("wall.lap-bore", "wall.lap-outside", "wall.lap-floor", "wall.lap-screws")
    }
    assert all(wall.is_enough for wall in halves[0].walls)


def test_tongues_meet_on_a_layer_and_screws_reach_without_bottoming(halves):
    split = halves[0].split
    assert split.level / 0.2 == pytest.approx(round(split.level / 0.2))
    for screw in split.screws:
        assert screw.seat - screw.length - 0.35 >= screw.bottom  # js15 of the longest, ISO 4759-1
        assert screw.length - (screw.seat - split.level) >= 3.0 - split.gap / 2  # the insert's own thread
        assert screw.bottom > halves[0].base.seal.depth + 2.0 - 1e-9


def test_each_half_lies_on_the_bed_as_it_is_turned(halves, solids):
    for half, solid, size in zip(halves, solids, halves[0].split.sizes, strict=False):
        points = apply_pose(solid.to_mesh64().vert_properties[:, :3], half_pose(half))
        for axis in (0, 1):  # the plan takes the longer tongue for both layers
            assert -0.05 <= size[axis] - np.ptp(points[:, axis]) <= 1.0
        assert max(size) < 210
        assert points[:, 2].min() == pytest.approx(0.0, abs=1e-9)


def test_a_ring_that_fits_stays_in_one_whether_it_is_planned_for_that_or_not():
    for name in ("linnet-woofer", "linnet-tailgate-big-bed"):
        job = demo(name)
        assert parts_of(job) == (job,)


def test_a_bed_too_small_for_halves_is_told_with_the_one_that_would_do():
    job = demo("linnet-tailgate-wide")
    assert parts_of(job) == (job,)
    split = best_split(job, plan_ring(job))
    x, y = (max(sides) for sides in zip(*split.sizes, strict=True))
    assert max(x, y) > 180
    told = f"in two halves it goes on a bed of {np.ceil(x):g} × {np.ceil(y):g}"
    assert split_advice(job, plan_ring(job)) == told
    for less, count in ((0, 2), (8, 1)):  # places for the laps are first rated by coarse outlines
        bed = job.printer.model_copy(update={"bed": (np.ceil(x) - less, np.ceil(y) - less, 180.0)})
        assert len(parts_of(replace(job, printer=bed))) == count


def test_who_wants_no_halves_gets_none_and_is_told_that_they_would_fit():
    job = job_of("based_on: linnet-tailgate-halves\nin_two: false")
    assert parts_of(job) == (job,)
    assert split_advice(job, plan_ring(job)) == "in two halves it fits: leave in_two out, or give in_two: true"


def test_a_lap_goes_where_it_is_wanted():
    job = job_of('based_on: linnet-tailgate-halves\nin_two: "7:30"')
    laps = plan_part(parts_of(job)[0]).split.laps
    assert abs((90 - laps[0].angle) % 360 - 225) <= 20  # clockwise from +y


@pytest.mark.parametrize(
    ("changes", "key", "why"),
    [
        ("in_two: true\nheight: 22", "in_two", "its seat is 9.9 broad where a lap has room"),
        (
            "in_two: true\ncollar: true\nheight: 18\naim: {tilt: 0}",
            "collar",
            "it cannot be made in two: its collar is in the way of the screws; in one it needs a bed of 143 × 142: "
            "take a larger printer, or have a level ring without a collar cut from sheet (make: cut)",
        ),
    ],
)
def test_a_ring_without_room_for_laps_is_refused_with_the_reason(changes, key, why):
    half = parts_of(job_of(f"based_on: linnet-woofer\n{changes}"))[0]
    with pytest.raises(InputError) as error:
        plan_part(half)
    (problem,) = error.value.problems
    assert problem.where == key
    assert why in problem.what


def test_a_collar_that_could_be_left_out_is_told_with_the_bed_that_both_halves_need():
    """The tailgate's ring as its halves are, but for a collar: without it its halves go on 210, and not on 180."""
    for printer, bed in (("bed-210", "this bed"), ("bed-180", "a bed of 200 × 200")):
        job = replace(job_of(f"based_on: linnet-tailgate-halves\nprinter: {printer}"), collar=True)
        assert _instead(job, NoLaps("", "collar")) == (
            f"give collar: false, with which it comes in two halves on {bed}, "
            "or have a level ring without a collar cut from sheet (make: cut)"
        )


def test_nothing_to_screw_it_with_is_told():
    job = replace(demo("linnet-tailgate-halves"), fix_halves=None)
    assert best_split(job, plan_ring(job)) == NoLaps(
        "nothing screws its halves together; give an insert or a pilot with its screw", "fix_halves"
    )


def test_thread_forming_screws_do_as_well():
    job = job_of("based_on: linnet-tailgate-halves\nheight: 24\nfix_halves: pilot-3.0-asa")
    split = best_split(job, plan_ring(job))
    assert {screw.thread for screw in split.screws} == {2.34}
    assert min(screw.engaged for screw in split.screws) >= 6.0
    assert all(abs(degrees(radians(one.angle - other.angle))) > 139 for one, other in combinations(split.laps, 2))


def test_a_ring_in_two_is_bought_for_once():
    jobs = parts_of(demo("linnet-tailgate-halves"))
    a, b = (Made(kind_of(job), job, plan_part(job), None, None, None) for job in jobs)
    assert hardware(b) == ()
    counted = bought_items(hardware(a))
    assert counted["insert-m3-short"] == sum(many for name, many in counted.items() if "iso-7380-m3 ×" in name) == 4
    assert counted["rivet-nut-m5"] == 6
