"""Loads and screw lengths against sources outside the project, each named beside its check.

Published figures: a textbook table of ring girders (Hassoun, Structural Concrete, table 21.1); the worked example of
an eccentric shear joint on four bolts of Shigley's Mechanical Engineering Design (from memory, so the balance of
forces is checked beside it in tests/design); preload, bearing stress and evenly spaced screws by the usual formulas of
machine elements; screw lengths, pitches, washers and nuts of the package bd_warehouse; ISO 286-1 tolerance grades.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache
from importlib.resources import files
from math import cos, inf, pi, radians, sin, sqrt

import numpy as np
import pytest

from mounts.checks.ring.fastening.bending import worst_bending
from mounts.checks.ring.fastening.clamp import torque_limit
from mounts.checks.ring.fastening.joints import panel_joints, speaker_joints
from mounts.checks.ring.fastening.loads import load_findings
from mounts.checks.ring.fastening.screws import screw_findings
from mounts.design import loads
from mounts.design.fasteners import TOLERANCES, Joint, choose_sold_length
from mounts.geometry.outline import circle
from mounts.identity import Ident, Role
from mounts.kinds.ring.flat import plan_flat
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.values import Hole
from mounts.load.models.fastener import PITCHES
from tests.kinds.ring.conftest import JOBS, changed, jobs_of


@cache
def rows(name: str) -> list[dict[str, str]]:
    """One table of bd_warehouse (Apache-2.0; its data files need no CAD kernel)."""
    text = (files("bd_warehouse") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    return [{k.strip(): (v or "").strip() for k, v in row.items()} for row in csv.DictReader(text.splitlines())]


@cache
def preferred(standard: str) -> tuple[float, ...]:
    (row,) = [one for one in rows("nominal_screw_lengths") if one["Screw_Type"] == standard]
    return tuple(float(one) for one in row["Nominal_Sizes"].split(","))


@cache
def plans():
    return tuple(
        (job, plan_flat(job) if job.make == "cut" else plan_ring(job)) for name in JOBS for job in jobs_of(name)
    )


# --- screws in a pattern ---------------------------------------------------------------------------------------------


def even(count: int, across: float, first: float = 0.0) -> list[tuple[float, float]]:
    turns = [radians(first + 360 * k / count) for k in range(count)]
    return [(across / 2 * cos(turn), across / 2 * sin(turn)) for turn in turns]


@pytest.mark.parametrize("count", [3, 4, 6, 8])
def test_even_screws_share_a_pull_and_tip_by_four_m_a_h_over_n_d(count: int) -> None:
    # machine elements: axial F / n; lateral at the height h 4 F h / (n D) where a screw lies in line with it
    assert loads.bolt_tensions(even(count, 155.0), (0, 0, 30), (0, 0, 1000.0)) == pytest.approx([1000 / count] * count)
    tipped = loads.bolt_tensions(even(count, 155.0), (0, 0, 30), (-1000.0, 0, 0))
    assert tipped.max() == pytest.approx(4 * 1000 * 30 / (count * 155))
    assert tipped.argmax() == 0


def test_the_worked_figures_of_two_kilograms_at_500() -> None:
    # m 2 kg, a 500 m/s²: 1000 N; 4 screws 250 N each; h 30, D 155: 193.5 N aligned, 136.9 N shared by two
    assert loads.shock(2, 500.0) == pytest.approx(1000 * 1.77)
    aligned = loads.bolt_tensions(even(4, 155.0), (0, 0, 30), (-1000.0, 0, 0))
    shared = loads.bolt_tensions(even(4, 155.0, 45.0), (0, 0, 30), (-1000.0, 0, 0))
    assert aligned.max() == pytest.approx(193.5, abs=0.05)
    assert shared.max() == pytest.approx(136.9, abs=0.05)
    assert shared.max() == pytest.approx(2 * sqrt(2) * 1000 * 30 / (4 * 155))


def test_any_direction_is_the_hypotenuse_of_pull_and_tip_on_even_screws() -> None:
    worst = loads.worst_tensions(even(4, 155.0), (0, 0, 30), 1000.0)
    assert worst == pytest.approx([np.hypot(250, 4 * 1000 * 30 / (4 * 155))] * 4)


def test_shigleys_bar_on_four_bolts() -> None:
    # 16 kN, 425 from the middle of bolts 150 × 120 apart: M 6800 N·m, r 96.0; 21.0 kN on the near pair, 14.8 on the far
    points = [(75.0, 60.0), (75.0, -60.0), (-75.0, 60.0), (-75.0, -60.0)]
    shears = np.linalg.norm(loads.bolt_shears(points, (425.0, 0.0), (0.0, -16000.0)), axis=1)
    assert shears == pytest.approx([21000, 21000, 14800, 14800], abs=50)


# --- clamping --------------------------------------------------------------------------------------------------------


def test_m5_at_two_newton_metres_on_a_normal_washer() -> None:
    # F = T / (K d), K 0.2: 2000 N; ISO 7089 washer 10 on a 5.5 hole: 54.8 mm², 36.5 MPa
    (row,) = [one for one in rows("plain_washer_parameters") if one["Size"] == "M5"]
    area = loads.bearing_area(float(row["iso7089:d2"]), 5.5)
    assert loads.preload(2.0, 5.0) == pytest.approx(2000)
    assert area == pytest.approx(54.8, abs=0.05)
    assert loads.preload(2.0, 5.0) / area == pytest.approx(36.5, abs=0.05)


@pytest.mark.parametrize(("name", "torque"), [("M4", 0.8), ("M5", 1.0), ("M6", 1.2)])
def test_steel_rivet_nuts_bear_more_torque_than_plastic_but_for_the_smallest(name: str, torque: float) -> None:
    # a rivet-nut supplier's sheet, reduced heads: M4 0.8, M5 1.5, M6 3.5 N·m
    sheet = {"M4": 0.8, "M5": 1.5, "M6": 3.5}
    job = jobs_of("linnet-woofer")[0]
    screw = job.fix_to_panel.screw.model_copy(update={"thread": name})
    nut = job.fix_to_panel.hardware.model_copy(update={"torque": sheet[name]})
    fixing = replace(job.fix_to_panel, screw=screw, hardware=nut)
    assert torque_limit(changed(job, fix_to_panel=fixing))[0] == pytest.approx(torque)


def test_the_pull_out_taken_for_an_insert_is_below_what_was_measured() -> None:
    # quoted second-hand: about 1000 N for an M3 in ABS. Hole 4.0, 5.7 long, ABS 30 to 50 MPa: taken 0.3 of the shear
    taken = loads.shear_off(4.0, 5.7, 30.0) * 0.5 * loads.REPEATED
    assert 300 < taken < 1000
    assert loads.shear_off(4.0, 5.7, 30.0) == pytest.approx(1000, rel=0.3)  # and the plain formula is near it


def test_even_a_flat_headed_rivet_nut_outlasts_the_sheet_that_holds_it() -> None:
    # its proof load, M5: 11 500 N; a 0.9 mm door skin of Rm 270 (EN 10130) tears at 8.0 across below that
    assert loads.shear_off(8.0, 0.9, 270.0) < 11500


# --- the ring between its screws -------------------------------------------------------------------------------------

# supports: over a support and midway, of w r²; computed from the formulas, and equal to Hassoun's table 21.1 where
# that has them
GIRDERS = {
    3: (0.3954, 0.2092),
    4: (0.2146, 0.1107),
    5: (0.1352, 0.0690),
    6: (0.0931, 0.0472),
    8: (0.0519, 0.0262),
    12: (0.0230, 0.0115),
}
HASSOUN = {
    4: (0.215, 0.110),
    5: (0.136, 0.068),
    6: (0.093, 0.047),
    8: (0.052, 0.026),
    12: (0.024, 0.012),
}


@pytest.mark.parametrize("count", GIRDERS)
def test_ring_girders_are_those_of_the_table(count: int) -> None:
    ring = loads.loaded_ring(np.arange(count) * 2 * pi / count, ratio=3.0)
    found = tuple(ring.bending(np.array([0.0, pi / count])) * (1, -1))
    assert found == pytest.approx(GIRDERS[count], abs=5.1e-5)
    for value, printed in zip(found, HASSOUN.get(count, ()), strict=False):
        assert value == pytest.approx(printed, abs=1.1e-3)


def test_the_worked_ring_of_155_on_four_supports() -> None:
    # r 77.5, 1000 N in all: w 2.0536, over a support 2647.0, midway 1365.7 N·mm; 20 × 6 flat 22.06 MPa
    line = 1000 / (2 * pi * 77.5)
    assert line == pytest.approx(2.0536, abs=5e-5)
    over, midway = loads.loaded_ring(np.arange(4) * pi / 2, ratio=1.0).bending(np.array([0.0, pi / 4]))
    assert over * line * 77.5**2 == pytest.approx(2647.0, abs=0.1)
    assert -midway * line * 77.5**2 == pytest.approx(1365.7, abs=0.1)
    job, plan = jobs_of("linnet-front-sheet")[0], plan_flat(jobs_of("linnet-front-sheet")[0])
    spec = {"hole": 7.2, "bolt_circle": {"diameter": 155.0, "count": 4, "first": "12:00"}}
    job = changed(job, panel__fixings=job.panel.fixings.model_validate(spec))
    holes = tuple(Hole(Ident(Role.HOLE, name), at, 0.0) for name, at in job.panel.fixings.points.items())
    plan = replace(plan, bore=circle(135.0), outline=circle(175.0), sheet=6.0, holes=holes)
    assert 1000 * worst_bending(job, plan)[0] == pytest.approx(22.06, abs=0.01)


# --- screws ----------------------------------------------------------------------------------------------------------


def test_pitches_are_the_coarse_ones_of_bd_warehouse() -> None:
    sizes = {one["Size"] for one in rows("hex_nut_parameters")}
    for thread, pitch in PITCHES.items():
        assert f"{thread}-{pitch:g}" in sizes, thread


def test_length_tolerances_are_half_of_it15_which_is_ten_times_it10() -> None:
    # ISO 286-1, IT10 in µm: 3–6 48, 6–10 58, 10–18 70, 18–30 84, 80–120 140; five grades on is ten times as much
    it10 = {6.0: 48, 10.0: 58, 18.0: 70, 30.0: 84, 120.0: 140}
    for upto, half in TOLERANCES:
        if upto in it10:
            assert half == pytest.approx(it10[upto] * 10 / 2 / 1000)


@pytest.mark.parametrize("clamped", [4.2, 6.0, 7.35, 9.6, 11.0, 14.99, 15.0, 15.01, 23.0, 41.0])
def test_the_length_taken_is_the_next_preferred_one(clamped: float) -> None:
    lengths = preferred("iso7380_1")
    expected = min(one for one in lengths if one >= clamped + 5)
    assert choose_sold_length(Joint(clamped, 5.0, 6.7, inf), lengths) == expected


def test_every_length_named_for_the_demo_jobs_is_a_preferred_one() -> None:
    named = set()
    for job, plan in plans():
        for one in screw_findings(job, plan):
            if "by iso-7380-m" in one.what and " × " in one.what:
                named.add(float(one.what.split(" × ")[1].split(",")[0]))
    assert named
    assert named <= set(preferred("iso7380_1"))


def test_thread_forming_screws_engage_twice_their_diameter() -> None:
    # a screw maker's table for ABS, ABS/PC and ASA: at least 2.00 d1
    seen = set()
    for job, plan in plans():
        if job.fix_speaker and job.fix_speaker.hardware.is_ == "pilot":
            for one in speaker_joints(job, plan):
                assert one.joint.engages == pytest.approx(2.0 * job.fix_speaker.hardware.diameter)
                seen.add(job.name)
    assert len(seen) == 2


def test_steel_engages_one_diameter_and_through_bolts_their_iso_4032_nut() -> None:
    # engagement of machine screws: steel 1 d; the nut's greatest height m of ISO 4032, and a pitch
    nuts = {one["Size"]: float(one["iso4032:m"]) for one in rows("hex_nut_parameters") if one["iso4032:m"]}
    for job, plan in plans():
        for one in panel_joints(job, plan):
            assert one.joint.engages == pytest.approx(float(job.fix_to_panel.screw.thread[1:]))
        if job.fix_speaker and job.fix_speaker.hardware.is_ == "through":
            for one in speaker_joints(job, plan):
                assert one.joint.engages == pytest.approx(nuts["M4-0.7"] + 0.7)


def test_a_slam_is_that_of_iso_16750_3() -> None:
    # doors and flaps: half-sine 500 m/s²; an undamped part answers with up to 1.77 times that
    job = jobs_of("linnet-woofer")[0]
    assert job.limits.slam == 500
    one = load_findings(job, plan_ring(job))[0]
    half = load_findings(changed(job, limits__slam=250.0), plan_ring(job))[0]
    assert one.closed_form == pytest.approx(2 * half.closed_form)
    assert "ISO 16750-3" in one.source
