"""The ring drawn by the quick kernel: genus as stated, mirrored sides, readable letters, the first-check slice."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from mounts.kernels import brep, mesh
from mounts.kinds.kind import kind_of
from mounts.kinds.ring.flat import draw_flat, plan_flat
from mounts.kinds.ring.halves.plan import half_pose, parts_of, plan_part
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import SLICE, draw_first_check, draw_ring


def built(job, segments=128):
    kind = kind_of(job)
    return mesh.build(kind.shape(kind.plan(job)).recipe, segments)


def test_every_job_has_the_holes_that_its_plan_states(job_name, jobs):
    for job in jobs(job_name):
        kind = kind_of(job)
        plan = kind.plan(job)
        part = mesh.build(kind.shape(plan).recipe, 128)
        assert (part.genus, part.solids, part.shells) == (plan.genus, 1, 1)


def test_it_lies_flat_on_the_face(job_name, jobs):
    for job in jobs(job_name):
        assert built(job).vertices[:, 2].min() == pytest.approx(0.0, abs=1e-9)


def test_the_two_sides_are_mirror_images(front, front_right, change):
    """Volume, centroid and box of the real parts, mirrored: the speaker's pattern is its own mirror image."""
    left, right = (brep.build(draw_ring(plan_ring(change(job, label=None))).recipe) for job in (front, front_right))
    assert right.volume == pytest.approx(left.volume, rel=1e-7)
    assert right.centroid == pytest.approx(left.centroid * [-1, 1, 1], abs=1e-6)
    low, high = left.vertices.min(axis=0), left.vertices.max(axis=0)
    assert right.vertices.min(axis=0) == pytest.approx([-high[0], low[1], low[2]], abs=0.02)
    assert right.vertices.max(axis=0) == pytest.approx([-low[0], high[1], high[2]], abs=0.02)


def test_same_keeps_the_hand_of_the_fixings_only(front_right, change):
    from mounts.load.resolve.job import load_job

    left, right = load_job(front_right.file)
    assert right.panel.fixings.points["A"] == (-left.panel.fixings.points["A"][0], left.panel.fixings.points["A"][1])


def test_letters_are_never_mirrored(front, front_right):
    for job in (front, front_right):
        for label in plan_ring(job).labels:
            for letter in label.letters:
                x, y, z = letter.frame.axes.T
                assert np.cross(x, y) == pytest.approx(z)
                assert y[2] > 0.7  # upright on the wall
                assert letter.frame.origin[0] * z[0] + letter.frame.origin[1] * z[1] > 0  # seen from outside


def test_the_arrow_points_up(job_name, jobs):
    """On the tower's wall the arrow runs along +x or −x of its letter's flat; on the base's top along +y."""
    for job in jobs(job_name):
        if job.make != "print" or job.label is None:
            continue
        labels = plan_ring(job).labels
        assert any("UP" in label.text or "↑" in label.text for label in labels)
        assert any(job.side[0].upper() in label.text.replace("UP", "") for label in labels)
        for label in labels:
            if label.text in ("UP →", "← UP"):
                arrow = label.letters[-1 if label.text.endswith("→") else 0]
                way = arrow.frame.axes[:, 0] * (1 if label.text.endswith("→") else -1)
                assert way[1] > 0.8


def test_raised_letters_add_what_sunk_ones_take(front, change):
    bare = built(change(front, label=None)).volume
    assert built(change(front, label="sunk")).volume < bare < built(change(front, label="raised")).volume


def test_the_first_check_is_a_slice_with_every_hole_at_final_size(front):
    plan = plan_ring(front)
    part = mesh.build(draw_first_check(plan).recipe, 512)
    area = plan.base.outline.area - plan.base.opening.area - sum(pi / 4 * f.hole**2 for f in plan.fixings)
    assert part.volume == pytest.approx(area * SLICE, rel=1e-4)
    assert part.genus == 1 + len(plan.fixings)


def test_a_flat_ring_is_its_area_times_the_sheet(jobs):
    job = jobs("linnet-front-sheet")[0]
    plan = plan_flat(job)
    part = mesh.build(draw_flat(plan).recipe, 512)
    holes = sum(pi / 4 * hole.diameter**2 for hole in plan.holes)
    assert part.volume == pytest.approx((plan.outline.area - plan.bore.area - holes) * 18, rel=1e-4)
    assert {hole.ident.label for hole in plan.holes} >= {"fixing A", "fixing D", "speaker screw 1", "speaker screw 4"}


def test_what_a_sheet_cannot_give_is_said_all_at_once(jobs, change):
    from mounts.errors import InputError
    from mounts.load.models.job import AimAngles

    job = change(jobs("linnet-front-sheet")[0], sheet=None, aim=AimAngles(8, 0.0), collar=True, flush=True)
    with pytest.raises(InputError) as caught:
        plan_flat(job)
    assert [p.where for p in caught.value.problems] == ["sheet", "aim.tilt", "collar", "flush"]


def test_a_feature_is_named_once(job_name, jobs):
    for job in jobs(job_name):
        kind = kind_of(job)
        names = [feature.ident.label for feature in kind.shape(kind.plan(job)).recipe.features]
        assert len(names) == len(set(names))
        if job.make == "print":
            assert {"base", "tower", "bore"} <= set(names)
            assert draw_ring(plan_ring(job)).recipe.genus == plan_ring(job).genus


def test_the_slices_of_two_halves_are_the_whole_slice_but_for_the_gap(jobs):
    """Half a has the holes and the area on its side; between both is the laps' gap, twice, as broad as the base."""
    one, two = (plan_part(job) for job in parts_of(jobs("linnet-tailgate-halves")[0]))
    whole = mesh.build(draw_first_check(replace(one, half="", split=None)).recipe, 256)
    halves = [mesh.build(draw_first_check(plan).recipe, 256) for plan in (one, two)]
    assert [part.genus for part in halves] == [3, 3]
    assert whole.genus == 7
    low, high = (np.array([part.vertices.min(axis=0), part.vertices.max(axis=0)]) for part in halves)
    assert np.min([low[0], high[0]], axis=0) == pytest.approx(whole.vertices.min(axis=0), abs=1e-6)
    left = whole.volume - sum(part.volume for part in halves)
    broad = left / (2 * one.split.gap * SLICE)
    assert 15.0 < broad < 40.0  # the base beside the opening at both laps, across
    bed = jobs("linnet-tailgate-halves")[0].printer.bed
    for plan, part in zip((one, two), halves, strict=True):
        turned = part.vertices @ np.array(half_pose(plan))[:3, :3].T
        assert np.all(np.ptp(turned, axis=0)[:2] <= bed[:2])
