"""Polylines and loops in a plane, mm; a loop is a polyline that closes from its last point to its first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import hypot, inf

from mounts.geometry.outline import Point

Polyline = tuple[Point, ...]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1


def bound_points(points: Iterable[Point], *boxes: Box) -> Box:
    """Return the box about points and other boxes."""
    corners = [*points, *(corner for box in boxes for corner in (box[:2], box[2:]))]
    us, vs = zip(*corners, strict=True)
    return (min(us), min(vs), max(us), max(vs))


def closed(loop: Iterable[Point]) -> Polyline:
    """Return a loop as a polyline that ends where it begins."""
    points = tuple(loop)
    return (*points, points[0])


def rectangle_loop(x0: float, y0: float, x1: float, y1: float) -> Polyline:
    """Return a rectangle as a loop."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def loop_area(loop: Polyline) -> float:
    """Return the area inside a loop, mm², by the shoelace formula; positive whichever way it runs."""
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(loop, (*loop[1:], loop[0]), strict=True))) / 2


def ray_end(start: Point, way: Point, box: Box) -> Point:
    """Return where a ray from inside a box leaves it at the top or at a side; its start where it does neither."""
    left, _, right, top = box
    long = hypot(*way)
    u, v = way[0] / long, way[1] / long
    up = (top - start[1]) / v if v > 1e-6 else inf
    aside = ((right if u > 0 else left) - start[0]) / u if abs(u) > 1e-6 else inf
    reach = min(up, aside)
    return (start[0] + u * reach, start[1] + v * reach) if reach < inf else start


def crossings(loop: Sequence[Point], level: float) -> Iterator[float]:
    """Yield the x at which a closed loop crosses the horizontal line at y = `level`."""
    for (x0, y0), (x1, y1) in pairwise([*loop, loop[0]]):
        if (y0 > level) != (y1 > level):
            yield x0 + (x1 - x0) * (level - y0) / (y1 - y0)
