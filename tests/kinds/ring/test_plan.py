"""The ring's plan: every dimension by its rule in the design, on the demo door and on changed copies of it."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest

from mounts.checks.mesh.walls import wall_findings
from mounts.design.body import pockets_to_axes
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.geometry.distance import depths
from mounts.geometry.frames import tilt_frame
from mounts.geometry.outline import rectangle
from mounts.kernels import mesh
from mounts.kinds.ring.base import EDGE, LEDGE, OUTER_LAND, SPOT, choose_hole, fit_chance, fixing_errors, wanted_hole
from mounts.kinds.ring.label import BESIDE, LabelHost, labels_for
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.seat import BELOW_POCKET
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.turn import terminal_gaps
from mounts.load.models.job import AimAngles


def test_holes_are_as_wide_as_the_wanted_chance_asks_for(front):
    plan, hole, errors = plan_ring(front), wanted_hole(front), fixing_errors(front).calibrated
    assert fit_chance(front, hole, errors) >= front.sure > fit_chance(front, hole - 0.1, errors)
    assert {f.hole for f in plan.fixings} == {hole}
    assert {f.washer for f in plan.fixings} == {15.0}  # ISO 7093 M5
    assert {f.path for f in plan.fixings} == {15.0 + max(1.0, hole - 5)}  # the washer goes with its screw
    assert {f.disc for f in plan.fixings} == {4 * hole}  # centre to edge two hole diameters


def test_the_recess_is_wider_and_deeper_than_the_flange(front, change):
    # rivet-nut-m5: flange 7.9 x 0.6, reference.md section 2
    recess = plan_ring(front).fixings[0].recess
    assert (recess.diameter, recess.depth) == pytest.approx((9.9, 1.0))
    rubbed = change(front, panel__read_with__holes="rubbing")  # 0.5 a reading: three of them each side
    assert plan_ring(rubbed).fixings[0].recess.diameter == pytest.approx(7.9 + 3.0)


def test_nothing_proud_gives_no_recess(front, change):
    flush = front.fix_to_panel.hardware.model_copy(update={"flange_height": 0.0})
    plan = plan_ring(change(front, fix_to_panel__hardware=flush))
    assert all(fixing.recess is None for fixing in plan.fixings)


def test_the_seat_leans_by_the_tilt_towards_the_clock(front):
    seat = plan_ring(front).seat
    tilt, toward = radians(8), radians(315)  # 10:30 is 315 degrees clockwise from 12:00
    axis = (sin(tilt) * sin(toward), sin(tilt) * cos(toward), cos(tilt))  # design.md section 3
    assert seat.frame.z == pytest.approx(axis, abs=1e-12)
    assert seat.frame.origin == (0.0, 0.0, 22.0)


def test_the_low_side_is_lower_by_half_the_diameter_times_the_sine(front):
    plan = plan_ring(front)
    across = plan.seat.outline.arcs[0].diameter
    rim = plan.seat.frame.out([(across / 2 * cos(a), across / 2 * sin(a), 0.0) for a in np.radians(range(360))])
    assert rim[:, 2].min() == pytest.approx(22 - across / 2 * sin(radians(8)), abs=0.01)


def test_base_thickness_and_washer_face(front):
    plan = plan_ring(front)
    assert plan.base.thickness == 6.0
    assert {f.seat for f in plan.fixings} == {6.0 - SPOT}


def test_the_base_holds_fixings_gasket_land_and_foot(front):
    plan = plan_ring(front)
    outline = plan.base.outline
    for fixing in plan.fixings:
        assert outline.depth(fixing.at) >= fixing.disc / 2 - 1e-9
    assert depths(outline, plan.base.seal.outside.points(0.05)).min() >= OUTER_LAND - 1e-6
    assert depths(outline, plan.tower.foot.points(0.05)).min() >= LEDGE - 1e-6


def test_the_gasket_groove_squeezes_to_sixty_per_cent_and_keeps_its_lip(front):
    seal = plan_ring(front).base.seal
    assert seal.depth == pytest.approx(3 * 0.6)
    assert seal.inside.arcs[0].diameter == pytest.approx(120 + 2 * 1.2)
    assert seal.outside.arcs[0].diameter == pytest.approx(120 + 2 * 1.2 + 2 * 6.5)


def test_the_speaker_stands_on_its_squeezed_gasket_and_hard_stops(front):
    seat = plan_ring(front).seat
    assert seat.lift == pytest.approx(0.6 * 2)
    assert len(seat.stops) == 2 * len(seat.screws)
    for at in seat.stops:
        assert -seat.bore.depth(at) - seat.stop / 2 >= 2.0 - 1e-9  # unbroken land inside
        assert seat.flange.depth(at) >= 0  # the flange really rests on it


def test_pockets_are_inserts_with_room_below(front):
    screws = plan_ring(front).seat.screws
    assert {s.hole for s in screws} == {5.6}  # M4, reference.md section 3
    assert {s.depth for s in screws} == {4.7 + 0.8}
    assert {s.wall for s in screws} == {2.1}


def test_the_bore_is_straight_past_the_pockets_and_then_opens(front, change):
    tower = plan_ring(front).tower
    assert tower.inside[-1].outline.area == pytest.approx(np.pi * 117**2 / 4)
    assert plan_ring(front).seat.straight == pytest.approx(5.5 + BELOW_POCKET)
    wide = plan_ring(change(front, panel__opening=front.panel.opening.model_copy(update={"round": 130.0})))
    assert wide.tower.mouth.area > np.pi * 117**2 / 4  # opened to the rear
    assert depths(wide.base.opening, wide.tower.mouth.points(0.05)).min() >= -1e-7


def test_the_tower_wall_is_as_thick_as_wanted(job_name, jobs):
    for job in jobs(job_name):
        if job.make == "print":
            assert plan_ring(job).tower.wall >= job.limits.wall_least


def test_best_turn_keeps_furthest_from_the_tool_paths(front, change):
    """Against every other turn by brute force; the chord formula tells what a regular pattern would give."""
    plan = plan_ring(front)
    points = list(front.panel.fixings.points.values())

    def wall(turn: float) -> float:
        fixed = plan_ring(change(front, turn=turn, label=None))
        return min(
            float(pockets_to_axes(fixed.seat.frame, np.array(s.at), s.hole, s.depth, points).min())
            for s in fixed.seat.screws
        )

    best = wall(plan.seat.turn)
    assert all(wall(turn) <= best + 0.01 for turn in (-44, -45, -40, 30, 40, 44, 45, 60, 0.5))
    assert abs(plan.seat.turn) == pytest.approx(45, abs=3)


def test_best_turn_takes_terminals_past_the_opening_first(front, change):
    """On an opening too narrow from 4:00 to 8:00 the terminals, at 6:00, have to go elsewhere."""
    oblong = front.panel.opening.model_copy(update={"round": None, "oblong": (128.0, 104.0)})
    terminals = tuple(t.model_copy(update={"depth": (20.0, 40.0)}) for t in front.speaker.terminals)
    job = change(front, panel__opening=oblong, speaker__terminals=terminals, speaker__body=(), speaker__depth=56.0)
    seat = plan_ring(job).seat
    gap = terminal_gaps(job, seat.frame, np.array([0.0, seat.turn]))
    assert gap[0] < job.limits.terminals <= gap[1]


def test_least_height_builds_and_less_is_refused_with_the_nearest_values(front, change):
    tall = plan_ring(change(front, height="least"))
    assert tall.seat.frame.origin[2] == tall.least_height
    assert plan_ring(change(front, height=tall.least_height)).least_height == tall.least_height
    with pytest.raises(InputError) as caught:
        plan_ring(change(front, height=tall.least_height - 0.1))
    (problem,) = caught.value.problems
    assert problem.where == "height"
    assert problem.what.startswith(f"tilt 8 needs a height of {tall.least_height:g} (")
    most = float(problem.what.rsplit(" ", 1)[1])
    low = tall.least_height - 0.1
    assert plan_ring(change(front, height=low, aim=AimAngles(most, front.aim.toward))).seat.tilt == most
    with pytest.raises(InputError):
        plan_ring(change(front, height=low, aim=AimAngles(most + 0.2, front.aim.toward)))


def test_least_height_of_a_level_seat_by_hand(front, change):
    """Base 6, edge 0.6 and 0.5 shown; or pocket 5.5 over floor 2 and groove 1.8: the greater, rounded up to 0.1."""
    level = plan_ring(change(front, aim=AimAngles(), height="least", turn=0.0))
    assert level.least_height == pytest.approx(max(6 + EDGE + 0.5, 5.5 + 2 + 1.8), abs=1e-9)


def test_a_fixing_under_the_flange_lifts_the_seat_over_its_screw_head(jobs, change):
    (job,) = jobs("linnet-rear-under-flange")
    low = plan_ring(change(job, height="least"))
    fixing = low.fixings[0]
    assert low.seat.flange.depth(fixing.at) > 0
    assert low.seat.frame.origin[2] + low.seat.lift >= fixing.head_top + 0.5 - 1e-9


def test_every_job_of_the_library_plans_with_its_walls(job_name, jobs):
    for job in jobs(job_name):
        if job.make == "print":
            assert [wall for wall in plan_ring(job).walls if not wall.is_enough] == []


def test_a_higher_face_raises_the_underside_and_keeps_the_base(jobs):
    (job,) = jobs("linnet-cargo-glass")
    plan = plan_ring(job)
    (step,) = plan.base.steps
    assert (step.name, step.height) == ("C", 1.6)
    raised = next(f for f in plan.fixings if f.name == "C")
    assert step.outline.depth(raised.at) >= max(raised.washer, raised.recess.diameter) / 2 + 3 - 1e-9
    assert plan.base.thickness - step.height >= job.limits.base_least
    assert plan.base.bead.depth == pytest.approx(1.2 + 0.4)


def test_a_tool_path_that_the_tower_would_close_in_thinly_is_opened_outward(jobs):
    (job,) = jobs("linnet-rear-under-flange")
    plan = plan_ring(job)
    relieved = [f for f in plan.fixings if not f.relief.is_circle]
    assert relieved
    for fixing in relieved:
        away = np.array(fixing.at) / np.hypot(*fixing.at)
        assert fixing.relief.depth(tuple(np.array(fixing.at) + away * fixing.path / 2)) > 0


def test_a_collar_runs_up_to_the_trim_parallel_to_it(jobs):
    job = jobs("linnet-front-collar")[0]
    plan = plan_ring(job)
    # trim readings 45, 44, 43, 44 at the edge of a round 128 at (3, 2): slope 1/64 in y, none in x
    slope = 1 / 64
    length = (1 + slope**2) ** 0.5
    assert plan.collar.rim.z == pytest.approx((0.0, -slope / length, 1 / length), abs=1e-9)
    assert plan.collar.gap == pytest.approx(6 * (1 - 0.325))
    trim = 44 - plan.collar.gap * length  # straight up through the rim's centre
    assert plan.collar.rim.origin[2] == pytest.approx(trim, abs=1e-6)


def test_a_flush_flange_lies_in_a_rim_as_high_as_itself(jobs):
    job = jobs("linnet-front-flush")[0]
    seat = plan_ring(job).seat
    assert seat.rim == pytest.approx(1.2 + 4.0)
    assert seat.let_in.arcs[0].diameter == pytest.approx(135 + 2 * 0.5)
    assert depths(seat.let_in, seat.gasket.points(0.05)).min() >= 2.0 - 1e-6  # ledge that stops the flange


def test_a_wire_passage_that_finds_no_room_says_how_much_there_is(front, change):
    wire = jobs_wire(front, across=30.0)
    with pytest.raises(
        InputError, match=r"wire\.across: a passage 30 across needs a wall that high; here \d+\.\d are left"
    ):
        plan_ring(change(front, wire=wire))


def jobs_wire(front, across):
    from mounts.load.models.job_file import Wire

    return Wire.model_validate({"at": "6:00", "across": across})


def test_terminals_that_reach_past_the_bore_get_room(front, change):
    long = tuple(t.model_copy(update={"reach": 60.0}) for t in front.speaker.terminals)
    job = change(front, speaker__terminals=long, gaskets__base=None)
    plan = plan_ring(job)
    (relief,) = plan.terminals
    assert relief.top <= -3.0  # the seat above it stays whole
    # reach and clearance fit in along the terminal's own direction
    ahead = radians(180 + plan.seat.turn)
    tip = ((60 + 4) * sin(ahead), (60 + 4) * cos(ahead))
    assert relief.outline.depth(tip) == pytest.approx(0.0, abs=1e-6)
    assert not plan_ring(front).terminals


@pytest.mark.parametrize(
    ("depth", "gasket", "what"),
    [
        ((18.0, 34.0), True, "terminal 1 overlaps the gasket groove by 1.8 and needs 1.2: take another turn"),
        ((4.0, 20.0), False, "terminal 1 overlaps the outside by 2.8 and needs 3: take another turn"),
    ],
)
def test_room_for_terminals_that_leaves_no_wall_is_refused(front, change, depth, gasket, what):
    long = tuple(t.model_copy(update={"reach": 60.0, "depth": depth}) for t in front.speaker.terminals)
    job = change(front, speaker__terminals=long, **({} if gasket else {"gaskets__base": None}))
    with pytest.raises(InputError) as refused:
        plan_ring(job)
    assert what in str(refused.value)


def test_walls_round_the_room_for_terminals_are_no_thinner_on_the_mesh(front, change):
    long = tuple(t.model_copy(update={"reach": 60.0}) for t in front.speaker.terminals)
    plan = plan_ring(change(front, speaker__terminals=long, gaskets__base=None))
    told = [f for f in wall_findings(mesh.build(draw_ring(plan).recipe, 256), plan.walls) if "terminal" in f.what]
    assert {f.code for f in told} >= {"wall.relief-outside"}
    for finding in told:
        assert finding.verdict is Verdict.PASS
        assert finding.measured is None or finding.measured > finding.closed_form - 0.05


def test_through_bolts_sit_in_the_base_below_the_face(jobs):
    (job,) = jobs("linnet-rear-square")
    plan = plan_ring(job)
    for screw in plan.seat.screws:
        nut = screw.nut
        lower = plan.seat.frame.out((*screw.at, nut.bears - job.fix_speaker.hardware.nut_height))
        tilt = radians(plan.seat.tilt)
        assert lower[2] - nut.diameter / 2 * sin(tilt) == pytest.approx(0.3, abs=1e-6)
        assert -nut.bears >= 4.0 - 1e-6  # clamps at least this much
        at = plan.seat.frame.out((*screw.at, nut.bears))[:2]
        assert plan.tower.foot.depth(tuple(at)) >= nut.diameter / 2 + job.limits.wall_least - 1e-6


def test_a_countersunk_panel_screw_gets_its_countersink(front, change):
    screw = front.fix_to_panel.screw.model_copy(
        update={"name": "iso-10642-m5", "head": "countersunk", "head_diameter": 11.2, "head_height": 3.1}
    )
    plan = plan_ring(change(front, fix_to_panel__screw=screw, fix_to_panel__washer=None))
    fixing = plan.fixings[0]
    assert fixing.sink == 11.2
    assert fixing.sink_depth == pytest.approx((11.2 - choose_hole(front)) / 2)
    assert fixing.roof >= 3.0 - 1e-9
    assert fixing.head_top == fixing.seat


def test_a_wall_of_nothing_is_refused_with_the_key_that_asks_for_it(front, change):
    with pytest.raises(InputError) as caught:
        plan_ring(change(front, turn=2.0, panel__fixings=_closer(front, 0.85)))
    assert all(
        p.where in ("turn", "fix_to_panel", "gaskets.base", "panel.fixings", "fixings") for p in caught.value.problems
    )
    assert any("tool path" in p.what for p in caught.value.problems)


def _closer(front, factor):
    at = {name: (x * factor, y * factor) for name, (x, y) in front.panel.fixings.points.items()}
    return front.panel.fixings.model_copy(update={"at": at})


def test_an_offset_seat_that_misses_the_opening_is_refused(front, change):
    with pytest.raises(InputError, match=r"seat_offset: .* puts the seat beside the opening"):
        plan_ring(change(front, seat_offset=(160.0, 0.0)))


def test_the_turn_of_a_square_flange_is_a_right_angle(jobs, change):
    (job,) = jobs("linnet-rear-square")
    with pytest.raises(InputError, match="turn: 30 is no turn for a flange or cutout that is not round"):
        plan_ring(change(job, turn=30.0))


def test_both_sides_are_mirror_images_where_the_speaker_is(front, front_right, change):
    left = plan_ring(change(front, label=None))
    right = plan_ring(change(front_right, label=None))
    assert right.seat.turn == -left.seat.turn
    assert right.seat.frame.z == pytest.approx((-left.seat.frame.z[0], *left.seat.frame.z[1:]), abs=1e-12)
    mirrored = left.base.outline.mirrored()
    assert right.base.outline.area == pytest.approx(mirrored.area, rel=1e-12)
    for point in right.base.outline.points(0.1):
        assert mirrored.depth(point) == pytest.approx(0.0, abs=1e-9)


def test_seat_frame_is_the_least_rotation(front):
    seat = plan_ring(front).seat
    assert seat.frame == tilt_frame((0.0, 0.0, 22.0), 8.0, 315.0)


def test_a_base_with_corners_sharper_than_its_bare_margin_is_lettered(front):
    """An outline whose arcs are 3.0 across cannot be drawn in by the 2.1 of edge and margin; a label needs no such."""
    plan, sharp = plan_ring(front), rectangle(190.0, 190.0, 1.5)
    body = LabelHost(replace(plan.base, outline=sharp), plan.seat, plan.tower, plan.seat.outline, plan.fixings, None)
    (label,), tab = labels_for(front, body)
    assert tab is None
    places = np.array([letter.frame.origin for letter in label.letters])
    assert depths(sharp, places[:, :2]).min() > plan.base.edge + BESIDE
