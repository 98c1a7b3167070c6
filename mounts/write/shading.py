"""Shading of a part on a white table: its colour under soft light, and thin dark lines round whatever hides a thing."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mounts.write.ambient_occlusion import AmbientOcclusion, PictureScene, occlude_part, occlude_table
from mounts.write.camera import Camera
from mounts.write.rays import CREASE, Floats, Hits, RayMesh, find_hidden, normalize

if TYPE_CHECKING:
    from PIL.Image import Image

Window = tuple[slice, slice]

_PLASTIC = np.array([0.235, 0.305, 0.375], np.float32)  # linear light, as all here
_TABLE = np.ones(3, np.float32)
_CLOSE = 4.0  # pixels' worth of depth: what is further apart hides something
_INNER = tuple(product((-0.25, 0.25), repeat=2))  # sub-pixels that make the colour of a pixel on an edge
_OUTER = tuple(product((-0.75, 0.75), repeat=2))  # and those that tell with them how near the edge is
_CREASE_INK = np.array([0.010, 0.014, 0.020], np.float32)  # linear light
_CREASE_SHARE = 0.85
_CREASE_WIDTH = 1.25  # pixels
_CREASE_STEP = 3.0  # pixels of line between two looks whether it is hidden
_FINE = 4  # sub-pixels each way


def shade_part(setting: PictureScene) -> Image:
    """Return the part and its table as they appear to the camera."""
    from PIL import Image

    sky, lamp = occlude_table(setting)
    light = (np.float32(0.42) + np.float32(0.42) * sky + np.float32(0.16) * lamp)[..., None] * _TABLE
    window = _window(setting)
    light[window] = _shade_window(setting, window, light[window])
    light = lay_ink(light, draw_creases(setting.mesh, setting.camera, setting.size))
    levels = np.sqrt(np.clip(light, 0, 1)) * np.float32(255) + np.float32(0.5)
    return Image.fromarray(levels.astype(np.uint8))


def _window(setting: PictureScene) -> Window:
    """Return the rows and columns of pixels between which the part appears."""
    seen = setting.camera.seen(setting.mesh.corners.reshape(-1, 3).astype(float))
    (x0, y0), (x1, y1) = np.floor(seen.min(axis=0)) - 1, np.ceil(seen.max(axis=0)) + 2
    width, height = setting.size
    return slice(max(0, int(y0)), min(height, int(y1))), slice(max(0, int(x0)), min(width, int(x1)))


def _shade_window(setting: PictureScene, window: Window, table: Floats) -> Floats:
    """Return the light (h, w, 3) from the window that holds the part, over the light from the table there."""
    soft = occlude_part(setting)
    width, height = setting.size
    pixels = setting.pixels().reshape(height, width, 2)[window].reshape(-1, 2)
    hits = setting.see(pixels)
    light, part = table.reshape(-1, 3).copy(), np.flatnonzero(hits.met)
    light[part] = _shade_hits(soft, hits.only(part), pixels[part])
    edge = np.flatnonzero(_edges(setting, hits, table.shape[:2]))
    light[edge] = _antialias(soft, hits.only(edge), pixels[edge], table.reshape(-1, 3)[edge])
    return light.reshape(table.shape)


def _shade_hits(soft: AmbientOcclusion, hits: Hits, pixels: Floats) -> Floats:
    """Return the light (n, 3) that comes from the part where pixels (n, 2) show it."""
    sky, lamp = soft.at(hits, pixels)
    to_lamp = soft.setting.to_lamp
    to_eye = normalize(soft.setting.camera.eye.astype(np.float32) - hits.point)
    facing = np.maximum(hits.normal @ to_lamp, 0) * lamp
    gloss = np.maximum(np.einsum("ij,ij->i", hits.normal, normalize(to_eye + to_lamp)), 0) ** 24 * lamp
    over = np.float32(0.72) + np.float32(0.28) * hits.normal[:, 2]
    strength = np.float32(0.70) * sky * over + np.float32(1.15) * facing + np.float32(0.06)
    light: Floats = _PLASTIC * strength[:, None] + np.float32(0.07) * gloss[:, None]
    return light


def _edges(setting: PictureScene, hits: Hits, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Return the pixels next to which something else begins, (n,)."""
    camera = setting.camera
    depth = (hits.point - camera.eye.astype(np.float32)) @ camera.axes[2].astype(np.float32)
    far = 6 * _CLOSE * camera.pixel
    index = np.arange(len(hits.face)).reshape(shape)
    edge = np.zeros(len(hits.face), bool)
    for here, there in ((index[:, :-1].ravel(), index[:, 1:].ravel()), (index[:-1].ravel(), index[1:].ravel())):
        change = np.flatnonzero((hits.face[here] != hits.face[there]) | (np.abs(depth[here] - depth[there]) > far))
        one, other = here[change], there[change]
        turn = np.einsum("ij,ij->i", hits.normal[one], hits.normal[other])
        apart = (turn < CREASE) | _is_outline(hits.only(one), hits.only(other), _CLOSE * camera.pixel)
        edge[one[apart]] = edge[other[apart]] = True
    return edge


def _antialias(soft: AmbientOcclusion, middle: Hits, pixels: Floats, table: Floats) -> Floats:
    """Return edge pixels from eight sub-pixels: four give the colour, all tell how much of an outline runs through."""
    colour = np.zeros((len(pixels), 3), np.float32)
    beyond = np.zeros(len(pixels), np.float32)
    for offset in _INNER + _OUTER:
        spots = pixels + np.array(offset, np.float32)
        hits = soft.setting.see(spots)
        beyond += _is_outline(middle, hits, _CLOSE * soft.setting.camera.pixel)
        if offset in _INNER:
            part = np.flatnonzero(hits.met)
            shown = table.copy()
            shown[part] = _shade_hits(soft, hits.only(part), spots[part])
            colour += shown / len(_INNER)
    return lay_ink(colour, 1 - np.abs(beyond / 4 - 1))


def _is_outline(one: Hits, other: Hits, close: float) -> NDArray[np.bool_]:
    """Return whether an outline runs between two hits: one misses, or lies well off the other's tangent plane."""
    way = other.point - one.point
    off = np.maximum(*(np.abs(np.einsum("ij,ij->i", hits.normal, way)) for hits in (one, other)))
    outlined: NDArray[np.bool_] = (one.met != other.met) | one.met & other.met & (off > close)
    return outlined


def lay_ink(light: Floats, ink: Floats) -> Floats:
    """Return the light (…, 3) with as much ink over it as `ink` (…) says, 0 to 1."""
    cover = (ink * np.float32(_CREASE_SHARE))[..., None]
    return light * (1 - cover) + _CREASE_INK * cover


def draw_creases(mesh: RayMesh, camera: Camera, size: tuple[int, int]) -> Floats:
    """Return the ink (h, w) of the creases."""
    from PIL import Image, ImageDraw

    sheet = Image.new("L", (size[0] * _FINE, size[1] * _FINE))
    draw = ImageDraw.Draw(sheet)
    ends = _visible_pieces(mesh, camera)
    pixels = camera.seen(ends.reshape(-1, 3).astype(float)).reshape(-1, 4) * _FINE
    for line in pixels.tolist():
        draw.line(line, fill=255, width=round(_CREASE_WIDTH * _FINE))
    return np.asarray(sheet.reduce(_FINE), np.float32) / np.float32(255)


def _visible_pieces(mesh: RayMesh, camera: Camera) -> Floats:
    """Return the ends (k, 2, 3) of the pieces of creases that nothing hides."""
    pieces = _split_creases(mesh.creases, camera)
    return pieces[~find_hidden(mesh, camera.eye, pieces.mean(axis=1), 3 * camera.pixel)]


def _split_creases(creases: Floats, camera: Camera) -> Floats:
    """Return the creases in pieces of a few pixels."""
    long = np.linalg.norm(creases[:, 1] - creases[:, 0], axis=1)
    count = np.maximum(1, np.ceil(long / (_CREASE_STEP * camera.pixel))).astype(np.int64)
    own = np.repeat(np.arange(len(creases)), count)
    place = np.arange(len(own)) - np.repeat(np.cumsum(count) - count, count)
    share = (np.stack([place, place + 1], 1) / count[own, None]).astype(np.float32)
    start, way = creases[own, :1], creases[own, 1:] - creases[own, :1]
    pieces: Floats = start + way * share[..., None]
    return pieces
