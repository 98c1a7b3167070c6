"""The trim on its way in: closed forms of straight, slid and hooked trims, and the swept plates as a second opinion."""

from __future__ import annotations

from math import cos, hypot, radians, sin, sqrt

import pytest

from mounts.checks.assembly import assemble, disagreements, measure_gaps
from mounts.findings.report import Verdict
from mounts.kernels import mesh
from mounts.kinds.ring.clearances import speaker_gaps
from mounts.kinds.ring.insertion import path_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.surroundings import surroundings
from mounts.kinds.ring.trim import HINGE, SLID, STRAIGHT, speaker_bodies, trim_poses
from mounts.load.models.job import AimAngles
from mounts.load.models.surroundings import Trim
from tests.idents import labels

FRONT = 24.0  # mm: the speaker's front over its seat, so that nothing else comes near the trim's opening
TOP = 22 + 1.2 + FRONT  # height, gasket, front
HIGH = TOP - 1.2  # of the trim: the front reaches 1.2 through
PISTON = 105.0


def through(front, change, way, *, opening=112.0, at=(0.0, 0.0), high=HIGH):
    """The demo level on its seat under level trim, its front reaching through the trim's opening."""
    trim = Trim.model_validate({"at_clock": high, "opening": {"round": opening}, "at": list(at), "goes_on": way})
    level = change(
        front, aim=AimAngles(), label=None, turn=0.0, panel__in_front__trim=trim, panel__in_front__grille=None
    )
    return change(level, speaker__front__height=FRONT)


def way(job):
    plan = plan_ring(job)
    (gap,) = [gap for gap in path_gaps(job, plan) if gap.code == "way.trim"]
    return plan, gap


def told(job):
    """The gap with what the swept plates show."""
    plan, gap = way(job)
    assembly = assemble(mesh.build(draw_ring(plan).recipe, 512), surroundings(job, plan))
    (found,) = measure_gaps(assembly, (gap,))
    assert disagreements((found,)) == ()
    return found


@pytest.mark.parametrize("at", [(0.0, 0.0), (1.5, -2.0)])
def test_straight_on_the_opening_passes_with_what_is_left_beside_the_front(front, change, at):
    """In the plane: half the difference of two circles, less the distance of their centres."""
    found = told(through(front, change, "straight", at=at))
    assert labels(found.between) == ("surround", "trim on its way in")
    assert found.gap == pytest.approx((112.0 - PISTON) / 2 - hypot(*at), abs=1e-3)
    assert found.measured == pytest.approx(found.gap, abs=0.02)


def test_slid_in_its_plane_the_opening_must_be_wider_by_the_way(front, change):
    """From above, the opening's upper edge ends beside the front, having passed over it from SLID before."""
    found = told(through(front, change, "slid from the top", opening=PISTON + 2 * (SLID - 5.0)))
    assert found.verdict is Verdict.FAIL
    assert found.overlap > 0
    found = told(through(front, change, "slid from the top", opening=PISTON + 2 * (SLID + 5.0), high=TOP - 0.5))
    assert labels(found.between) == ("surround", "trim on its way in")
    assert found.gap == pytest.approx(5.0, abs=1e-3)
    assert found.measured == pytest.approx(5.0, abs=0.02)


@pytest.mark.parametrize("edge", ["top", "bottom", "front", "rear"])
def test_hooked_at_an_edge_the_far_side_swings_past_the_front(front, change, edge):
    """The opening's far edge goes round the hooks on a circle, R from them: R sin θ out it is R (1 − cos θ) nearer.

    It passes the front's top last, 12 out. The way is cut into steps of 2, so that it may be told 0.04 too far.
    """
    found = told(through(front, change, f"hooked at the {edge}", opening=112.0, high=TOP - 12.0))
    radius = HINGE + 56.0
    nearer = radius - sqrt(radius**2 - 12.0**2)
    assert found.gap == pytest.approx(3.5 - nearer, abs=0.04)
    assert found.measured == pytest.approx(found.gap, abs=0.03)


def test_the_way_just_passes_and_just_fails(front, change):
    for off, verdict in ((0.51, Verdict.PASS), (0.49, Verdict.FAIL)):
        assert way(through(front, change, "straight", opening=PISTON + 2 * off))[1].verdict is verdict


def test_under_the_trim_its_way_is_its_end(front, change):
    """Nothing reaches through: the front's edge to the edge of the opening, when the trim is on."""
    found = told(through(front, change, "hooked at the top", high=TOP + 4.0))
    assert found.gap == pytest.approx(hypot(3.5, 4.0), abs=1e-3)
    assert found.measured == pytest.approx(found.gap, abs=0.02)


def test_the_poses_end_where_the_trim_is_and_begin_where_it_comes_from(front, change):
    ends = {}
    for words in ("straight", "slid from the rear", "hooked at the top"):
        poses = trim_poses(through(front, change, words))
        assert poses[0].origin == pytest.approx((0.0, 0.0, HIGH), abs=1e-12)
        ends[words] = poses[-1]
    assert ends["straight"].origin == pytest.approx((0.0, 0.0, HIGH + STRAIGHT))
    assert ends["slid from the rear"].origin == pytest.approx((-SLID, 0.0, HIGH))  # rearward is left on a left door
    swung = ends["hooked at the top"]
    up, out = HINGE * (1 - cos(radians(12))), HINGE * sin(radians(12))
    assert swung.origin == pytest.approx((0.0, up, HIGH + out))
    assert swung.z == pytest.approx((0.0, sin(radians(12)), cos(radians(12))))


def test_rearward_is_right_on_the_other_side(jobs, change):
    left, right = (trim_poses(through(job, change, "slid from the rear"))[-1] for job in jobs("linnet-woofer"))
    assert (left.origin[0], right.origin[0]) == pytest.approx((-SLID, SLID))


def test_tilted_heads_that_reach_through_are_measured_at_their_walls(front, change):
    """Each gap to the trim that is on, closed form against the assembly; some heads stand half through the opening."""
    job = change(through(front, change, "straight", opening=142.0, high=29.0), aim=AimAngles(5.0, 90.0), height=24.0)
    plan = plan_ring(job)
    assembly = assemble(mesh.build(draw_ring(plan).recipe, 512), surroundings(job, plan))
    standing = [one for one in speaker_bodies(job, plan.seat) if one.ident.label == "speaker screws"]
    assert any(one.height_over(trim_poses(job)[0]) > 0 for one in standing)
    gaps = [gap for gap in speaker_gaps(job, plan.seat) if gap.code == "clear.trim"]
    found = {gap.between[0]: gap for gap in measure_gaps(assembly, gaps)}
    assert any(
        one.ident.label == "speaker screws" and one.height_over(trim_poses(job)[0]) > 0
        for one in speaker_bodies(job, plan.seat)
    )
    for gap in found.values():
        assert gap.measured == pytest.approx(gap.gap, abs=0.03)
