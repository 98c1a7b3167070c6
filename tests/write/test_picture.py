"""Pictures, looked at by pixel: the geometry behind them is checked against closed forms."""

from __future__ import annotations

import io
from itertools import combinations

import numpy as np
import pytest
from manifold3d import Manifold
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from mounts.kernels.part import Part
from mounts.write.annotations import draw_names, draw_numbers
from mounts.write.camera import fit_camera
from mounts.write.picture import View, png_bytes
from mounts.write.rays import cast_rays, find_hidden, make_ray_mesh, visible_share
from tests.idents import ident

SMALL = (400, 300)
RED, BLUE = (190, 66, 36), (18, 78, 138)


def pixels(data: bytes) -> NDArray[np.int64]:
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB")).astype(int)


def near(image: NDArray[np.int64], colour: tuple[int, int, int], by: int = 12) -> NDArray[np.bool_]:
    return np.asarray(np.abs(image - colour).max(axis=2) <= by)


@pytest.fixture(scope="module")
def front(wedge_ring: Part) -> NDArray[np.int64]:
    return pixels(png_bytes(wedge_ring, size=(800, 600)))


def test_a_picture_has_its_size_and_repeats(box: Part) -> None:
    data = png_bytes(box, size=SMALL)
    assert Image.open(io.BytesIO(data)).size == SMALL
    assert data == png_bytes(box, size=SMALL)


def test_the_background_is_pale_and_shows_through_the_bore(front: NDArray[np.int64]) -> None:
    middle = front[280:320, 380:420]
    assert front[5, 5].min() > 215, "pale"
    assert middle.min() > 190 and np.ptp(middle, axis=2).max() < 12, "the table, seen through the bore"


def test_edges_are_dark_and_the_part_has_its_own_colour(front: NDArray[np.int64]) -> None:
    """Along a row through the middle: table, part, table in the bore, part, table, with a line at every change."""
    row = front[300, :760]
    blue = row[:, 2] - row[:, 0] > 12
    runs = np.flatnonzero(np.diff(blue.astype(int)) == 1)
    assert len(runs) >= 2
    assert (row.sum(axis=1) < 250).sum() >= 4, "lines"


@pytest.mark.parametrize("clock", range(12))
def test_up_goes_up_and_the_eye_keeps_away_from_the_high_side(wedge_ring: Part, clock: int) -> None:
    angle = np.radians(30.0 * clock)
    turn = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
    points = wedge_ring.vertices @ turn.T
    camera = fit_camera(points, SMALL, (20, 20, 20, 40))
    low, high = camera.seen(np.array([[0.0, -40.0, 0.0], [0.0, 40.0, 0.0]]))
    assert low[1] - high[1] > abs(low[0] - high[0]), "nearer to upward than to sideways"
    top, foot = points[points[:, 2].argmax()], turn @ [-80.0, 0.0, 0.0]
    if top[1] > 1:
        assert np.linalg.norm(top - camera.eye) > np.linalg.norm(foot - camera.eye)


def test_a_flat_part_is_seen_with_up_away_from_the_eye(tube: Part) -> None:
    camera = fit_camera(tube.vertices, SMALL, (20, 20, 20, 40))
    assert camera.eye[1] < -100 and camera.eye[2] > 100
    up, down = camera.seen(np.array([[0.0, 80.0, 30.0], [0.0, -80.0, 30.0]]))
    assert up[1] < down[1]


@pytest.mark.parametrize("size", [(400, 300), (300, 500), (1200, 200)])
def test_all_of_the_part_is_in_the_frame_and_fills_it(wedge_ring: Part, size: tuple[int, int]) -> None:
    margin = (20, 30, 40, 50)
    seen = fit_camera(wedge_ring.vertices, size, margin).seen(wedge_ring.vertices)
    free = [*seen.min(axis=0) - margin[:2], *np.array(size) - margin[2:] - seen.max(axis=0)]
    assert min(free) == pytest.approx(0, abs=0.5)
    assert free[0] == pytest.approx(free[2], abs=0.5) and free[1] == pytest.approx(free[3], abs=0.5)


def test_looking_is_the_inverse_of_being_seen(box: Part) -> None:
    camera = fit_camera(box.vertices, SMALL, (20, 20, 20, 40))
    spots = camera.seen(box.vertices).astype(np.float32)
    ways = box.vertices - camera.eye
    np.testing.assert_allclose(camera.looks(spots), ways / np.linalg.norm(ways, axis=1, keepdims=True), atol=1e-5)


def test_rays_meet_a_box_where_they_should(box: Part) -> None:
    mesh = make_ray_mesh(box.vertices, box.triangles, box.face)
    eye = np.array([30.0, 10.0, 100.0], np.float32)
    ends = np.array([[30, 10, 22], [11, -4, 22], [51, 10, 22]], np.float32)  # the last passes 1 beside the box
    ways = (ends - eye) / np.linalg.norm(ends - eye, axis=1, keepdims=True)
    hits = cast_rays(mesh, eye, ways)
    assert hits.met.tolist() == [True, True, False]
    np.testing.assert_allclose(hits.point[:2], ends[:2], atol=1e-4)
    np.testing.assert_allclose(hits.normal[:2], [[0, 0, 1]] * 2, atol=1e-6)
    assert find_hidden(mesh, eye, np.array([[30, 10, 22], [30, 10, 2], [80, 10, 2]], np.float32), 0.1).tolist() == [
        False, True, False
    ]  # fmt: skip


def test_the_foot_of_a_high_wall_sees_half_the_sky() -> None:
    wall = Manifold.cube([2000, 2000, 2000]).translate([0, -1000, 0]).to_mesh64()
    mesh = make_ray_mesh(wall.vert_properties[:, :3], np.asarray(wall.tri_verts, np.int64), np.zeros(12, np.int64))
    ways = np.random.default_rng(7).standard_normal((4000, 1, 3)).astype(np.float32)
    ways[..., 2] = np.abs(ways[..., 2])
    ways /= np.linalg.norm(ways, axis=2, keepdims=True)
    up = np.array([[0, 0, 1]], np.float32)
    share = visible_share(mesh, np.array([[-0.5, 0, 0]], np.float32), up, ways, 0.01)
    assert share[0] == pytest.approx(0.5, abs=0.03)
    assert visible_share(mesh, np.array([[-9e4, 0, 0]], np.float32), up, ways, 0.01)[0] > 0.98


def test_creases_are_the_edges_of_a_box_and_the_rims_of_a_tube(box: Part, tube: Part) -> None:
    long = [np.linalg.norm(np.diff(make_ray_mesh(p.vertices, p.triangles, p.face).creases, axis=1), axis=2).sum()
            for p in (box, tube)]  # fmt: skip
    chord = 180 * np.sin(np.pi / 180)
    assert long[0] == pytest.approx(4 * (40 + 30 + 20), rel=1e-6)
    assert long[1] == pytest.approx(2 * chord * (160 + 120), rel=1e-5)


def test_light_falls_from_the_upper_left() -> None:
    mesh = Manifold.sphere(20, 96).to_mesh64()
    vertices, triangles = np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts, np.int64)
    zero = np.zeros(len(triangles), np.int64)
    ball = Part("ball", "mesh", vertices, triangles, zero, zero, (ident("ball"),), 0.0, np.zeros(3), 1, 1, 0)
    image = pixels(png_bytes(ball, size=(400, 400))).sum(axis=2)
    points = vertices - [0, 0, vertices[:, 2].min()]
    x, y = fit_camera(points, (400, 400), (22, 22, 22, 44)).seen(np.array([[0.0, 0.0, 20.0]]))[0]
    upper, lower, left, right = (
        image[int(y + dy) - 10 : int(y + dy) + 10, int(x + dx) - 10 : int(x + dx) + 10].mean()
        for dx, dy in ((0, -90), (0, 90), (-90, 0), (90, 0))
    )
    assert upper > lower + 60 and left > right + 60


def test_the_back_is_another_picture_and_says_so(wedge_ring: Part) -> None:
    one, other = (pixels(png_bytes(wedge_ring, view, size=SMALL)) for view in View)
    assert (np.abs(one - other).max(axis=2) > 40).mean() > 0.1


@pytest.mark.parametrize("view", list(View))
def test_the_arrow_points_up_the_panel(wedge_ring: Part, view: View) -> None:
    """The arrow lies as the panel's +y does in the picture, and its broad head is at the end towards +y."""
    size = (800, 600)
    turned = wedge_ring.vertices * ([1, 1, 1] if view is View.FRONT else [-1, 1, -1])
    points = turned - [0, 0, turned[:, 2].min()]
    edge = round(size[1] * 0.055)
    camera = fit_camera(points, size, (edge, edge, edge, 2 * edge))
    arrow = ndimage.binary_opening(near(pixels(png_bytes(wedge_ring, view, size=size)), RED, 8), np.ones((5, 5)))
    spots = np.argwhere(arrow)[:, ::-1].astype(float)
    assert len(spots) > 500
    place = camera.looks(spots.mean(axis=0)[None].astype(np.float32))[0].astype(float)
    place = camera.eye - place * camera.eye[2] / place[2]
    tail, tip = camera.seen(place + np.array([[0, -5, 0], [0, 5, 0]]))
    up = (tip - tail) / np.linalg.norm(tip - tail)
    along, aside = (spots - spots.mean(axis=0)) @ up, (spots - spots.mean(axis=0)) @ [-up[1], up[0]]
    broad = [np.ptp(aside[(along >= t) & (along < t + 4)]) for t in range(int(along.min()), int(along.max()) - 4, 4)]
    assert np.ptp(along) > 1.2 * np.ptp(aside)
    assert np.argmax(broad) > len(broad) / 2


def test_marks_stand_beside_their_points(tube: Part) -> None:
    size = (800, 600)
    points = [(0.0, 70.0, 30.0), (70.0, 0.0, 30.0)]
    bare, marked = (pixels(png_bytes(tube, marks=marks, size=size)) for marks in ([], points))
    changed = np.abs(bare - marked).max(axis=2) > 30
    edge = round(size[1] * 0.055)
    camera = fit_camera(tube.vertices, size, (edge, edge, edge, 2 * edge))
    for x, y in camera.seen(np.array(points)):
        dot = marked[int(y) - 1 : int(y) + 2, int(x) - 1 : int(x) + 2]
        assert near(dot, BLUE, 25).all(), "a full dot on a point that is seen"
        around = changed[max(0, int(y) - 60) : int(y) + 60, max(0, int(x) - 60) : int(x) + 60]
        assert around.sum() > 200
    assert changed.sum() < 4000, "and nothing else is touched"


def test_a_hidden_mark_is_a_ring(tube: Part) -> None:
    size, point = (800, 600), np.array([[0.0, -70.0, 15.0]])  # inside the wall
    image = pixels(png_bytes(tube, marks=[tuple(point[0])], size=size))
    edge = round(size[1] * 0.055)
    x, y = fit_camera(tube.vertices, size, (edge, edge, edge, 2 * edge)).seen(point)[0]
    assert image[int(y), int(x)].min() > 225


def test_a_crowd_of_marks_keeps_its_numbers_apart(box: Part) -> None:
    places = [(30.0 + 0.1 * k, 10.0, 22.0) for k in range(12)]
    image = pixels(png_bytes(box, marks=places, size=(800, 600)))
    blue = near(image, BLUE, 3).sum()
    one = near(pixels(png_bytes(box, marks=places[:1], size=(800, 600))), BLUE, 3).sum()
    assert blue > 10 * one


def test_names_stand_beside_their_places_and_no_mark_stands_on_one(box: Part) -> None:
    image = Image.new("RGB", (800, 600), "white")
    camera = fit_camera(box.vertices, image.size, (20, 20, 20, 40))
    places = {name: np.array([30.0 + k, 10.0, 22.0]) for k, name in enumerate("ABCD")}
    taken = draw_names(image, camera, places)
    apart = [np.hypot(*(a - b)) for a, b in combinations(taken, 2)]
    assert len(taken) == 4 and min(apart) > 2 * 22 * 600 / 900
    assert all(np.hypot(*(spot - camera.seen(at)[0])) < 120 for spot, at in zip(taken, places.values(), strict=True))
    before = np.asarray(image)
    draw_numbers(image, camera, np.array(list(places.values())), np.zeros(4, bool), taken)
    for x, y in taken:
        here = slice(int(y) - 8, int(y) + 9), slice(int(x) - 8, int(x) + 9)
        assert not near(np.asarray(image)[here].astype(int) - before[here].astype(int), BLUE, 3).any()


def test_a_legend_says_what_the_marks_mean(box: Part) -> None:
    bare, said = (pixels(png_bytes(box, size=(800, 600), legend=legend)) for legend in ((), ("1 wall", "2 bridge")))
    assert near(said[480:, :400], BLUE, 40).sum() > 100 > near(bare, BLUE, 40).sum()


@pytest.mark.parametrize("caption", ["<b>x</b> & 山🚐 שלום", "w" * 300, "\x1b[31m\n", "linnet, left"])
def test_any_caption_can_be_written(box: Part, caption: str) -> None:
    image = Image.open(io.BytesIO(png_bytes(box, size=SMALL, caption=caption)))
    foot = np.asarray(image.convert("L"))[-30:, :]
    assert (foot < 140).sum() > 20
    assert (foot[:, -16:] > 200).all() and (foot[:, :16] > 200).all(), "the margin stays free"
    if caption == "linnet, left":
        assert image.text["Title"] == caption


def test_the_sizes_stand_in_the_picture(box: Part, tube: Part) -> None:
    """Pictures that differ in their caption alone differ at the left of the foot; the sizes at the right do not."""
    one, other = (pixels(png_bytes(box, size=SMALL, caption=caption)) for caption in ("one", "other"))
    rows, columns = np.nonzero(np.abs(one - other).max(axis=2) > 20)
    assert rows.min() > 260 and columns.max() < 200
    assert (one[-30:, 250:].max(axis=2) < 180).sum() > 30
