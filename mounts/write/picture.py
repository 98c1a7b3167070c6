"""A shaded picture of a part, made without a display: rays for what is seen, soft light, thin lines at the edges."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from enum import StrEnum
from types import MappingProxyType

import numpy as np

from mounts.geometry.frames import Vector
from mounts.geometry.outline import Point
from mounts.kernels.part import Part
from mounts.lengths import Units
from mounts.write.ambient_occlusion import PictureScene
from mounts.write.annotations import LEGEND, draw_foot, draw_names, draw_numbers, draw_up_arrow
from mounts.write.camera import fit_camera
from mounts.write.rays import find_hidden, make_ray_mesh
from mounts.write.shading import shade_part
from mounts.write.text_shaping import plain_text

_TURNED = np.diag([-1.0, 1.0, -1.0])  # about the panel's y: the back comes to the front and up stays up


class View(StrEnum):
    """Viewpoint of a part, which always lies on a table."""

    FRONT = "front"
    BACK = "back"


def png_bytes(
    part: Part,
    view: View = View.FRONT,
    *,
    marks: Sequence[Vector] = (),
    size: tuple[int, int] = (1200, 900),
    caption: str = "",
    names: Mapping[str, Point] = MappingProxyType({}),
    legend: Sequence[str] = (),
    units: Units = Units.MM,
) -> bytes:
    """Return the part as a PNG picture; the same part gives the same bytes.

    Args:
        part: part in the panel frame.
        view: the front as seen from the cabin, or the back.
        marks: points in the panel frame, mm, to be numbered 1, 2, 3 and so on; a ring stands for one that is hidden.
        size: width and height in pixels.
        caption: name and side for the line of text at the foot; the part's own name when empty. Its sizes stand beside.
        names: places on the face by name, such as the panel's holes; those beside the part are left out.
        legend: what the marks mean, one line each.
        units: in which its sizes are written.
    """
    from PIL.PngImagePlugin import PngInfo

    turn = np.eye(3) if view is View.FRONT else _TURNED
    points = part.vertices @ turn.T
    table = np.array([0.0, 0.0, points[:, 2].min()])
    edge = round(size[1] * 0.055)
    foot = round(len(legend) * LEGEND * size[1] / 900)
    camera = fit_camera(points - table, size, (edge, edge, edge, 2 * edge + foot))
    mesh = make_ray_mesh(points - table, part.triangles, part.face)
    image = shade_part(PictureScene(mesh, camera, size))
    draw_up_arrow(image, camera, points - table, foot)
    spots = np.asarray(marks, dtype=float).reshape(-1, 3) @ turn.T - table
    low, high = part.vertices.min(axis=0), part.vertices.max(axis=0)
    held = {name: at for name, at in names.items() if all(low[:2] <= at) and all(at <= high[:2])}
    taken = draw_names(image, camera, {name: turn @ [*at, 0.0] - table for name, at in held.items()})
    draw_numbers(image, camera, spots, find_hidden(mesh, camera.eye, spots, 3 * camera.pixel), taken)
    sizes = _sizes(part, units) + (", seen from behind" if view is View.BACK else "")
    draw_foot(image, caption or part.name, sizes, legend)
    file, about = io.BytesIO(), PngInfo()
    about.add_itxt("Title", plain_text(caption or part.name))
    image.save(file, "PNG", compress_level=4, pnginfo=about)
    return file.getvalue()


def _sizes(part: Part, units: Units) -> str:
    """Return the width, height and thickness in the panel frame."""
    return " × ".join(units.cell(size).removesuffix(".0") for size in np.ptp(part.vertices, axis=0)) + f" {units.word}"
