"""Washer and head on the base, each limit just kept and just missed. The demo: M5, washer 15 × 5.3, path 1 wider or
as much wider as the hole is than the screw."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from mounts.checks.ring.fastening.clamp import washer_findings
from mounts.findings.report import Verdict
from mounts.kinds.ring.base import choose_hole
from mounts.kinds.ring.flat import plan_flat
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from tests.kinds.ring.conftest import changed, jobs_of


@cache
def demo() -> RingJob:
    return jobs_of("linnet-woofer")[0]


@cache
def demo_plan():
    return plan_ring(demo())


def hole() -> float:
    return choose_hole(demo())


def play() -> float:
    return (hole() - 5) / 2


def by_code(job, plan=None):
    return {one.code: one for one in washer_findings(job, plan or demo_plan())}


def with_fixings(**values):
    plan = demo_plan()
    return replace(plan, fixings=tuple(replace(one, **values) for one in plan.fixings))


def test_the_demo_by_hand():
    found = by_code(demo())
    assert list(found) == ["screw.washer", "screw.head", "screw.washer-room"]
    # half of what is left round the hole, less the play of screw in hole and of washer on screw
    assert found["screw.washer"].closed_form == pytest.approx((15 - hole()) / 2 - play() - 0.15)
    assert found["screw.head"].closed_form == pytest.approx((9.5 - 5.3) / 2 - 0.15)
    assert found["screw.washer-room"].closed_form == pytest.approx(max(0.5, play()) + 0.15 - play())
    assert {one.verdict for one in found.values()} == {Verdict.PASS}


@pytest.mark.parametrize(("more", "verdict"), [(0.01, Verdict.PASS), (-0.01, Verdict.FAIL)])
def test_a_washer_covers_its_hole_wherever_the_screw_stands(more, verdict):
    across = hole() + 2 * (0.5 + play() + 0.15) + more
    one = by_code(changed(demo(), fix_to_panel__washer__outside=across))["screw.washer"]
    assert (one.verdict, one.limit) == (verdict, 0.5)
    if verdict is Verdict.FAIL:
        assert one.advice == "take a washer 0.1 wider"


@pytest.mark.parametrize(("hole", "verdict"), [(6.74, Verdict.PASS), (6.76, Verdict.FAIL)])
def test_a_head_bears_on_its_washer(hole, verdict):
    """A head 9.5 on a hole h that lies (h − 5) / 2 off: 9.5 − 2 h + 5 over 2."""
    one = by_code(changed(demo(), fix_to_panel__washer__inside=hole))["screw.head"]
    assert one.verdict is verdict
    if verdict is Verdict.FAIL:
        assert one.advice == "take a washer with a hole 0.1 narrower"
        assert by_code(changed(demo(), fix_to_panel__washer__inside=hole - 0.1))["screw.head"].verdict is Verdict.PASS


@pytest.mark.parametrize(("more", "verdict"), [(0.01, Verdict.PASS), (-0.01, Verdict.WARN)])
def test_a_washer_has_room_in_its_tool_path(more, verdict):
    one = by_code(demo(), with_fixings(path=15 + 2 * (play() - 0.15) + more))["screw.washer-room"]
    assert one.verdict is verdict


def test_the_room_that_is_missing_is_told():
    one = by_code(demo(), with_fixings(path=15.0))["screw.washer-room"]
    missing = 2 * (play() - 0.15)
    assert one.closed_form == pytest.approx(-missing / 2)
    assert one.advice == f"take limits: {{tool_path: …}} {missing:.1f} greater"


def test_a_hole_drawn_wider_because_it_prints_small_is_no_wider():
    grown = demo().printer.model_copy(update={"hole_growth": {"asa": 0.2}})
    job = changed(demo(), printer=grown)
    drawn = plan_ring(job)
    assert [one.hole for one in drawn.fixings] == pytest.approx([hole() + 0.2] * 4)
    assert by_code(job, drawn)["screw.washer"].closed_form == pytest.approx((15 - hole()) / 2 - play() - 0.15)
    to_edge = [wall for wall in drawn.walls if wall.code == "wall.hole-edge"]  # two diameters of what is drawn
    assert [(wall.thickness, wall.limit) for wall in to_edge] == [pytest.approx((2 * hole() + 0.4,) * 2)] * 4


def test_a_bare_head_bears_on_the_base_itself():
    job = changed(demo(), fix_to_panel=replace(demo().fix_to_panel, washer=None))
    found = by_code(job, plan_ring(job))
    assert list(found) == ["screw.washer", "screw.washer-room"]
    assert found["screw.washer"].what == "bearing of the head round the hole, least width"
    assert found["screw.washer"].closed_form == pytest.approx((9.5 - hole()) / 2 - play())
    assert found["screw.washer-room"].closed_form == pytest.approx(max(0.5, play()) - play())


def test_a_countersunk_head_bears_in_its_cone():
    job = changed(demo(), fix_to_panel=replace(demo().fix_to_panel, washer=None))
    assert by_code(changed(job, fix_to_panel__screw__head="countersunk")) == {}


def test_a_flat_ring_has_no_tool_paths():
    job = jobs_of("linnet-front-sheet")[0]
    found = by_code(job, plan_flat(job))
    assert list(found) == ["screw.washer", "screw.head"]
    wide = choose_hole(job)
    assert found["screw.washer"].closed_form == pytest.approx((15 - wide) / 2 - (wide - 5) / 2 - 0.15)
