"""Thin dark lines along the creases of a part, drawn where the eye sees them."""

from __future__ import annotations

import numpy as np

from mounts.write.camera import Camera
from mounts.write.rays import Floats, RayMesh, find_hidden

_INK = np.array([0.010, 0.014, 0.020], np.float32)  # linear light
_STRONG = 0.85
_WIDE = 1.25  # pixels
_STEP = 3.0  # pixels of line between two looks whether it is hidden
_FINE = 4  # sub-pixels each way


def lay_ink(light: Floats, ink: Floats) -> Floats:
    """Return the light (…, 3) with as much ink over it as `ink` (…) says, 0 to 1."""
    cover = (ink * np.float32(_STRONG))[..., None]
    return light * (1 - cover) + _INK * cover


def draw_creases(mesh: RayMesh, camera: Camera, size: tuple[int, int]) -> Floats:
    """Return the ink (h, w) of the creases."""
    from PIL import Image, ImageDraw  # noqa: PLC0415

    sheet = Image.new("L", (size[0] * _FINE, size[1] * _FINE))
    draw = ImageDraw.Draw(sheet)
    ends = _visible_pieces(mesh, camera)
    pixels = camera.seen(ends.reshape(-1, 3).astype(float)).reshape(-1, 4) * _FINE
    for line in pixels.tolist():
        draw.line(line, fill=255, width=round(_WIDE * _FINE))
    return np.asarray(sheet.reduce(_FINE), np.float32) / np.float32(255)


def _visible_pieces(mesh: RayMesh, camera: Camera) -> Floats:
    """Return the ends (k, 2, 3) of the pieces of creases that nothing hides."""
    pieces = _split_creases(mesh.creases, camera)
    return pieces[~find_hidden(mesh, camera.eye, pieces.mean(axis=1), 3 * camera.pixel)]


def _split_creases(creases: Floats, camera: Camera) -> Floats:
    """Return the creases in pieces of a few pixels."""
    long = np.linalg.norm(creases[:, 1] - creases[:, 0], axis=1)
    count = np.maximum(1, np.ceil(long / (_STEP * camera.pixel))).astype(np.int64)
    own = np.repeat(np.arange(len(creases)), count)
    place = np.arange(len(own)) - np.repeat(np.cumsum(count) - count, count)
    share = (np.stack([place, place + 1], 1) / count[own, None]).astype(np.float32)
    start, way = creases[own, :1], creases[own, 1:] - creases[own, :1]
    pieces: Floats = start + way * share[..., None]
    return pieces
