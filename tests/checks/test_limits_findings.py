"""Sound, seals, access, the flat ring, the panel's own readings and walls, each just kept and just missed.

Where a reading decides it is moved by 0.04 mm across the limit, told by hand beside it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from math import acos, hypot, pi, sqrt

import pytest

from mounts.checks.assembly import assemble
from mounts.checks.check import check_part
from mounts.checks.ring.findings import (
    LEAST_SQUEEZE,
    MOST_SQUEEZE,
    access_findings,
    flat_findings,
    foam_findings,
    panel_findings,
    proven_findings,
    sound_findings,
    squeeze_findings,
)
from mounts.findings.report import Finding, Verdict
from mounts.findings.wall import Wall
from mounts.geometry.outline import circle, offset_outline
from mounts.kernels import mesh
from mounts.kernels.agreement import check_agreement, mesh_figures
from mounts.kinds.kind import plan
from mounts.kinds.ring.flat import WEB, draw_flat, plan_flat
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.surroundings import surroundings
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.load.models.panel import Original
from mounts.load.models.surroundings import Trim
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from tests.checks.level import CONE, MAGNET, demo, level
from tests.idents import ident, labels, pair
from tests.kinds.ring.conftest import JOBS, changed, jobs_of

STEP = 0.02  # mm, or per cent, to either side of a limit
BOTH = [(STEP, True), (-STEP, False)]  # how much more than the limit, and whether that is good


def one(found: Iterable[Finding], code: str, what: str = "") -> Finding:
    """The one finding of a code, and of some words in what was looked at."""
    (only,) = [finding for finding in found if finding.code == code and what in finding.what]
    return only


def judged(finding: Finding, *, good: bool, bad: Verdict) -> None:
    """A finding's verdict, and that it says what to do when, and only when, there is something to do."""
    assert finding.verdict is (Verdict.PASS if good else bad)
    assert bool(finding.advice) is not good


# --- sound -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("off", "good"), BOTH)
def test_the_rear_waves_way_turns_at_seventy_per_cent_of_the_piston(off, good):
    """Opening 120 less a magnet of 78 is as much as 0.7 of a piston of sqrt((120² − 78²) / 0.7) = 109."""
    piston = sqrt((120.0**2 - 78.0**2) / 0.7) - off
    job = level(speaker__piston=piston)
    found = one(sound_findings(job, plan_ring(job)), "sound.rear")
    judged(found, good=good, bad=Verdict.WARN)
    assert (found.limit, found.unit) == (70.0, "%")
    assert found.closed_form == pytest.approx(100 * (120.0**2 - 78.0**2) / piston**2, abs=1e-6)


def test_the_cone_seen_turns_at_eighty_five_per_cent():
    """A straight edge across the cone's disc: what it hides is a circle's segment, r² (acos c − c sqrt(1 − c²))."""
    low, high = 0.0, 52.0  # from the middle to the edge
    for _ in range(60):
        middle = (low + high) / 2
        c = middle / 52.5
        hidden = (acos(c) - c * sqrt(1 - c * c)) / pi
        low, high = (middle, high) if hidden > 0.15 else (low, middle)
    exact, plan = low, plan_ring(level())

    def verdict(edge: float) -> Verdict:
        trim = Trim.model_validate({"at_clock": 45, "opening": {"rectangle": [300, 300, 1]}, "at": [edge - 150, 0]})
        return one(sound_findings(level(panel__in_front__trim=trim), plan), "sound.seen").verdict

    less, more = exact - 0.5, exact + 0.5  # the 4000 places on the disc are good to 0.3 per cent, 0.3 mm here
    assert (verdict(less), verdict(more)) == (Verdict.WARN, Verdict.PASS)
    while more - less > 2 * STEP:
        middle = (less + more) / 2
        less, more = (less, middle) if verdict(middle) is Verdict.PASS else (middle, more)
    assert (less + more) / 2 == pytest.approx(exact, abs=0.3)


# --- seals -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("limit", "inward"), [(LEAST_SQUEEZE, 1), (MOST_SQUEEZE, -1)])
@pytest.mark.parametrize(("off", "good"), BOTH)
def test_gaskets_turn_at_fifteen_and_at_fifty_per_cent(limit, inward, off, good):
    """0.02 per cent of 3 mm of foam are less than a thousandth of a millimetre."""
    job = level(limits__squeeze_pct=limit + inward * off)
    for found in squeeze_findings(job, plan_ring(job)):
        judged(found, good=good, bad=Verdict.FAIL)
        assert (found.code, found.unit) == ("seal.squeeze", "%")
        assert (found.closed_form, found.limit) == (pytest.approx(limit + inward * off), limit)


@pytest.mark.parametrize(("off", "good"), [(-STEP, True), (STEP, False)])
def test_foam_turns_at_the_least_squeeze_where_the_trim_lies_furthest(off, good):
    """Of four readings at right angles one is d more: the plane through them misses each by d / 4.

    The collar runs along that plane moved down to the lowest reading, so that two lie on it and two d / 2 over it, less
    by the cosine of its slope. The foam stands half way between its limits, 32.5 per cent of 6 squeezed: 4.05; at the
    least squeeze of 25 per cent it is 4.5 high, d / 2 more.
    """
    job = changed(jobs_of("linnet-front-collar")[0], label=None)
    trim = job.panel.in_front.trim
    slope = 0.9 / 2 / 128.0  # of the plane, towards the high reading
    d = 0.9 * sqrt(1 + slope**2) + off
    uneven = trim.model_copy(update={"at_clock": {0.0: 45.0 + d, 90.0: 45.0, 180.0: 45.0, 270.0: 45.0}})
    job = changed(job, panel__in_front__trim=uneven)
    plan = plan_ring(job)
    found = one(foam_findings(job, plan), "seal.foam", "least squeeze")
    judged(found, good=good, bad=Verdict.WARN)
    assert (found.closed_form, found.limit) == (pytest.approx(25.0 - off / 2 / 6 * 100, abs=1e-3), 25.0)
    assert one(foam_findings(job, plan), "seal.foam", "most squeeze").verdict is Verdict.PASS


@pytest.mark.parametrize(("off", "good"), BOTH)
def test_foam_turns_at_the_most_squeeze_where_the_trim_lies_nearest(off, good):
    """The trim of a ring that stands, read again: 40 per cent of 6 leave 3.6 between collar and trim, 0.45 less."""
    job = changed(jobs_of("linnet-front-collar")[0], label=None)
    level_trim = job.panel.in_front.trim.model_copy(update={"at_clock": dict.fromkeys((0.0, 90.0, 180.0, 270.0), 45.0)})
    job = changed(job, panel__in_front__trim=level_trim)
    plan = plan_ring(job)
    lower = level_trim.model_copy(update={"at_clock": {0.0: 45.0 - 0.45 + off, 90.0: 45.0, 180.0: 45.0, 270.0: 45.0}})
    found = one(foam_findings(changed(job, panel__in_front__trim=lower), plan), "seal.foam", "most squeeze")
    judged(found, good=good, bad=Verdict.WARN)
    assert (found.closed_form, found.limit) == (pytest.approx(40.0 - off / 6 * 100, abs=1e-6), 40.0)


# --- access ----------------------------------------------------------------------------------------------------------


def reached(plan: RingPlan, recipe: Recipe) -> dict[tuple[str, str], Finding]:
    """What is said of every tool's way to the ring of a recipe."""
    assembly = assemble(mesh.build(recipe, 512), surroundings(level(), plan))
    return {(f.code, f.between[0].label): f for f in access_findings(assembly, plan)}


@pytest.mark.parametrize(("narrower", "good"), [(0.0, True), (0.08, False)])
def test_a_panel_screws_tool_takes_nothing_of_the_tower_or_a_sliver(narrower, good):
    """The tower stands in the way of the tool but for its path, as wide as planned or 0.04 narrower a side."""
    plan = plan_ring(level())
    recipe = draw_ring(plan).recipe
    (path,) = next(feature.bodies for feature in recipe.features if feature.ident.label == "tool path A")
    assert isinstance(path, Prism)
    narrow = Feature(
        ident("tool path A"), (replace(path, outline=offset_outline(path.outline, -narrower / 2)),), cut=True
    )
    features = tuple(narrow if feature.ident == narrow.ident else feature for feature in recipe.features)
    found = reached(plan, replace(recipe, features=features))
    judged(found.pop(("access.panel-screws", "tool A")), good=good, bad=Verdict.FAIL)
    assert {finding.verdict for finding in found.values()} == {Verdict.PASS}


@pytest.mark.parametrize(("off", "good"), [(STEP, True), (-0.04, False)])
def test_a_speaker_screws_driver_passes_a_wall_or_touches_it(off, good):
    """A head of 7.6 and its 1 mm of room: a path of 8.6 over the flange."""
    job = level()
    plan = plan_ring(job)
    screw, across = plan.seat.screws[0], job.fix_speaker.screw.head_diameter + 1.0
    out = hypot(*screw.at)
    ways = (out + across / 2 + off) / out, (out + across / 2 + off + 40.0) / out  # a wall on, seen along the axis
    wall = circle(2 * out * ways[1]), circle(2 * out * ways[0])
    recipe = draw_ring(plan).recipe
    block = Feature(ident("wall"), (Prism(wall[0], 30.0, 40.0, islands=(wall[1],)),))
    found = reached(plan, replace(recipe, features=(*recipe.features, block)))
    drivers = [finding for (code, _), finding in found.items() if code == "access.speaker-screws"]
    assert len(drivers) == 4
    for driver in drivers:
        judged(driver, good=good, bad=Verdict.FAIL)


# --- the flat ring ---------------------------------------------------------------------------------------------------


def flat(**more: object) -> tuple[RingJob, FlatPlan]:
    job = changed(jobs_of("linnet-front-sheet")[0], **more)
    return job, plan_flat(job)


def said(job: RingJob, plan: FlatPlan) -> tuple[Finding, ...]:
    return flat_findings(job, plan, mesh.build(draw_flat(plan).recipe, 128))


@pytest.mark.parametrize(("off", "good"), BOTH)
@pytest.mark.parametrize("to", ["bore", "edge", "fixing B"])
def test_a_sheets_web_turns_at_three(to, off, good):
    """A fixing's hole set so that it leaves 3 mm, give or take, to the bore, the edge or another hole."""
    job, plan = flat()
    hole, other = plan.holes[0], plan.holes[1]
    out = hypot(*hole.at)
    if to == "fixing B":
        at = (other.at[0], other.at[1] + (hole.diameter + other.diameter) / 2 + WEB + off)
    else:
        away = hole.diameter / 2 + WEB + off
        bore, edge = circle(100.0), circle(200.0)  # as far as a web goes, whatever is round is enough
        plan = replace(plan, bore=bore, outline=edge)
        reach = 50.0 + away if to == "bore" else 100.0 - away
        at = (hole.at[0] / out * reach, hole.at[1] / out * reach)
    plan = replace(plan, holes=(replace(hole, at=at), *plan.holes[1:]))
    (found,) = [f for f in said(job, plan) if f.code == "wall.web" and labels(f.between) == (hole.ident.label, to)]
    judged(found, good=good, bad=Verdict.FAIL)
    assert (found.closed_form, found.limit) == (pytest.approx(WEB + off, abs=1e-9), WEB)


@pytest.mark.parametrize(("proud", "told"), [(0.0, False), (STEP, True)])
def test_hardware_that_stands_proud_by_anything_asks_for_a_spot_face(proud, told):
    job, plan = flat(fix_to_panel__hardware__flange_height=proud)
    found = [f for f in said(job, plan) if f.code == "flat.recess"]
    assert [f.verdict for f in found] == [Verdict.DO] * told
    if told:
        assert found[0].what.startswith(f"spot-face {7.9 + 2.0:g} wide and {proud + 0.4:g} deep")


# --- the panel -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("off", "good"), [(0.0, True), (STEP, True), (-STEP, False)])
def test_the_panels_hole_turns_at_what_the_nut_needs(off, good):
    job = changed(demo(), panel__fixings__hole=7.2 + off)
    found = one(panel_findings(job), "panel.hole")
    judged(found, good=good, bad=Verdict.DO)
    assert (found.closed_form, found.limit) == (7.2 + off, 7.2)


@pytest.mark.parametrize(("off", "good"), [(0.2, True), (0.2 + STEP, False)])
def test_a_hole_read_a_little_wide_is_left_to_a_gauge(off, good):
    found = one(panel_findings(changed(demo(), panel__fixings__hole=7.2 + off)), "panel.hole-wide")
    judged(found, good=good, bad=Verdict.DO)
    assert (found.closed_form, found.limit) == (7.2 + off, pytest.approx(7.4))


def test_a_hole_as_wide_as_it_needs_to_be_is_not_wider_by_rounding():
    job = changed(demo(), panel__fixings__hole=7.2 * (1 + 1e-9))
    assert "panel.hole-wide" not in [found.code for found in panel_findings(job)]


@pytest.mark.parametrize(
    ("thick", "good", "limit"),
    [(0.5 - STEP, False, 0.5), (0.5, True, 0.5), (3.0, True, 3.0), (3.0 + STEP, False, 3.0)],
)
def test_the_sheet_is_within_the_nuts_grip(thick, good, limit):
    found = one(panel_findings(changed(demo(), panel__face__thickness=thick)), "panel.grip")
    judged(found, good=good, bad=Verdict.FAIL)
    assert (found.closed_form, found.limit) == (thick, limit)


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize(("off", "good"), [(-STEP, True), (STEP, False)])
def test_the_other_side_turns_at_three_deviations_of_two_readings(way, off, good):
    """A caliper's 0.25, once here and once there: 3 √2 × 0.25 = 1.06."""
    a, c = (demo().panel.fixings.points[name] for name in "AC")
    read = hypot(a[0] - c[0], a[1] - c[1]) + way * (0.75 * sqrt(2) + off)
    other = demo().panel.other_side.model_copy(update={"check": {"A-C": read}})
    found = one(panel_findings(changed(demo(), panel__other_side=other)), "pattern.other-side")
    judged(found, good=good, bad=Verdict.FAIL)
    assert (found.closed_form, found.limit) == (pytest.approx(0.75 * sqrt(2) + off), pytest.approx(0.75 * sqrt(2)))


# --- room that is proven ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("code", "key", "reach"), [("proven.depth", "depth", MAGNET), ("proven.front", "front", CONE)])
@pytest.mark.parametrize(("off", "good"), BOTH)
def test_the_speaker_that_was_there_proves_its_room(code, key, reach, off, good):
    job = level(panel__original=Original.model_validate({key: reach + off}))
    found = one(proven_findings(job, plan_ring(job).seat), code)
    judged(found, good=good, bad=Verdict.WARN)
    assert (found.closed_form, found.limit) == (pytest.approx(reach), reach + off)


# --- walls and the solid ---------------------------------------------------------------------------------------------

WALLS = (
    *("seal.land", "seal.lip", "seal.speaker-land", "wall.base", "wall.floor", "wall.groove-bore", "wall.hole-edge"),
    *("wall.nut-bore", "wall.nut-groove", "wall.nut-outside", "wall.path-bore", "wall.path-collar"),
    *("wall.relief-groove", "wall.relief-outside"),
    *("wall.recess-bore", "wall.roof", "wall.screw-bore", "wall.screw-outside", "wall.screw-path", "wall.tower"),
)


@cache
def walls_of_the_library() -> dict[str, Wall]:
    """One wall of every code that the library's rings have."""
    found = {}
    for name in JOBS:
        job = jobs_of(name)[0]
        for wall in plan_ring(job).walls if job.make == "print" else ():
            found[wall.code] = wall
    return found


def test_the_library_has_every_wall_that_is_named_here():
    assert sorted(walls_of_the_library()) == sorted(WALLS)


ELSEWHERE = {  # no ring of the library needs room for its terminals, or has a nut near a tool's path
    code: Wall(code, pair(inner, other), 9.0, limit, "the test's own")
    for code, inner, other, limit in (
        ("wall.relief-outside", "terminal 1", "outside", 3.0),
        ("wall.relief-groove", "terminal 1", "gasket groove", 1.2),
        ("wall.relief-path", "terminal 1", "recess A", 3.0),
        ("wall.nut-path", "nut 1", "recess A", 3.0),
    )
}


@pytest.mark.parametrize("code", [*WALLS, *ELSEWHERE])
def test_a_wall_turns_at_its_limit(code):
    wall = {**walls_of_the_library(), **ELSEWHERE}[code]
    for off, good in (*BOTH, (0.0, True)):
        found = replace(wall, thickness=wall.limit + off).finding()
        judged(found, good=good, bad=Verdict.FAIL)
        assert (found.code, found.limit, found.between) == (code, wall.limit, wall.between)


@pytest.mark.parametrize(("share", "good"), [(0.499, True), (0.501, False), (-0.499, True), (-0.501, False)])
def test_triangles_may_lose_or_gain_half_a_per_cent_of_the_solid(share, good):
    planned = plan(flat()[0])
    recipe = draw_flat(planned.plan).recipe
    part = mesh.build(recipe, 128)
    agreement = check_agreement(part, recipe, mesh_figures(recipe))
    found = one(
        check_part(planned, replace(part, volume=part.volume / (1 + share / 100)), agreement), "solid.triangles"
    )
    judged(found, good=good, bad=Verdict.FAIL)
    assert (found.measured, found.limit) == (pytest.approx(share, abs=1e-6), 0.5 if share > 0 else -0.5)
