"""Soft light in a picture: how much of the sky and of a lamp each place of the part and of the table sees.

It changes slowly, so it is sampled on a coarse grid. Each sample casts a few rays out of one even set, and its
neighbours cast the others: their mean is free of grain without many rays.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from mounts.write.camera import Camera
from mounts.write.rays import Floats, Hits, RayMesh, cast_rays, normalize, visible_share

_LAMP = np.array([-0.60, 0.70, 0.45])  # right, up and towards the eye: from the upper left
_SPREAD = np.float32(0.25)  # of the lamp, which makes its shadows soft
_COARSE = 4  # pixels to a sample
_TURN = 4  # neighbouring samples, each way, that share one set of rays
_WEIGHTS = np.array([0.125, 0.25, 0.25, 0.25, 0.125], np.float32)  # a mean over _TURN samples
_TO_SKY, _TO_LAMP = 10, 5  # rays of one sample
_FAINT = np.float32(1e-4)  # weight of a sample on another surface, for places that have none on their own


@dataclass(frozen=True, slots=True, eq=False)
class PictureScene:
    """A part on a table, the plane z = 0, before a camera; the picture's width and height in pixels."""

    mesh: RayMesh
    camera: Camera
    size: tuple[int, int]

    @property
    def coarse(self) -> tuple[int, int]:
        """Rows and columns of the coarse grid."""
        return -(-self.size[1] // _COARSE), -(-self.size[0] // _COARSE)

    @property
    def to_lamp(self) -> Floats:
        """Unit vector (3,) towards the lamp."""
        return normalize(_LAMP @ self.camera.axes).astype(np.float32)

    def see(self, pixels: Floats) -> Hits:
        """Return what of the part appears in pixels (n, 2)."""
        return cast_rays(self.mesh, self.camera.eye, self.camera.looks(pixels))

    def pixels(self, step: int = 1) -> Floats:
        """Return the middles of squares of `step` pixels, line by line, (n, 2)."""
        xs, ys = (np.arange(0, side, step, dtype=np.float32) + np.float32(step / 2) for side in self.size)
        return np.stack(np.meshgrid(xs, ys), -1).reshape(-1, 2)


@dataclass(frozen=True, slots=True, eq=False)
class AmbientOcclusion:
    """Soft light on the part, a sample in each square of the coarse grid.

    Attributes:
        setting: what is looked at.
        hits: what each sample sees of the part.
        sky: (n,) share of the sky that reaches it.
        lamp: (n,) share of the lamp that reaches it.
    """

    setting: PictureScene
    hits: Hits
    sky: Floats
    lamp: Floats

    def at(self, hits: Hits, pixels: Floats) -> tuple[Floats, Floats]:
        """Return sky and lamp at pixels (n, 2) of the part, from the four samples about each on the same surface."""
        place = pixels / np.float32(_COARSE) - np.float32(0.5)
        low = np.floor(place).astype(np.int64)
        part = (place - low).astype(np.float32)
        total = np.zeros((3, len(pixels)), np.float32)
        for dx, dy in product((0, 1), repeat=2):
            near = np.abs(1 - dx - part[:, 0]) * np.abs(1 - dy - part[:, 1]) + _FAINT
            self._add(total, hits, self._beside(low[:, 1], low[:, 0], dy, dx), near)
        sky, lamp = total[1:] / np.maximum(total[0], np.float32(1e-12))
        return sky, lamp

    def smoothed(self) -> AmbientOcclusion:
        """Return the samples averaged with those about them on the same surface."""
        part = np.flatnonzero(self.hits.met)
        row, column = np.divmod(part, self.setting.coarse[1])
        total = np.zeros((3, len(part)), np.float32)
        for (dy, a), (dx, b) in product(enumerate(_WEIGHTS, -2), repeat=2):
            self._add(total, self.hits.only(part), self._beside(row, column, dy, dx), a * b)
        sky, lamp = np.zeros((2, len(self.sky)), np.float32)
        sky[part], lamp[part] = total[1:] / total[0]
        return AmbientOcclusion(self.setting, self.hits, sky, lamp)

    def _beside(self, row: NDArray[np.int64], column: NDArray[np.int64], dy: int, dx: int) -> NDArray[np.int64]:
        rows, columns = self.setting.coarse
        there: NDArray[np.int64] = np.clip(row + dy, 0, rows - 1) * columns + np.clip(column + dx, 0, columns - 1)
        return there

    def _add(self, total: Floats, hits: Hits, there: NDArray[np.int64], share: Floats | np.float32) -> None:
        """Add samples to the sums of weight, sky and lamp, as far as they lie on the same surface as `hits`."""
        samples = self.hits.only(there)
        turn = np.maximum(np.einsum("ij,ij->i", hits.normal, samples.normal), 0)
        off = np.abs(np.einsum("ij,ij->i", hits.normal, samples.point - hits.point))
        weight = share * (turn**8 * (off < 6 * self.setting.camera.pixel) + _FAINT) * samples.met
        total += np.stack([weight, weight * self.sky[there], weight * self.lamp[there]])


def occlude_part(setting: PictureScene) -> AmbientOcclusion:
    """Return the soft light on what is seen of the part."""
    hits = setting.see(setting.pixels(_COARSE))
    part = np.flatnonzero(hits.met)
    sky, lamp = np.zeros((2, len(hits.face)), np.float32)
    sky[part], lamp[part] = _visible_shares(setting, hits.only(part), part)
    return AmbientOcclusion(setting, hits, sky, lamp).smoothed()


def occlude_table(setting: PictureScene) -> tuple[Floats, Floats]:
    """Return shares of sky and lamp that reach the table in every pixel, (h, w) each, also where the part hides it."""
    eye = setting.camera.eye.astype(np.float32)
    ways = setting.camera.looks(setting.pixels(_COARSE))
    point = eye - ways * (eye[2] / ways[:, 2:])
    up = np.broadcast_to(np.array([0, 0, 1], np.float32), point.shape)
    hits = Hits(np.full(len(point), -1), point, up)
    sky, lamp = (_interpolate(setting, share) for share in _visible_shares(setting, hits, np.arange(len(point))))
    return sky, lamp


def _interpolate(setting: PictureScene, share: Floats) -> Floats:
    """Return a share on the coarse grid, smoothed and interpolated to every pixel, (h, w)."""
    from PIL import Image

    rows, columns = setting.coarse
    even = _smooth(_smooth(share.reshape(rows, columns)).T).T
    full = Image.fromarray(np.ascontiguousarray(even, np.float32))
    full = full.resize((columns * _COARSE, rows * _COARSE), Image.Resampling.BILINEAR)
    return np.asarray(full, np.float32)[: setting.size[1], : setting.size[0]]


def _smooth(grid: Floats) -> Floats:
    """Return each line averaged with those beside it, over exactly the samples that share a set of rays."""
    wide = np.pad(grid, ((2, 2), (0, 0)), "edge")
    lines: Floats = np.stack([wide[k : k + len(grid)] for k in range(5)], -1) @ _WEIGHTS
    return lines


def _visible_shares(setting: PictureScene, hits: Hits, which: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Return the shares of sky and lamp that reach places, given by the numbers of their samples."""
    lift = setting.camera.pixel * 0.3
    around = normalize(hits.normal + _rays(setting, which, _TO_SKY) * np.float32(0.999))
    about = normalize(setting.to_lamp + _rays(setting, which, _TO_LAMP) * _SPREAD)
    sky, lamp = (visible_share(setting.mesh, hits.point, hits.normal, ways, lift) for ways in (around, about))
    return sky, lamp


def _rays(setting: PictureScene, which: NDArray[np.int64], count: int) -> Floats:
    """Return the unit vectors (count, n, 3): each sample's share of points spread evenly over the sphere."""
    row, column = np.divmod(which, setting.coarse[1])
    share = ((row % _TURN) * _TURN + column % _TURN * (_TURN + 1)) % _TURN**2
    place = (np.arange(count)[:, None] * _TURN**2 + share + 0.5).astype(np.float32)
    high = 1 - 2 * place / np.float32(count * _TURN**2)
    turn = place * np.float32(np.pi * (3 - 5**0.5))  # the golden angle
    flat = np.sqrt(1 - high * high)
    return np.stack([flat * np.cos(turn), flat * np.sin(turn), high], -1)
