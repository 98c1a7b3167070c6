"""Recipes with known answers, over which both kernels are tested; every volume is a closed formula, mm³."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, radians, sin, tan

from mounts.geometry.frames import PANEL, Frame, Vector, tilt_frame
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Arc, Line, Outline, circle, oblong, offset_outline, polar_point, polygon, rectangle
from mounts.shape.primitives import Body, Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Feature, Recipe
from tests.geometry.discs import hull_of_discs
from tests.idents import ident
from tests.kernels.ring import ring


@dataclass(frozen=True)
class Case:
    """A recipe and what is known of it: volume, centroid, box (least and greatest corner); None without a formula."""

    recipe: Recipe
    volume: float | None = None
    centroid: Vector | None = None
    box: tuple[Vector, Vector] | None = None


def recipe(name: str, genus: int, added: tuple[Body, ...], **cuts: Body | tuple[Body, ...]) -> Recipe:
    """Added bodies as features "body 0", "body 1"…; cut ones by name."""
    features = [Feature(ident(f"body {k}"), (body,)) for k, body in enumerate(added)]
    for cut, bodies in cuts.items():
        features.append(Feature(ident(cut), bodies if isinstance(bodies, tuple) else (bodies,), cut=True))
    return Recipe(name, tuple(features), genus)


def ruled(*sections: tuple[Frame, Outline], closed: bool = False) -> Ruled:
    return Ruled(tuple(Section(frame, outline) for frame, outline in sections), closed)


def _plate() -> Case:
    plate = Prism(rectangle(60.0, 40.0, 0.0), 0.0, 10.0)
    pocket = Prism(rectangle(20.0, 10.0, 2.0), 6.0, 11.0)
    area = 20.0 * 10.0 - (4 - pi) * 2.0**2
    made = recipe("pocketed plate", 0, (plate,), pocket=pocket)
    z = (24000.0 * 5.0 - area * 4.0 * 8.0) / (24000.0 - area * 4.0)
    return Case(made, 24000.0 - area * 4.0, (0.0, 0.0, z), ((-30.0, -20.0, 0.0), (30.0, 20.0, 10.0)))


def _holes(count: int) -> Case:
    plate = Prism(circle(80.0), -3.0, 5.0)
    places = [polar_point((0.0, 0.0), 50.0, 360.0 / max(1, count) * k) for k in range(count)]
    holes = {f"hole_{k}": Prism(circle(6.0), -4.0, 6.0, PANEL.shifted(*at)) for k, at in enumerate(places)}
    x = -sum(p[0] for p in places) * 9.0 / (1600.0 - 9.0 * count)
    y = -sum(p[1] for p in places) * 9.0 / (1600.0 - 9.0 * count)
    return Case(recipe(f"{count} holes", count, (plate,), **holes), 8 * pi * (1600.0 - 9.0 * count), (x, y, 1.0))


def _oblique_tube() -> Case:
    """Upright tube trimmed by a tilted plane: section area times the height at its middle."""
    seat = tilt_frame((0.0, 0.0, 25.0), 10.0, 35.0)
    trim = Prism(rectangle(200.0, 200.0, 0.0), 0.0, 60.0, seat)
    made = recipe("oblique tube", 1, (Prism(circle(80.0), 0.0, 60.0),), bore=Prism(circle(70.0), -1.0, 61.0), trim=trim)
    area = pi / 4 * (80.0**2 - 70.0**2)
    lean = area * (40.0**2 + 35.0**2) / 4 * tan(radians(10.0)) / (area * 25.0)  # second moment of the ring over volume
    at = (-lean * sin(radians(35.0)), -lean * cos(radians(35.0)))
    z = 12.5 + (40.0**2 + 35.0**2) / 4 * tan(radians(10.0)) ** 2 / (2 * 25.0)
    return Case(made, area * 25.0, (*at, z))


def _frustum() -> Case:
    """Height/3 times the mean of the end areas and their geometric mean; its centroid by the same integrals."""
    big, small, h = 20.0, 12.0, 15.0
    made = recipe("frustum", 0, (ruled((PANEL, circle(2 * big)), (PANEL.lifted(h), circle(2 * small))),))
    z = h / 4 * (big**2 + 2 * big * small + 3 * small**2) / (big**2 + big * small + small**2)
    box = ((-big, -big, 0.0), (big, big, h))
    return Case(made, pi * h / 3 * (big**2 + big * small + small**2), (0.0, 0.0, z), box)


def _cone() -> Case:
    tip = Outline((Arc((0.0, 0.0), 0.0, 0.0, 360.0),))
    made = recipe("cone", 0, (ruled((PANEL, circle(20.0)), (PANEL.lifted(9.0), tip)),))
    return Case(made, pi * 100.0 * 9.0 / 3, (0.0, 0.0, 9.0 / 4))


def _islands() -> Case:
    islands = (circle(6.0, (-8.0, 0.0)), oblong(8.0, 4.0).moved(8.0, 0.0))
    made = recipe("islands", 2, (Prism(rectangle(40.0, 20.0, 3.0), 1.0, 8.0, islands=islands),))
    area = 800.0 - (4 - pi) * 9.0 - 9.0 * pi - (4.0 * pi + 16.0)
    x = -(9.0 * pi * -8.0 + (4.0 * pi + 16.0) * 8.0) / area
    return Case(made, 7.0 * area, (x, 0.0, 4.5), ((-20.0, -10.0, 1.0), (20.0, 10.0, 8.0)))


def _groove() -> Case:
    """Ring-shaped groove, drawn without caps, in a plate."""
    frames = (PANEL.lifted(4.0), PANEL.lifted(7.0))
    out, inner = circle(30.0), circle(22.0)
    corners = ((frames[0], out), (frames[1], out), (frames[1], inner), (frames[0], inner))
    groove = ruled(*corners, closed=True)
    made = recipe("grooved plate", 0, (Prism(circle(40.0), 0.0, 6.0),), groove=groove)
    return Case(made, pi * (400.0 * 6.0 - (225.0 - 121.0) * 2.0))


def _oblong_groove() -> Case:
    """The same round an oblong, its sides leaning: they are made of flat pieces and of cones."""
    slot = oblong(40.0, 20.0)
    out, inner = (
        (offset_outline(slot, 5.0), offset_outline(slot, 4.0)),
        (offset_outline(slot, 1.0), offset_outline(slot, 2.0)),
    )
    frames = (PANEL.lifted(3.0), PANEL.lifted(6.0))
    corners = ((frames[0], out[0]), (frames[1], out[1]), (frames[1], inner[1]), (frames[0], inner[0]))
    groove = ruled(*corners, closed=True)
    made = recipe("oblong groove", 1, (groove,))

    def frustum(a: float, b: float) -> float:  # of an oblong 20 apart whose radii run from a to b over a height of 3
        return 3.0 * (20.0 * (a + b) + pi / 3 * (a * a + a * b + b * b))

    return Case(made, frustum(15.0, 14.0) - frustum(11.0, 12.0))


def _hull_to_circle() -> Case:
    """Simpson's rule is exact: between parallel planes the area of a ruled section is quadratic in the height."""
    low, high = match_spans(
        hull_of_discs([((0.0, 0.0), 60.0), ((25.0, 10.0), 24.0), ((-20.0, 18.0), 30.0)]), circle(46.0)
    )
    middle = [_between(a, b) for a, b in zip(low.spans, high.spans, strict=True)]
    area = (low.area + 4 * Outline(tuple(middle)).area + high.area) / 6
    made = recipe("hull to circle", 0, (ruled((PANEL, low), (PANEL.lifted(18.0), high)),))
    return Case(made, 18.0 * area)


def _between(a: Line | Arc, b: Line | Arc) -> Line | Arc:
    if isinstance(a, Arc) and isinstance(b, Arc):
        return Arc(_mean(a.centre, b.centre), (a.diameter + b.diameter) / 2, a.begin, a.sweep)
    return Line(_mean(a.start, b.start), _mean(a.end, b.end))


def _mean(p: tuple[float, float], q: tuple[float, float]) -> tuple[float, float]:
    return ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)


def _revolved() -> Case:
    """Pappus: area of the profile times the way of its centroid."""
    profile = ((0.0, 0.0), (2.0, 16.0), (5.0, 16.0), (5.0, 8.0), (9.0, 5.0))
    frame = tilt_frame((3.0, -2.0, 7.0), 20.0, 110.0)
    corners = [(0.0, 0.0), *((d / 2, z) for z, d in profile), (0.0, 9.0)]
    crosses = [(r0 * z1 - r1 * z0, r0 + r1) for (r0, z0), (r1, z1) in pairwise([*corners, corners[0]])]
    area, moment = sum(c for c, _ in crosses) / 2, sum(c * r for c, r in crosses) / 6
    return Case(recipe("revolved", 0, (Revolved(frame, profile),)), 2 * pi * (moment / area) * area)


def _twisted() -> Case:
    """Four corners to four others, so that no side is flat; Simpson again."""
    low = polygon([(-10.0, -8.0), (10.0, -8.0), (10.0, 8.0), (-10.0, 8.0)])
    high = polygon([(-7.0, -9.0), (9.0, -5.0), (6.0, 9.0), (-8.0, 6.0)])
    middle = polygon([_mean(a.start, b.start) for a, b in zip(low.spans, high.spans, strict=True)])
    made = recipe("twisted", 0, (ruled((PANEL, low), (PANEL.lifted(12.0), high)),))
    return Case(made, 2.0 * (low.area + 4 * middle.area + high.area))


def _sharp() -> Case:
    """Rounded rectangle that shrinks until its corners are sharp: flat sides, and a cone to a tip at each corner."""
    base, h = rectangle(30.0, 18.0, 4.0), 5.0
    made = recipe("sharp", 0, (ruled((PANEL, base), (PANEL.lifted(h), offset_outline(base, -4.0))),))
    edge = 2 * (22.0 + 10.0)  # of the sharp rectangle
    return Case(made, h * (22.0 * 10.0 + edge * 4.0 / 2 + pi * 16.0 / 3))


def _dent() -> Case:
    """An outline with a hollow arc, sheared: every level has the same area."""
    outline = Outline(
        (
            Line((0.0, 0.0), (20.0, 0.0)),
            Line((20.0, 0.0), (20.0, 10.0)),
            Line((20.0, 10.0), (13.0, 10.0)),
            Arc((10.0, 10.0), 6.0, 0.0, -180.0),
            Line((7.0, 10.0), (0.0, 10.0)),
            Line((0.0, 10.0), (0.0, 0.0)),
        )
    )
    made = recipe("dent", 0, (ruled((PANEL, outline), (Frame((5.0, 2.0, 8.0)), outline)),))
    area = 200.0 - 4.5 * pi
    x = (200.0 * 10.0 - 4.5 * pi * 10.0) / area + 2.5
    y = (200.0 * 5.0 - 4.5 * pi * (10.0 - 4 * 3.0 / (3 * pi))) / area + 1.0
    return Case(made, 8.0 * area, (x, y, 4.0), ((0.0, 0.0, 0.0), (25.0, 12.0, 8.0)))


def _square_to_round() -> Case:
    low, high = match_spans(rectangle(40.0, 30.0, 0.0), circle(24.0))
    made = recipe("square to round", 0, (ruled((PANEL, low), (tilt_frame((1.0, 0.0, 20.0), 12.0, 200.0), high)),))
    return Case(made)


def _steps() -> Case:
    """Two posts on a plate; a stepped hole drawn as three cylinders."""
    posts = tuple(Prism(circle(10.0), 3.0, 12.0, PANEL.shifted(x, 0.0)) for x in (-15.0, 15.0))
    hole = tuple(
        Prism(circle(diameter), low, high, PANEL.shifted(-15.0, 0.0))
        for diameter, low, high in ((3.0, -1.0, 13.0), (6.0, 10.0, 13.0), (5.0, -1.0, 2.0))
    )
    made = recipe("steps", 1, (Prism(rectangle(50.0, 20.0, 2.0), 0.0, 4.0), *posts), hole=hole)
    area = 1000.0 - (4 - pi) * 4.0
    return Case(made, area * 4.0 + 2 * 25.0 * pi * 8.0 - pi * (6.25 * 2.0 + 2.25 * 8.0 + 9.0 * 2.0))


def _raised() -> Case:
    """A raised letter on a flat and a sunk one beside it, both standing alone in the plate's upper face."""
    letter = polygon([(-3.0, -3.0), (3.0, -3.0), (3.0, 3.0), (-3.0, 3.0)])
    island = circle(2.0)
    up = Prism(letter, -1.0, 0.8, Frame((-8.0, 0.0, 5.0)), (island,))
    down = Prism(letter, -0.6, 1.0, Frame((8.0, 0.0, 5.0)), (island,))
    made = recipe("letters", 0, (Prism(rectangle(40.0, 20.0, 0.0), 0.0, 5.0), up), label=down)
    return Case(made, 4000.0 + (36.0 - pi) * (0.8 - 0.6))


CASES: dict[str, Case] = {
    case.recipe.name: case
    for case in (
        _plate(),
        *(_holes(count) for count in range(9)),
        _oblique_tube(),
        _frustum(),
        _cone(),
        _islands(),
        _groove(),
        _oblong_groove(),
        _hull_to_circle(),
        _revolved(),
        _twisted(),
        _sharp(),
        _dent(),
        _square_to_round(),
        _steps(),
        _raised(),
        *(Case(Recipe(f"ring {label or 'bare'}", ring(label).features, 5)) for label in ("", "base", "wall")),
    )
}
