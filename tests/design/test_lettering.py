"""Lettering on walls that lean: upright, readable from outside, on the wall, clear of what is taken."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.spatial import cKDTree
from shapely import Polygon, unary_union

from mounts.design.lettering import (
    CAP,
    CLEAR,
    EVEN,
    STEP,
    TRACKING,
    Label,
    Letter,
    Lettering,
    Places,
    Strip,
    fit_label,
    on_plane,
    strip_on,
)
from mounts.geometry.frames import PANEL, Array, tilt_frame
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Outline, circle, oblong, rectangle
from mounts.load.formats.font import load_glyphs
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet
from tests.geometry.discs import hull_of_discs

DEPTH, BOTTOM, MARGIN = 0.6, 6.0, 0.8
HOW = Lettering(load_glyphs(("linnet-woofer AO8B%®@©Ågjpqy LEFT RIGHT UP → ←", "-")), raised=False, depth=DEPTH)


def wall(tilt: float = 8.0, clock: float = 315.0, foot: Outline | None = None, height: float = 40.0) -> Sheet:
    """A tower's leaning wall, from within its base up to the band under its seat."""
    low, high = match_spans(foot or circle(150.0), circle(135.0))
    seat = tilt_frame((0.0, 0.0, height), tilt, clock)
    return Sheet((Section(PANEL.lifted(3.0), low), Section(seat.lifted(-6.0), high)))


WALLS = {
    "round": wall(0.0),
    "leaning": wall(),
    "leaning much": wall(18.0, 200.0, height=50.0),
    "on a slot": wall(5.0, 90.0, oblong(170.0, 140.0), 45.0),
    "on a slot and off its middle": wall(9.0, 120.0, oblong(175.0, 140.0).moved(4.0, 3.0), 45.0),
    "on a hull": wall(10.0, 45.0, hull_of_discs([((0, 0), 145.0), ((60, 40), 24.0)]), 45.0),
    "with a tongue": wall(5.7, 250.0, hull_of_discs([((0, 0), 140.0), ((-65, -68), 30.0)]), 45.0),
}
each_wall = pytest.mark.parametrize("sheet", WALLS.values(), ids=WALLS.keys())


def strip(sheet: Sheet) -> Strip:
    return strip_on(sheet, BOTTOM, MARGIN)


def written(sheet: Sheet, *texts: str, facing: float | None = None) -> tuple[Label, Places, Strip]:
    belt = strip(sheet)
    found = fit_label(belt, HOW, texts, facing)
    assert found is not None
    return (*found, belt)


def corners(letter: Letter) -> Array:
    """The solid corners of a letter in the panel frame, (n, 3) float."""
    flat = [(*span.start, 0.0) for outline, _ in letter.shapes for span in outline.spans]
    return letter.frame.out(flat)


# --- the strip -------------------------------------------------------------------------------------------------------


@each_wall
def test_a_strip_is_told_evenly_all_the_way_round(sheet: Sheet) -> None:
    path = strip(sheet).middle
    steps = np.linalg.norm(np.roll(path, -1, axis=0) - path, axis=1)
    assert steps.max() < 2 * STEP
    assert steps.sum() == pytest.approx(np.linalg.norm(np.diff(path, axis=0, append=path[:1]), axis=1).sum())


@each_wall
def test_it_starts_above_the_base_and_ends_below_the_band(sheet: Sheet) -> None:
    belt = strip(sheet)
    assert belt.low[:, 2] == pytest.approx(np.full(len(belt.low), BOTTOM + MARGIN), abs=1e-9)
    seat = sheet.sections[1].frame
    under = -seat.into(belt.high)[:, 2]
    assert (under > 0).all()
    rim = sheet.sections[1].outline
    for point, high in zip(seat.into(belt.high), belt.high, strict=True):
        flat = rim.depth((point[0], point[1]))
        assert np.hypot(flat, point[2]) <= MARGIN + 1e-6  # no further than the margin from the upper edge
        assert high[2] > BOTTOM


@each_wall
def test_its_normals_stand_square_on_it(sheet: Sheet) -> None:
    belt = strip(sheet)
    up = belt.high - belt.low
    assert np.einsum("nk,nk->n", up, belt.normal) == pytest.approx(np.zeros(len(up)), abs=1e-4)


def test_a_round_wall_is_free_all_round_and_a_sharp_corner_is_not() -> None:
    assert strip(wall(0.0)).free.all()
    box = rectangle(140.0, 140.0, 4.0)
    upright = Sheet((Section(PANEL, box), Section(PANEL.lifted(30.0), box)))
    belt = strip(upright)
    from_corner = np.linalg.norm(np.abs(belt.middle[:, :2]) - 70, axis=1)
    assert belt.free.any()
    assert not belt.free[from_corner < 4].any()  # half a letter would hang over
    assert belt.free[from_corner > 8].all()


def test_a_wall_that_is_no_higher_than_its_margins_takes_nothing() -> None:
    low = strip_on(wall(0.0, height=13.0), 6.5, 0.8)
    assert np.linalg.norm(low.high - low.low, axis=1).max() < 1e-9
    assert fit_label(low, HOW, ("L",)) is None


# --- fitting a text --------------------------------------------------------------------------------------------------


@each_wall
def test_letters_stand_upright_and_read_from_left_to_right_from_outside(sheet: Sheet) -> None:
    label, _, belt = written(sheet, "linnet-woofer LEFT")
    assert len(label.letters) == len("linnet-wooferLEFT")
    for letter in label.letters:
        x, y, z = letter.frame.axes.T
        assert letter.frame.axes.T @ letter.frame.axes == pytest.approx(np.eye(3), abs=1e-9)
        assert np.linalg.det(letter.frame.axes) == pytest.approx(1.0)  # never mirrored
        near = np.linalg.norm(belt.middle - letter.frame.origin, axis=1).argmin()
        assert z @ belt.normal[near] > 0.999  # faces outward
        assert x[2] == pytest.approx(0.0, abs=0.02)  # stands up, also where rulings run aslant
        assert y[2] > 0.5
        assert np.cross(z, x) == pytest.approx(y)
    for one, after in pairwise(label.letters):
        step = np.subtract(after.frame.origin, one.frame.origin)
        assert step @ np.array(one.frame.x) > 0.9 * np.linalg.norm(step)  # the next one is to the reader's right


@each_wall
def test_letters_lie_on_the_wall_and_within_the_strip(sheet: Sheet) -> None:
    label, taken, belt = written(sheet, "linnet-woofer LEFT")
    assert belt.free[taken].all()
    for letter in label.letters:
        near = np.linalg.norm(belt.middle - letter.frame.origin, axis=1).argmin()
        assert np.linalg.norm(belt.middle[near] - letter.frame.origin) < STEP
        assert taken[near]
        points = corners(letter)
        assert points[:, 2].min() > BOTTOM + MARGIN / 2
        assert sheet.sections[1].frame.into(points)[:, 2].max() < -MARGIN / 2


@each_wall
def test_letters_leave_the_wall_by_no_more_than_half_of_what_they_are_sunk(sheet: Sheet) -> None:
    # off the plane that touches the wall at the nearest of many points, which is 0.4 away at most: good to 0.002
    told = [
        k + np.linspace(0, 1, 1 + max(4, round(span.length / 0.6)))[:-1]
        for k, span in enumerate(sheet.sections[0].outline.spans)
    ]
    along, up = (grid.ravel() for grid in np.meshgrid(np.concatenate(told), np.linspace(0.01, 0.99, 90)))
    points, normals = sheet.at(along, up), sheet.normal(along, up)
    tree = cKDTree(points)
    for text in ("linnet-woofer LEFT", "UP →"):
        label, _, _ = written(sheet, text)
        for letter in label.letters:
            places = corners(letter)
            near = tree.query(places)[1]
            assert np.abs(np.einsum("nk,nk->n", places - points[near], normals[near])).max() < EVEN + 0.002


@each_wall
def test_letters_do_not_overlap(sheet: Sheet) -> None:
    label, _, _ = written(sheet, "linnet-woofer LEFT")
    for one, after in pairwise(label.letters):
        assert _seen(one, one).distance(_seen(after, one)) > 0.2  # half a printed line's width


def _seen(letter: Letter, by: Letter) -> Polygon:
    """A letter's solid pieces as seen square to the flat of another one."""
    pieces = [letter.frame.out([(*span.start, 0.0) for span in piece.spans]) for piece, _ in letter.shapes]
    return unary_union([Polygon(by.frame.into(points)[:, :2]) for points in pieces])


@each_wall
def test_a_text_takes_its_own_length_and_bare_wall_beside_it(sheet: Sheet) -> None:
    label, taken, belt = written(sheet, "linnet-woofer LEFT")
    cap = _cap(label)
    path = belt.middle
    steps = np.linalg.norm(np.roll(path, -1, axis=0) - path, axis=1)
    assert steps[taken].sum() == pytest.approx(HOW.width(label.text, cap) + 2 * CLEAR, abs=4 * STEP)


def _cap(label: Label) -> float:
    """Cap height of a label, read off its letter L or U."""
    letter = label.letters[[c for c in label.text if c != " "].index("L" if "L" in label.text else "U")]
    ys = [span.start[1] for outline, _ in letter.shapes for span in outline.spans]
    return max(ys) - min(ys)


@pytest.mark.parametrize("facing", [0.0, 90.0, 180.0, 270.0])
def test_it_faces_where_it_is_asked_to(facing: float) -> None:
    label, taken, belt = written(WALLS["on a slot"], "UP →", facing=facing)
    mean = np.degrees(np.arctan2(*belt.normal[taken].mean(axis=0)[:2]))
    assert abs((mean - facing + 180) % 360 - 180) < 2.0
    assert label.text == "UP →"


def test_beside_what_is_taken_it_turns_no_further_than_thirty_degrees() -> None:
    belt = strip(WALLS["round"])
    off = np.abs((np.degrees(np.arctan2(*belt.normal[:, :2].T)) - 90 + 180) % 360 - 180)
    aside = fit_label(belt.without(off < 10), HOW, ("UP",), 90.0)
    assert aside is not None
    assert off[aside[1]].min() >= 10
    assert fit_label(belt.without(off < 30), HOW, ("UP",), 90.0) is None


def test_without_a_direction_it_goes_where_the_wall_is_highest() -> None:
    _, taken, belt = written(WALLS["leaning much"], "LEFT")
    tall = np.linalg.norm(belt.high - belt.low, axis=1)
    assert tall[taken].max() == pytest.approx(tall[belt.free].max(), abs=0.05)


def test_the_first_text_that_fits_at_its_largest() -> None:
    belt = strip(WALLS["round"])
    whole, short = "linnet-woofer LEFT", "LEFT"
    assert fit_label(belt, HOW, (whole, short))[0].text == whole  # type: ignore[index]
    for share, text in ((0.28, whole), (0.12, short)):
        free = (np.arange(len(belt.free)) < share * len(belt.free)) & belt.free
        found = fit_label(replace(belt, free=free), HOW, (whole, short))
        assert found is not None
        assert found[0].text == text
        assert free[found[1]].all()


@pytest.mark.parametrize(("room", "cap"), [(3.9, None), (4.4, 4.0), (5.4, 5.0), (6.4, 6.0), (30.0, 6.0)])
def test_as_large_as_the_wall_is_high_and_no_larger_than_six(room: float, cap: float | None) -> None:
    # an upright wall from the base's top at 6, both ends bare by the margin
    height = BOTTOM + MARGIN + room + MARGIN + 6.0
    found = fit_label(strip(wall(0.0, foot=circle(135.0), height=height)), HOW, ("LEFT",))
    assert (found and _cap(found[0])) == (cap and pytest.approx(cap, abs=0.02))


def test_nothing_where_there_is_no_room() -> None:
    assert fit_label(strip(wall(0.0, height=15.0)), HOW, ("LEFT", "L")) is None
    belt = strip(WALLS["round"])
    assert fit_label(belt.without(np.ones(len(belt.free), dtype=bool)), HOW, ("LEFT",)) is None
    assert fit_label(belt.without(np.arange(len(belt.free)) % 5 == 0), HOW, ("L",)) is None
    assert fit_label(belt, HOW, ("linnet-woofer" * 12,)) is None


def test_what_is_taken_is_taken_from_the_next() -> None:
    belt = strip(WALLS["leaning"])
    first = fit_label(belt, HOW, ("linnet-woofer LEFT",))
    assert first is not None
    rest = belt.without(first[1])
    second = fit_label(rest, HOW, ("linnet-woofer LEFT",))
    assert second is not None
    assert not (first[1] & second[1]).any()
    assert (belt.free.sum(), rest.free.sum()) == (belt.free.sum(), belt.free.sum() - first[1].sum())


# --- widths, heights, on a plane -------------------------------------------------------------------------------------


def test_the_width_of_a_text_is_that_of_its_characters_and_what_is_added_between() -> None:
    ems = sum(HOW.glyphs[c].advance for c in "LEFT") + 3 * TRACKING
    assert HOW.width("LEFT", 6.0) == pytest.approx(6.0 / CAP * ems, rel=1e-12)


def test_a_capital_is_as_high_as_asked_for_and_tails_are_counted() -> None:
    assert HOW.height("LEFT", 6.0) == pytest.approx(6.0, abs=0.01)
    assert HOW.extent("LEFT")[0] == 0.0
    low, high = HOW.extent("gjpqy")
    assert low < -0.1
    assert HOW.height("gjpqy", 6.0) == pytest.approx(6.0 / CAP * (high - low), rel=1e-12)


def test_what_the_font_lacks_is_a_hyphen() -> None:
    assert HOW.glyph("山") is HOW.glyphs["-"]


def test_on_a_plane_a_text_lies_level_with_its_box_about_the_place() -> None:
    label = on_plane(HOW, "LEFT AO", 5.0, (10.0, -60.0), 6.0)
    points = np.concatenate([corners(letter) for letter in label.letters])
    assert points[:, 2] == pytest.approx(np.full(len(points), 6.0), abs=0)
    low, high = HOW.extent("LEFT AO")
    tall = 5.0 / CAP * (high - low)
    assert (points[:, 1].min(), points[:, 1].max()) == pytest.approx((-60 - tall / 2, -60 + tall / 2), abs=1e-9)
    half = HOW.width("LEFT AO", 5.0) / 2
    assert 10 - half <= points[:, 0].min() < 10 - half + 1.0
    assert 10 + half - 1.0 < points[:, 0].max() <= 10 + half
    assert [letter.frame.origin[0] for letter in label.letters] == sorted(one.frame.origin[0] for one in label.letters)
    assert (label.text, label.depth, label.raised) == ("LEFT AO", DEPTH, False)
    assert len(label.letters) == 6  # a blank is none


# --- islands ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("character", "islands"),
    [
        ("L", [0]),
        ("A", [1]),
        ("O", [1]),
        ("8", [2]),
        ("B", [2]),
        ("%", [0, 1, 1]),
        ("@", [1]),
        ("©", [0, 1]),
        ("Å", [2]),
    ],
)
def test_islands_belong_to_their_letter(character: str, islands: list[int]) -> None:
    (letter,) = on_plane(HOW, character, 6.0, (0.0, 0.0), 0.0).letters
    assert sorted(len(holes) for _, holes in letter.shapes) == islands
    _are_apart(letter)


def test_a_letter_in_a_ring_keeps_its_island() -> None:
    # ® is a ring with one hole, and in that hole an R with its own
    (letter,) = on_plane(HOW, "®", 6.0, (0.0, 0.0), 0.0).letters
    assert [len(holes) for _, holes in sorted(letter.shapes, key=lambda shape: shape[0].area)] == [1, 1]
    _are_apart(letter)


def _are_apart(letter: Letter) -> None:
    """Islands lie inside their outline, and apart from each other; so do the solid pieces, ring and all."""
    solids = []
    for outline, holes in letter.shapes:
        shape = Polygon([s.start for s in outline.spans])
        cut = [Polygon([s.start for s in hole.spans]) for hole in holes]
        assert outline.area > 0
        assert all(hole.area > 0 for hole in holes)
        assert all(shape.contains(hole) for hole in cut)
        assert unary_union(cut).area == pytest.approx(sum(hole.area for hole in cut), rel=1e-9)
        solids.append(shape.difference(unary_union(cut)))
    assert unary_union(solids).area == pytest.approx(sum(solid.area for solid in solids), rel=1e-9)
