"""Rows of tilts: each is what a job of that tilt would be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from mounts.aiming.evaluate import evaluate_aim
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.kinds.ring.clearances import speaker_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.job import AimAngles
from mounts.load.resolve.job import load_job

JOBS = Path(__file__).parents[2] / "profiles" / "jobs"


@pytest.fixture(scope="module")
def door() -> RingJob:
    job = load_job(JOBS / "linnet-woofer.yaml")[0]
    assert isinstance(job, RingJob)
    return job


@pytest.fixture(scope="module")
def found(door):
    return evaluate_aim([door], 20.0)


def test_rows_rise_hold_the_jobs_own_and_end_with_the_first_that_fails(found) -> None:
    (side,) = found.sides
    tilts = [row.tilt for row in side.rows]
    assert tilts == sorted(tilts) == [0, 2, 4, 6, 8, 10, 12]
    (own,) = [row for row in side.rows if row.is_chosen]
    assert (own.tilt, own.height) == (8.0, 22.0)
    fails = [any(gap.verdict is Verdict.FAIL for _, gap in row.gaps) for row in side.rows]
    assert fails == [False] * 6 + [True]
    assert not found.breaks_a_limit


@pytest.mark.parametrize("tilt", [0.0, 10.0])
def test_a_row_is_what_a_job_of_that_tilt_would_be(found, door, tilt) -> None:
    (row,) = [row for row in found.sides[0].rows if row.tilt == tilt]
    plan = plan_ring(replace(door, aim=AimAngles(tilt, 315.0), label=None))
    for word, code in (("glass", "clear.glass"), ("grille", "clear.grille"), ("opening", "clear.body-opening")):
        gaps = [gap for gap in speaker_gaps(door, plan.seat) if gap.code == code]
        assert dict(row.gaps)[word].gap == pytest.approx(min(gaps, key=lambda g: g.gap - g.wanted).gap)
    assert row.height == plan.seat.frame.origin[2]


def test_angles_by_spherical_trigonometry(found) -> None:
    """cos γ = cos α cos θ + sin α sin θ cos ω: axis tilted by θ, ear α from the normal, ω between their headings."""
    (side,) = found.sides
    one = side.heard[0]
    x, y, z = np.array(one.listener.ear) - np.array(side.seat.frame.origin)
    alpha, omega = np.arctan2(np.hypot(x, y), z), np.radians(315.0) - np.arctan2(x, y)
    for row in side.rows:
        theta = np.radians(row.tilt)
        cosine = np.cos(alpha) * np.cos(theta) + np.sin(alpha) * np.sin(theta) * np.cos(omega)
        if row.height == 22.0:
            assert row.heard[0].angle == pytest.approx(np.degrees(np.arccos(cosine)), abs=1e-6)
    assert side.heard[0].flat == pytest.approx(np.degrees(alpha))


def test_each_side_has_its_own_near_speaker() -> None:
    jobs = load_job(JOBS / "linnet-woofer.yaml")
    both = evaluate_aim(jobs, 20.0, 0.0)
    left, right = both.sides
    assert left.heard[0].angle == pytest.approx(right.heard[0].angle)
    assert (left.heard[0].listener.seat, right.heard[0].listener.seat) == ("left seat", "right seat")
    assert len(both.arrivals) == 4
    near = {one.path.seat: one.path.mount for one in both.arrivals if one.delay_ms > 0}
    assert near == {"left seat": "left", "right seat": "right"}


def test_where_no_ears_are_known_there_are_clearances_all_the_same(door) -> None:
    bare = replace(door, panel=door.panel.model_copy(update={"ears": None}))
    found = evaluate_aim([bare], 20.0, 0.0)
    (side,) = found.sides
    assert (side.heard, side.lost, found.arrivals) == ((), ((), ()), ())
    assert all(row.gaps for row in side.rows)


def test_a_tilt_that_cannot_be_drawn_says_why(door) -> None:
    low = replace(door, aim=AimAngles(10.2, 315.0), height=22.0, fix_speaker=door.fix_speaker)
    rows = evaluate_aim([low], 20.0, 14.0).sides[0].rows
    assert rows[-1].tilt == 12.0
    assert rows[-1].height is not None
    assert rows[-1].height > 22.0  # the least that it needs


def test_a_ring_cut_from_sheet_lies_flat_and_has_one_row(demo) -> None:
    (side,) = demo("linnet-front-sheet").sides
    assert [row.tilt for row in side.rows] == [0.0]


def test_a_spacer_is_not_aimed() -> None:
    with pytest.raises(InputError, match="holds no speaker"):
        evaluate_aim(load_job(JOBS / "linnet-port-round.yaml"), 20.0)


def test_a_tilt_that_its_printer_does_not_hold_breaks_a_limit(door) -> None:
    """The top is the upper end of the seat's edge, 136.8 across and broken by 0.6, at tilt 8 on a seat at 22."""
    top = 22 + (68.4 - 0.6) * np.sin(np.radians(8))
    for room, fails in ((0.01, False), (-0.01, True)):
        low = replace(door, printer=door.printer.model_copy(update={"bed": (250.0, 250.0, float(top + room))}))
        found = evaluate_aim([low], 20.0, 0.0)
        (own,) = (row for row in found.sides[0].rows if row.is_chosen)
        assert found.breaks_a_limit is fails
        assert ("bed" in dict(own.gaps)) is fails
    assert dict(own.gaps)["bed"].gap == pytest.approx(-0.01, abs=1e-3)
