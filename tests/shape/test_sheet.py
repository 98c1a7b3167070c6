"""Ruled sheets: points and normals by the ruled formula, least gaps by closed forms and by dense search with scipy."""

from math import cos, hypot, inf, radians, sin, sqrt, tan

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.spatial import cKDTree

import mounts.shape.sheet as sheets
from mounts.geometry.frames import PANEL, Array, Frame, tilt_frame
from mounts.geometry.hull import hull, match_spans
from mounts.geometry.outline import Outline, circle, oblong, offset_outline, rectangle
from mounts.shape.primitives import Section
from mounts.shape.sheet import Keep, Sheet, least_gap, least_on, least_on_each, over, under
from tests.geometry.discs import hull_of_discs

GOOD = 1e-3  # mm: what the search promises


def sheet(*places: tuple[Frame, Outline]) -> Sheet:
    """A sheet through outlines in frames, matched span to span."""
    outlines = match_spans(*(outline for _, outline in places))
    return Sheet(tuple(Section(frame, outline) for (frame, _), outline in zip(places, outlines, strict=True)))


def tube(diameter: float, low: float = 0.0, high: float = 40.0, at: tuple[float, float] = (0.0, 0.0)) -> Sheet:
    return sheet((PANEL.lifted(low), circle(diameter, at)), (PANEL.lifted(high), circle(diameter, at)))


def cone(low: float, high: float, height: float = 40.0) -> Sheet:
    return sheet((PANEL, circle(low)), (PANEL.lifted(height), circle(high)))


def leaning(tilt: float = 12.0, clock: float = 300.0) -> Sheet:
    """From a slot in the face to a round seat that leans."""
    return sheet((PANEL, oblong(150.0, 120.0)), (tilt_frame((2.0, -1.0, 30.0), tilt, clock), circle(130.0)))


# --- points and normals ----------------------------------------------------------------------------------------------


def test_a_point_is_a_share_of_the_way_along_a_span_and_up_a_ruling() -> None:
    wall = leaning()
    foot, seat = wall.sections
    rng = np.random.default_rng(1)
    for along, up in rng.uniform((0, 0), (wall.spans, 1), (100, 2)):
        k, f = int(along), along % 1
        (x0, y0), (u, v) = foot.outline.spans[k].at(f), seat.outline.spans[k].at(f)
        low, high = np.array((x0, y0, 0.0)), seat.frame.out((u, v, 0.0))
        assert wall.at(np.array([along]), np.array([up]))[0] == pytest.approx(low * (1 - up) + high * up, abs=1e-12)


def test_sections_follow_each_other_and_the_ends_are_the_sections_themselves() -> None:
    wall = sheet((PANEL, circle(100.0)), (PANEL.lifted(10.0), circle(120.0)), (PANEL.lifted(30.0), circle(80.0)))
    turn = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 1.0])
    points = wall.at(turn, np.array([0.0, 0.5, 1.0, 1.5, 2.0, 2.0]))
    assert points[:, 0] == pytest.approx([50, 55, 60, 50, 40, 40])
    assert points[:, 2] == pytest.approx([0, 5, 10, 20, 30, 30])


@pytest.mark.parametrize("wall", [tube(100.0), cone(100.0, 140.0), cone(140.0, 100.0), leaning(), leaning(25.0, 100.0)])
def test_normals_point_outward_and_stand_square_on_the_sheet(wall: Sheet) -> None:
    rng = np.random.default_rng(2)
    along, up = rng.uniform(0.001, wall.spans - 0.001, 300), rng.uniform(0.01, 0.99, 300)
    along += np.where(np.abs(along - np.round(along)) < 1e-3, 2e-3, 0)  # not across the seam of two spans
    normal, step = wall.normal(along, up), 1e-4
    assert np.linalg.norm(normal, axis=1) == pytest.approx(np.ones(300), abs=1e-12)
    for there, here in ((wall.at(along, up + step), wall.at(along, up - step)),):
        assert np.einsum("nk,nk->n", normal, there - here) == pytest.approx(np.zeros(300), abs=1e-9)
    middle = wall.at(np.linspace(0, wall.spans, 400)[:-1], np.full(399, 0.5)).mean(axis=0)
    outward = wall.at(along, up) - middle
    assert (np.einsum("nk,nk->n", normal[:, :2], outward[:, :2]) > 0).all()


@pytest.mark.parametrize(("low", "high"), [(100.0, 100.0), (100.0, 140.0), (140.0, 100.0)])
def test_normals_of_cylinders_and_cones(low: float, high: float) -> None:
    # a cone that widens by w a side over its height h has its normal at atan(w / h) below the level
    along = np.linspace(0, 1, 37)[:-1]
    turn, lean = 2 * np.pi * along, np.arctan2((high - low) / 2, 40.0)
    expected = np.column_stack([np.cos(turn) * cos(lean), np.sin(turn) * cos(lean), np.full(36, -sin(lean))])
    for up in (0.0, 0.4, 1.0):
        assert cone(low, high).normal(along, np.full(36, up)) == pytest.approx(expected, abs=1e-6)


# --- least gaps by closed forms --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("inner", "outer"), [(116.0, 124.0), (116.0, 130.6), (60.0, 160.0)])
def test_coaxial_cylinders(inner: float, outer: float) -> None:
    assert least_gap(tube(inner), tube(outer)) == pytest.approx((outer - inner) / 2, abs=GOOD)
    assert least_gap(tube(outer), tube(inner)) == pytest.approx((outer - inner) / 2, abs=GOOD)


@pytest.mark.parametrize("at", [(3.0, 0.0), (-2.0, 1.5), (0.0, -3.9), (2.2, 2.2)])
def test_eccentric_cylinders(at: tuple[float, float]) -> None:
    # R − r − e
    gap = (130 - 116) / 2 - hypot(*at)
    assert least_gap(tube(116.0, at=at), tube(130.0)) == pytest.approx(gap, abs=GOOD)
    assert least_gap(tube(116.0), tube(130.0, at=at)) == pytest.approx(gap, abs=GOOD)


@pytest.mark.parametrize("turn", [0.0, 33.0, 90.0, 211.0])
def test_where_a_circle_begins_does_not_matter(turn: float) -> None:
    ring = circle(116.0, (2.0, 1.0)).turned(turn)
    inner = sheet((PANEL, ring), (PANEL.lifted(40.0), ring))
    assert least_gap(inner, tube(130.0)) == pytest.approx(7 - sqrt(5), abs=GOOD)


@pytest.mark.parametrize(("low", "high"), [(6.0, 10.0), (10.0, 6.0), (4.0, 20.0)])
def test_a_cone_round_a_cylinder_comes_nearest_at_its_narrow_end(low: float, high: float) -> None:
    assert least_gap(tube(116.0), cone(116.0 + 2 * low, 116.0 + 2 * high)) == pytest.approx(min(low, high), abs=GOOD)


@pytest.mark.parametrize(("low", "high"), [(6.0, 10.0), (10.0, 6.0), (4.0, 20.0)])
def test_a_shorter_cylinder_in_a_cone_comes_nearest_square_to_the_cones_wall(low: float, high: float) -> None:
    # from the cylinder's edge at a quarter of the height, the level gap times the cosine of the cone's lean
    lean, level = np.arctan2(high - low, 40.0), min(low, high) + abs(high - low) / 4
    found = least_gap(tube(116.0, 10.0, 30.0), cone(116.0 + 2 * low, 116.0 + 2 * high))
    assert found == pytest.approx(level * cos(lean), abs=GOOD)


@pytest.mark.parametrize(("level", "lean"), [(5.0, 10.0), (8.0, 30.0), (4.0, 45.0)])
def test_parallel_cones(level: float, lean: float) -> None:
    widen = 2 * 40 * tan(radians(lean))
    inner, outer = cone(80.0, 80.0 + widen), cone(80.0 + 2 * level, 80.0 + 2 * level + widen)
    assert least_gap(inner, outer) == pytest.approx(level * cos(radians(lean)), abs=GOOD)


@pytest.mark.parametrize("tilt", [3.0, 8.0, 15.0])
@pytest.mark.parametrize("clock", [0.0, 77.0, 225.0])
def test_a_cylinder_that_leans_in_a_wider_one_touches_first_at_its_upper_rim(tilt: float, clock: float) -> None:
    # rim of radius r at distance l up an axis that leans by t: it reaches l·sin t + r·cos t towards the lean
    length, radius = 30.0, 50.0
    seat = tilt_frame((0.0, 0.0, 0.0), tilt, clock)
    body = sheet((seat, circle(2 * radius)), (seat.lifted(length), circle(2 * radius)))
    gap = 70 - (length * sin(radians(tilt)) + radius * cos(radians(tilt)))
    assert least_gap(body, tube(140.0, -30.0, 60.0)) == pytest.approx(gap, abs=GOOD)


@pytest.mark.parametrize(("apart", "gap"), [(5.0, 5.0), (0.5, 0.5), (25.0, 25.0)])
def test_one_over_the_other(apart: float, gap: float) -> None:
    assert least_gap(tube(100.0, 0.0, 20.0), tube(100.0, 20.0 + apart, 60.0)) == pytest.approx(gap, abs=GOOD)


def test_sheets_that_cross_have_no_gap() -> None:
    assert least_gap(tube(100.0), tube(100.0, at=(30.0, 0.0))) == pytest.approx(0.0, abs=5e-3)
    assert least_gap(cone(90.0, 120.0), tube(100.0)) == pytest.approx(0.0, abs=5e-3)


def test_flat_walls_whose_spans_are_told_differently() -> None:
    # an inner wall that runs at 1 in 20 to the outer one; the spans' lengths have nothing to do with each other
    inner = sheet((PANEL, polygonal(100.0, 60.0, 50.0)), (PANEL.lifted(20.0), polygonal(100.0, 60.0, 50.0)))
    outer = sheet((PANEL, rectangle(200.0, 110.0, 5.0)), (PANEL.lifted(20.0), rectangle(200.0, 110.0, 5.0)))
    assert least_gap(inner, outer) == pytest.approx(55 - 33, abs=GOOD)


def polygonal(width: float, high_right: float, high_left: float) -> Outline:
    """A four-sided outline whose upper and lower sides are not level, its corners rounded at 3."""
    ends = [(width / 2, high_right / 2), (-width / 2, high_left / 2)]
    return hull_of_discs([((x, way * y), 6.0) for x, y in ends for way in (-1, 1)])


# --- what counts -----------------------------------------------------------------------------------------------------


def above(top: float) -> Keep:
    return (over(top),)


@pytest.mark.parametrize("top", [0.0, 0.7, 6.0, 13.3, 31.9])
def test_only_what_is_above_counts_and_its_edge_is_found(top: float) -> None:
    # the outer cone comes in downwards, so the least gap of what counts is at its edge
    inner, outer = tube(100.0), cone(104.0, 144.0)
    level = 2 + 20 * top / 40
    assert least_gap(inner, outer, above(top)) == pytest.approx(level, abs=GOOD)


@pytest.mark.parametrize(
    ("foot", "top", "seat"),
    [
        (110.0, 2.0, tilt_frame((5.0, 3.0, 40.0), 15.0, 60.0)),
        (110.0, 15.0, tilt_frame((5.0, 3.0, 40.0), 15.0, 60.0)),
        (93.2, 7.0, tilt_frame((1.9, 3.0, 35.3), 14.3, 287.0)),
        (78.2, 4.8, tilt_frame((2.6, -0.5, 39.9), 12.4, 215.0)),
    ],
)
def test_the_edge_of_what_counts_may_run_across_the_rulings(foot: float, top: float, seat: Frame) -> None:
    # a leaning wall round an upright cylinder, wider or narrower below; along each of its rulings the distance to the
    # cylinder's axis is that of a straight line, cut off where it rises above the top
    inner, outer = tube(64.0, 0.0, 80.0), sheet((PANEL, circle(foot)), (seat, circle(104.0)))
    along = np.linspace(0, 1, 20001)[:-1]
    low, high = outer.at(along, np.zeros(20000)), outer.at(along, np.ones(20000))
    rise, flat = high - low, (high - low)[:, :2]
    first = np.clip((top - low[:, 2]) / rise[:, 2], 0, 1)
    nearest = -np.einsum("nk,nk->n", low[:, :2], flat) / np.einsum("nk,nk->n", flat, flat)
    met = low[:, :2] + np.clip(nearest, first, 1)[:, None] * flat
    assert least_gap(inner, outer, above(top)) == pytest.approx(np.hypot(*met.T).min() - 32, abs=GOOD)


def test_if_nothing_counts_there_is_no_gap() -> None:
    assert least_gap(tube(100.0), tube(120.0), above(40.0)) == inf


# --- against a dense search ------------------------------------------------------------------------------------------


def found_by_scipy(one: Sheet, other: Sheet) -> float:
    """Least distance by ten thousand points each in a k-d tree and Nelder-Mead from the six nearest pairs apart."""

    def grid(of: Sheet) -> tuple[Array, Array]:
        per = max(8, 200 // of.spans)
        rows = np.linspace(0, len(of.sections) - 1, 40 * (len(of.sections) - 1) + 1)
        along, up = np.meshgrid(np.linspace(0, of.spans, per * of.spans + 1)[:-1], rows)
        return along.ravel(), up.ravel()

    a, b = grid(one), grid(other)
    pa, pb = one.at(*a), other.at(*b)
    near, index = cKDTree(pb).query(pa)
    best, seen = float(near.min()), np.empty((0, 3))
    for j in np.argsort(near):
        if len(seen) and np.linalg.norm(seen - pa[j], axis=1).min() < 5:
            continue
        seen = np.vstack([seen, pa[j]])

        def apart(x: Array) -> float:
            tops = len(one.sections) - 1, len(other.sections) - 1
            p = one.at(np.array([x[0] % one.spans]), np.clip(np.array([x[1]]), 0, tops[0]))
            q = other.at(np.array([x[2] % other.spans]), np.clip(np.array([x[3]]), 0, tops[1]))
            return float(np.linalg.norm(p - q))

        start = np.array([a[0][j], a[1][j], b[0][index[j]], b[1][index[j]]])
        simplex = start + np.vstack([np.zeros(4), np.eye(4) * 0.05])
        options = {"xatol": 1e-7, "fatol": 1e-7, "maxiter": 300, "initial_simplex": simplex}
        best = min(best, float(minimize(apart, start, method="Nelder-Mead", options=options).fun))
        if len(seen) == 6:
            return best
    return best


@pytest.mark.parametrize("seed", range(6))
def test_a_bore_in_a_tower(seed: int) -> None:
    rng = np.random.default_rng(seed)
    tilt, clock, height = rng.uniform(0, 18), rng.uniform(0, 360), rng.uniform(30, 50)
    seat = tilt_frame((float(rng.uniform(-4, 4)), float(rng.uniform(-4, 4)), float(height)), float(tilt), float(clock))
    bore, outside = circle(100.0), circle(100.0 + float(rng.uniform(8, 20)))
    mouth = [oblong(130.0, 105.0), rectangle(112.0, 108.0, 20.0), circle(96.0, (1.0, 2.0))][seed % 3]
    fixing = circle(20.0, (float(rng.uniform(-70, 70)), float(rng.uniform(-70, 70))))
    foot = hull([offset_outline(mouth, float(rng.uniform(3, 8))), offset_outline(bore, 4.0), fixing])
    inside = sheet((PANEL, mouth), (seat.lifted(-12.0), bore), (seat, bore))
    tower = sheet((PANEL.lifted(3.0), foot), (seat.lifted(-5.0), outside), (seat, outside))
    expected = found_by_scipy(inside, tower)
    assert least_gap(inside, tower) == pytest.approx(expected, abs=2e-3)
    assert least_gap(tower, inside) == pytest.approx(expected, abs=2e-3)


def test_a_short_dip_beside_a_long_even_wall_is_found() -> None:
    # bore and outside are parallel above their bends, which lie 1 apart: between them the wall is thinner
    seat = tilt_frame((3.9, -1.1, 34.9), 9.5, 103.0)
    inside = sheet((PANEL, circle(109.7)), (seat.lifted(-6.0), circle(115.2)), (seat, circle(115.2)))
    tower = sheet((PANEL.lifted(3.0), circle(126.2)), (seat.lifted(-5.0), circle(123.9)), (seat, circle(123.9)))
    gap = least_gap(inside, tower)
    assert gap == pytest.approx(found_by_scipy(inside, tower), abs=GOOD)
    assert gap < (123.9 - 115.2) / 2 - 0.01


def random_sheet(rng: np.random.Generator) -> Sheet:
    """A sheet through two or three circles, slots and rectangles, each leaning its own way."""
    wide, deep = float(rng.uniform(110, 160)), float(rng.uniform(70, 110))
    drawn = (circle(wide), oblong(wide, deep), rectangle(wide, deep, float(rng.uniform(1, 20))))
    places = [
        tilt_frame(
            (float(rng.uniform(-9, 9)), float(rng.uniform(-9, 9)), 20.0 * level + float(rng.uniform(-4, 4))),
            float(rng.uniform(0, 20)),
            float(rng.uniform(0, 360)),
        )
        for level in range(int(rng.integers(2, 4)))
    ]
    return sheet(*((frame, drawn[int(rng.integers(3))]) for frame in places))


@pytest.mark.parametrize("seed", range(12))
def test_bounds_leave_out_no_rulings_that_a_dense_table_needs(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The least gap is the same to rounding where the distance of every ruling from every other one is measured."""
    rng = np.random.default_rng(seed)
    one, other, kept = random_sheet(rng), random_sheet(rng), (over(float(rng.uniform(0, 10))),)[: seed % 2]
    found, measured = least_gap(one, other, kept), []
    bounded = sheets._distances_of_near

    def dense(low: Array, high: Array, its_low: Array, its_high: Array, counted: NDArray[np.bool_]) -> Array:
        table = sheets._between(low, high, its_low[:, None], its_high[:, None])
        table = np.where(counted[:, None], table, inf)
        some = bounded(low, high, its_low, its_high, counted)
        near = np.isfinite(some)
        assert some[near] == pytest.approx(table[near], abs=1e-12)
        assert table.min() == pytest.approx(some.min(), abs=1e-12)
        assert (table[~near] > table.min() + sheets.NEAR).all()
        measured.append((near.sum(), near.size))
        return table

    monkeypatch.setattr(sheets, "_distances_of_near", dense)
    assert least_gap.__wrapped__(one, other, kept) == pytest.approx(found, abs=1e-9)
    assert measured
    assert all(few < many for few, many in measured)


# --- least values of other costs -------------------------------------------------------------------------------------


@pytest.mark.parametrize("at", [(90.0, 0.0), (-60.0, 70.0), (0.0, -88.0)])
def test_from_an_upright_axis_to_a_cylinder(at: tuple[float, float]) -> None:
    found = least_on(tube(100.0), lambda points: np.hypot(points[:, 0] - at[0], points[:, 1] - at[1]))
    assert found == pytest.approx(hypot(*at) - 50, abs=1e-4)


@pytest.mark.parametrize(("low", "high"), [(6.0, inf), (-0.01, 1.0), (-0.01, 2.4), (12.0, 13.0), (39.0, inf)])
def test_from_an_upright_axis_to_the_part_of_a_cone_between_two_heights(low: float, high: float) -> None:
    # the cone widens upwards, so it comes nearest at the upper height
    wall, at = cone(80.0, 120.0), (85.0, -20.0)

    def away(points: Array) -> Array:
        counted = (points[:, 2] >= low) & (points[:, 2] <= high)
        return np.where(counted, np.hypot(points[:, 0] - at[0], points[:, 1] - at[1]), inf)

    radius = 40 + 20 * min(high, 40) / 40
    assert least_on(wall, away) == pytest.approx(hypot(*at) - radius, abs=GOOD)


def test_the_lowest_point_of_a_leaning_rim() -> None:
    # half the diameter times the sine under the centre
    wall = sheet((PANEL.lifted(-50.0), circle(165.0)), (tilt_frame((0.0, 0.0, 0.0), 10.0, 45.0), circle(165.0)))
    upper = Sheet((wall.sections[1], Section(wall.sections[1].frame.lifted(5.0), wall.sections[1].outline)))
    assert least_on(upper, lambda points: points[:, 2]) == pytest.approx(-165 / 2 * sin(radians(10)), abs=1e-4)


@pytest.mark.parametrize("x", np.linspace(20.0, 40.0, 9))
def test_the_lower_of_two_pits_is_found_though_it_is_the_narrower(x: float) -> None:
    # between the places tried first the narrow one looks no lower than the wide one
    wall = sheet((PANEL, rectangle(160.0, 60.0, 5.0)), (PANEL.lifted(20.0), rectangle(160.0, 60.0, 5.0)))
    narrow, wide = np.array((x, 30.0, 6.7)), np.array((-79.0, -29.0, 10.0))

    def cost(points: Array) -> Array:
        deep = np.linalg.norm(points - narrow, axis=1) - 1.0
        return np.minimum(deep, 0.05 * np.linalg.norm(points - wide, axis=1) - 0.6)

    assert least_on(wall, cost) == pytest.approx(-1.0, abs=2e-3)


def test_a_cost_that_is_nowhere_finite_is_infinite() -> None:
    assert least_on(tube(100.0), lambda points: np.full(len(points), inf)) == inf


def test_many_costs_at_once_are_as_each_alone() -> None:
    places = np.array([(90.0, 0.0), (-60.0, 70.0), (0.0, -88.0), (20.0, 30.0)])
    wall, kept = cone(80.0, 120.0), (over(6.0), under(31.0))
    found = least_on_each(
        wall, lambda points, which: np.linalg.norm(points[:, :2] - places[which], axis=1), len(places), kept
    )
    for at, least in zip(places, found, strict=True):
        alone = least_on(wall, lambda points, at=at: np.linalg.norm(points[:, :2] - at, axis=1), kept)
        radius = min((40 + 20 * z / 40 for z in (6.0, 31.0)), key=lambda r: abs(hypot(*at) - r))
        assert least == pytest.approx(alone, abs=1e-9)
        assert least == pytest.approx(abs(hypot(*at) - radius), abs=GOOD)


@pytest.mark.parametrize("top", [130.0, 120.0], ids=["upright", "leaning in"])
def test_spans_of_no_length_hide_no_lower_place_beside_them(top: float) -> None:
    """The straight of a slot has no length in the circles over it; an upright axis beside it is nearest elsewhere."""
    wall = sheet((PANEL, oblong(150.0, 120.0)), (PANEL.lifted(20.0), circle(130.0)), (PANEL.lifted(60.0), circle(top)))
    for turn in np.radians(np.arange(85.0, 95.0, 0.25)):
        axis = 54.0 * np.array([cos(turn), sin(turn)])
        got = least_on(wall, lambda points, axis=axis: np.hypot(*(points[:, :2] - axis).T), (over(20.0),))
        assert got == pytest.approx(top / 2 - 54.0, abs=GOOD)
