"""Plain bodies as parts, made by the mesh kernel: what they print like is known by formula."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import radians, tan

import numpy as np
from numpy.typing import ArrayLike

from mounts.geometry.frames import PANEL
from mounts.geometry.outline import Outline, Point, circle, polygon, rectangle
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.load.models.workshop import Printer
from mounts.shape.primitives import Body, Prism, Ruled, Section
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident

PRINTER = Printer(kind="printer", name="demo", bed=(250, 250, 250), nozzle=0.4, layer=0.2, overhang=45)


def part_of(*added: Body, segments: int = 256, **cuts: Body | tuple[Body, ...]) -> Part:
    """Added bodies as features "body 0"…, cut ones by name, an underscore for a space."""
    features = [Feature(ident(f"body {k}"), (body,)) for k, body in enumerate(added)]
    for name, cut in cuts.items():
        features.append(Feature(ident(name.replace("_", " ")), cut if isinstance(cut, tuple) else (cut,), cut=True))
    return mesh.build(Recipe("demo", tuple(features), 0), segments)


def box(low: Point, high: Point, bottom: float, top: float) -> Prism:
    """Upright box between two corners seen from above."""
    (x0, y0), (x1, y1) = low, high
    return Prism(polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]), bottom, top)


def block(width: float, depth: float, height: float) -> Prism:
    """Box about the origin, on the bed."""
    return Prism(rectangle(width, depth, 0.0), 0.0, height)


def flaring(foot: float, height: float, lean: float) -> Part:
    """Frustum that stands on a foot of a diameter and leans out all round by so many degrees from the vertical."""
    top = foot + 2 * height * tan(radians(lean))
    return part_of(Ruled((Section(PANEL, circle(foot)), Section(PANEL.lifted(height), circle(top)))))


def portal(width: float) -> Part:
    """A block 60 wide with a tunnel through it, 4 high, whose flat roof has to be bridged."""
    return part_of(block(60.0, 30.0, 10.0), tunnel=box((-width / 2, -20.0), (width / 2, 20.0), -1.0, 4.0))


def roofed(outline: Outline, *islands: Outline) -> Part:
    """A block 90 wide whose underside is sunk by 4 inside an outline, islands in it right through."""
    through = tuple(Prism(island, -1.0, 11.0) for island in islands)
    return part_of(block(90.0, 90.0, 10.0), sink=(Prism(outline, -1.0, 4.0), *through))


def shelf(juts: float) -> Part:
    """A post 20 wide whose upper half juts out on one side."""
    return part_of(box((0.0, 0.0), (20.0, 20.0), 0.0, 10.0), box((0.0, 0.0), (20.0 + juts, 20.0), 5.0, 10.0))


def fin(thickness: float) -> Part:
    """A block with a fin on it, 10 high and 30 long."""
    half = thickness / 2
    return part_of(block(60.0, 30.0, 6.0), box((-15.0, -half), (15.0, half), 5.0, 16.0))


def changed(part: Part, matrix: ArrayLike, shift: Sequence[float] = (0.0, 0.0, 0.0)) -> Part:
    """The part with its vertices at matrix · v + shift; turned outside in again where that mirrors it."""
    turn = np.asarray(matrix, dtype=float)
    triangles = part.triangles if np.linalg.det(turn) > 0 else part.triangles[:, ::-1]
    return replace(part, vertices=part.vertices @ turn.T + np.asarray(shift), triangles=triangles)


def nameless(part: Part) -> Part:
    """The part as one that was drawn elsewhere: one feature, no solid."""
    return replace(part, features=(ident("part"),), feature=np.zeros(len(part.triangles), dtype=np.int64), solid=None)
