"""A tweeter's way into its cup and out again: which way the plan takes, each gap by hand and on the finished mesh."""

from __future__ import annotations

from math import cos, hypot, radians, sin

import pytest

from mounts.checks.assembly import assemble, disagreements, measure_gaps
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.kernels import mesh
from mounts.kinds.cup.kind import COLD, SHIELD, cup_cautions, cup_unread
from mounts.kinds.cup.papers import record, tools
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.shape import draw_cup
from mounts.kinds.cup.steps import cup_steps
from mounts.kinds.cup.way import FLANGE_WAY, OPENING_WAY, way_envelopes, way_gaps
from mounts.pipeline import make
from tests.cups import FLANGE, SCREWED, TWEETER, cup

GRILLE = {"round": 40, "height": 2, "cover": "comes off"}


def measured(tmp_path, **changes):
    """The plan, and its gaps by name, measured on the finished mesh."""
    job = cup(tmp_path, **changes)
    plan = plan_cup(job)
    part = mesh.build(draw_cup(plan).recipe, 256)
    found = measure_gaps(assemble(part, way_envelopes(job, plan)), tuple(way_gaps(job, plan)))
    assert disagreements(found) == ()
    return plan, {gap.what.removesuffix(" while fitting"): gap for gap in found}


@pytest.mark.parametrize(("across", "way", "verdict"), [(35.0, "grille", "pass"), (34.98, "cup", "warn")])
def test_a_flange_just_passes_the_opening_and_one_just_does_not(tmp_path, across, way, verdict):
    """Flange 34 level and in the middle: (35 − 34) / 2 = 0.5 a side is what passing asks for."""
    plan, gaps = measured(tmp_path, panel__grille={**GRILLE, "round": across})
    gap = gaps["flange to grille's opening"]
    assert (plan.way, gap.verdict) == (way, verdict)
    assert gap.gap == pytest.approx((across - 34) / 2, abs=1e-6)
    assert gap.measured == pytest.approx(gap.gap, abs=1e-3)


def test_a_tilted_flange_passes_nearest_at_the_far_edge_of_the_opening(tmp_path):
    """Along an axis tilted by 8° from a seat 8 deep: the edge that it leans to, at height 2, is 8 + 2 before the seat.

    That edge, 20 from the middle, lies 20 cos 8° − 10 sin 8° from the axis, and the flange has 17.
    """
    turned = {"aim": {"tilt": 8, "toward": "3:00"}, "height": -8}
    plan, gaps = measured(tmp_path, **turned, retention=NUT, panel__grille=GRILLE)
    gap = gaps["flange to grille's opening"]
    assert gap.gap == pytest.approx(20 * cos(radians(8)) - 10 * sin(radians(8)) - 17, abs=1e-3)
    assert gap.measured == pytest.approx(gap.gap, abs=2e-3)
    assert gap.at == pytest.approx((20, 0, 2), abs=0.5)
    assert plan.way == "grille"


NUT = {"by": "ring nut", "clamp": {"across": 40, "height": 5, "grip": [2, 6]}}


def test_an_oblong_opening_passes_what_its_short_side_lets_through(tmp_path):
    _, gaps = measured(tmp_path, panel__grille={"oblong": [60, 36], "height": 3, "cover": "comes off"})
    gap = gaps["flange to grille's opening"]
    assert (gap.gap, gap.measured) == pytest.approx((1.0, 1.0), abs=1e-3)


def test_a_flange_beside_the_opening_does_not_pass(tmp_path):
    """The opening's edge is 5 from the flange's middle: what lies 17 beyond that is in the wall by 22 − 10."""
    plan, gaps = measured(
        tmp_path, panel__grille={"round": 20, "at": [0, 0], "cover": "comes off"}, seat_offset=[5, 0], retention=NUT
    )
    gap = gaps["flange to grille's opening"]
    assert (plan.way, gap.verdict) == ("cup", Verdict.WARN)
    assert gap.gap == pytest.approx(10 - 22, abs=1e-3)
    assert gap.overlap > 0


@pytest.mark.parametrize(("less", "verdict"), [(0.0, Verdict.PASS), (0.02, Verdict.FAIL)])
def test_a_body_that_widens_behind_the_bore_just_goes_in_and_just_does_not(tmp_path, less, verdict):
    """The bore is drawn 1 wider than the body's widest place, behind the cup, or 0.98: 0.5 a side are asked for."""
    growth = cup(tmp_path, **FLANGE).printer.growth("pc-abs", 32.0)
    body = [{"depth": d, "across": a} for d, a in ((0, 31), (10, 31), (10.1, 32), (12, 32))]
    wide = {"bore": 1 - growth - less}
    _, gaps = measured(tmp_path, **{**FLANGE, "speaker": {**SCREWED, "body": body}, "limits": wide})
    gap = gaps["body to bore"]
    assert gap.gap == pytest.approx(0.5 - less / 2)
    assert gap.measured == pytest.approx(gap.gap, abs=0.02)
    assert gap.finding().verdict is verdict


@pytest.mark.parametrize(("reach", "verdict"), [(12.8, Verdict.PASS), (14.5, Verdict.WARN)])
def test_plugs_pass_between_the_ribs_or_go_on_afterwards(tmp_path, reach, verdict):
    """Corner of a plug 6 wide at hypot(reach, 3), between tips 27 less the press apart."""
    plugs = {"at": "6:00", "reach": reach, "width": 6, "depth": [6, 12]}
    plan, gaps = measured(tmp_path, speaker={**TWEETER, "terminals": plugs})
    gap = gaps["plugs on the terminals to bore"]
    assert gap.gap == pytest.approx(plan.seat.press.inside / 2 - hypot(reach, 3))
    assert gap.finding().verdict is verdict
    if verdict is Verdict.PASS:
        assert gap.measured >= gap.gap - 1e-3  # it lies between two ribs


def test_the_flange_has_its_room_all_the_way_into_the_cup(tmp_path):
    for changes in ({}, FLANGE, {"retention": {"by": "press", "keep": "lip"}}, {"aim": {"tilt": 8, "toward": "1:00"}}):
        _, gaps = measured(tmp_path, **changes)
        gap = gaps["flange to cup"]
        assert (gap.gap, gap.measured) == pytest.approx((0.3, 0.3), abs=0.02)


def test_a_body_that_ribs_cannot_let_through_is_refused(tmp_path):
    body = [{"depth": d, "across": a} for d, a in ((0, 27), (8, 27), (8.1, 27.2), (12, 27.2))]
    with pytest.raises(InputError, match=r"wider than 27\.0 behind the ribs"):
        plan_cup(cup(tmp_path, speaker__body=body))


@pytest.mark.parametrize(
    ("grille", "way", "warned"),
    [
        (GRILLE, "grille", []),
        ({**GRILLE, "round": 34}, "cup", ["flange to grille's opening while fitting"]),
        ({**GRILLE, "cover": "fixed"}, "cup", ["the tweeter's way out through the grille, which is fixed"]),
    ],
)
def test_papers_and_report_follow_the_way(tmp_path, grille, way, warned):
    made = make(cup(tmp_path, panel__grille=grille))
    job, plan = made.job, made.plan
    assert plan.way == way
    found = [f for f in made.report.findings if f.code == "way.tweeter" and f.verdict is not Verdict.PASS]
    assert [f.what for f in found] == warned
    assert all(f.verdict is Verdict.WARN and "comes out only with it" in f.advice for f in found)
    titles = [part.title for part in cup_steps(made)]
    staked, put_in = titles.index("Stake it, on the bench"), titles.index("Put the tweeter in")
    assert (put_in > staked) == (way == "grille")
    text = " ".join(step.text for part in cup_steps(made) for step in part.steps)
    assert ("take its grille off" in text) == ("Grille back on" in text) == (way == "grille")
    assert ("strip of metal" in text) == any("strip of metal" in one for one in tools(job)) == (way == "cup")
    assert (COLD if way == "grille" else SHIELD) in cup_cautions(job)
    out = record(job, plan).out
    assert [line.split(":")[0].split(",")[0] for line in out] == (
        ["Tweeter", "Cup"] if way == "grille" else ["Cup", "Tweeter"]
    )


@pytest.mark.parametrize(
    ("grille", "way", "unread"),
    [
        ({"round": "1.5 in", "cover": "comes off"}, "grille", set()),
        ({"round": 40}, "cup", {"panel.grille.cover"}),
        (None, "cup", {"panel.grille"}),
    ],
)
def test_a_grille_that_was_not_read_lets_nothing_through(tmp_path, grille, way, unread):
    job = cup(tmp_path, panel__grille=grille)
    assert plan_cup(job).way == way
    assert {path for path in cup_unread(job) if "grille" in path} == unread
    assert (way == "grille") == any(gap.between == (FLANGE_WAY, OPENING_WAY) for gap in way_gaps(job, plan_cup(job)))


def test_a_cover_that_is_neither_is_asked_for(tmp_path):
    with pytest.raises(InputError, match=r"panel\.grille\.cover: .*comes_off.*"):
        cup(tmp_path, panel__grille={**GRILLE, "cover": "comes_off"})
