"""The yardstick: the demo job's left ring as anyone would write it by hand in cadquery, one boolean a feature.

Numbers are typed in, as a hand-written script has them; cadquery's defaults throughout; STL at 0.02/0.3 and STEP; no
checks. `python tests/bench/plain_ring.py FOLDER [bare]` writes both files; "bare" leaves the lettering out.
"""

from __future__ import annotations

import sys
from math import cos, radians, sin
from pathlib import Path

import cadquery as cq

# centre x, y, diameter, first angle, sweep of every arc of the base; the lines between follow
BASE = [
    (58.0, 53.5, 24.0, 0.755, 83.868),
    (0.0, 0.0, 141.4, 84.623, 10.216),
    (-58.0, 54.0, 24.0, 94.839, 84.413),
    (0.0, 0.0, 141.4, 179.252, 2.062),
    (-57.5, -53.0, 24.0, 181.314, 82.709),
    (0.0, 0.0, 141.4, 264.022, 10.772),
    (58.5, -54.0, 24.0, 274.794, 84.994),
    (0.0, 0.0, 141.4, 359.787, 0.968),
]
FIXINGS = [(58.0, 53.5), (58.5, -54.0), (-57.5, -53.0), (-58.0, 54.0)]
SCREWS = [(0.554, 63.498), (63.498, -0.554), (-0.554, -63.498), (-63.498, 0.554)]
STOPS = [(x + d, y) for x, y in SCREWS[::2] for d in (-5.6, 5.6)] + [
    (x, y + d) for x, y in SCREWS[1::2] for d in (-5.6, 5.6)
]
SEAT = cq.Plane((0, 0, 22), (0.99513403, 0.00486597, 0.09841024), (-0.09841024, 0.09841024, 0.99026807))
NAME = "linnet-woofer LEFT"


def seat(lift: float = 0.0) -> cq.Workplane:
    """Workplane on the tilted seat, lifted along its normal."""
    return cq.Workplane(SEAT).workplane(offset=lift)


def circle_on(workplane: cq.Workplane, diameter: float) -> cq.Wire:
    """A circle about a workplane's origin as a wire."""
    return cq.Wire.makeCircle(diameter / 2, workplane.plane.origin, workplane.plane.zDir)


def base() -> cq.Workplane:
    """The base with its chamfer and broken edge."""

    def at(x: float, y: float, d: float, angle: float) -> tuple[float, float]:
        return (x + d / 2 * cos(radians(angle)), y + d / 2 * sin(radians(angle)))

    sketch = cq.Workplane().moveTo(*at(*BASE[0][:4]))
    for k, (x, y, d, begin, sweep) in enumerate(BASE):
        if k:
            sketch = sketch.lineTo(*at(x, y, d, begin))
        sketch = sketch.threePointArc(at(x, y, d, begin + sweep / 2), at(x, y, d, begin + sweep))
    plate = sketch.close().extrude(6)
    return plate.faces("<Z").edges().chamfer(0.4).faces(">Z").edges().chamfer(0.6)


def ring(lettered: bool = True) -> cq.Workplane:
    """The whole ring, one boolean after another."""
    foot = cq.Wire.makeCircle(132.693 / 2, cq.Vector(0.738, -0.738, 3), cq.Vector(0, 0, 1))
    lean = cq.Solid.makeLoft([foot, circle_on(seat(-7.5), 136.8)], True)
    part = base().union(cq.Workplane(lean))
    part = part.union(seat(-7.5).circle(68.4).extrude(6.9)).union(
        cq.Workplane(cq.Solid.makeLoft([circle_on(seat(-0.6), 136.8), circle_on(seat(), 135.6)], True))
    )
    for x, y in STOPS:
        part = part.union(seat(-1).center(x, y).circle(2).extrude(2.2))
    part = part.cut(cq.Workplane().workplane(offset=-1).circle(60).extrude(4.8))
    mouth = cq.Wire.makeCircle(60, cq.Vector(0, 0, 3.8), cq.Vector(0, 0, 1))
    part = part.cut(cq.Workplane(cq.Solid.makeLoft([mouth, circle_on(seat(-6.5), 117)], True)))
    part = part.cut(seat(-6.5).circle(58.5).extrude(9))
    for x, y in FIXINGS:
        part = part.cut(cq.Workplane().workplane(offset=-1).center(x, y).circle(3).extrude(8))
        part = part.cut(cq.Workplane().workplane(offset=5.6).center(x, y).circle(8).extrude(40))
        part = part.cut(cq.Workplane().workplane(offset=-1).center(x, y).circle(4.95).extrude(2))
    for x, y in SCREWS:
        part = part.cut(seat(-5.5).center(x, y).circle(2.8).extrude(8))
    part = part.cut(cq.Workplane().workplane(offset=-1).circle(67.7).circle(61.2).extrude(2.8))
    return letters(part) if lettered else part


def letters(part: cq.Workplane) -> cq.Workplane:
    """Every letter sunk 0.6 on a flat of its own, at 6:00 and at 3:00."""
    for text, middle, size, height in ((NAME, -85.0, 6.9, 14.5), ("UP", -3.0, 8.2, 13.8)):
        for k, character in enumerate(text):
            if character == " ":
                continue
            angle = middle + (k - (len(text) - 1) / 2) * (3.7 if size < 7 else 5.7)
            out = cq.Vector(cos(radians(angle)), sin(radians(angle)), -0.09)
            place = cq.Plane(
                (68.0 * out.x, 68.0 * out.y, height), (-sin(radians(angle)), cos(radians(angle)), 0), out.normalized()
            )
            letter = cq.Workplane(place).workplane(offset=-0.6).text(character, size, 1.6, combine=False, kind="bold")
            part = part.cut(letter)
    return part


def write(folder: Path, lettered: bool = True) -> cq.Shape:
    """Builds the ring and writes STL and STEP."""
    part = ring(lettered)
    shape = part.val()
    shape.exportStl(str(folder / "plain.stl"), tolerance=0.02, angularTolerance=0.3, relative=False)
    cq.exporters.export(part, str(folder / "plain.step"))
    return shape


if __name__ == "__main__":
    write(Path(sys.argv[1]), "bare" not in sys.argv[2:])
