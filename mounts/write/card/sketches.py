"""Sketches of what the readings mean: sections through door, glass and trim, a clock, a caliper between holes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from mounts.geometry.frames import clock_vector
from mounts.write.card.pen import SketchPen, Spot


def ears(pen: SketchPen) -> None:
    """Draw the opening and both heads from above, rearward and inboard; then how the panel leans."""
    pen.line((2, 0), (2, 22), thick=True)
    pen.ring((2, 18), 2.0, fill=0.0)
    pen.ring((13, 5), 4.6, fill=0.85)
    pen.ring((24, 5), 4.6, fill=0.85)
    pen.arrow((2, 18), (13, 18), both=False)
    pen.word("inboard", (9.5, 20.4))
    pen.arrow((13, 18), (13, 7.6), both=False)
    pen.word("rearward", (20.4, 13))
    pen.word("this", (13, 0.8))
    pen.word("other", (24, 0.8))
    pen.line((32, 1), (32, 21), dash=True)
    pen.line((32, 1), (36.5, 21), thick=True)
    pen.word("lean", (27.5, 18))


def original(pen: SketchPen) -> None:
    """Draw a section: the old speaker in the sheet, its front above the face, its depth behind it, its flange."""
    _sheet(pen, 11)
    pen.area((17, 4), (17, 18), (16, 18), (16, 17), (7, 14.5), (2, 14.5), (2, 7.5), (7, 7.5), (16, 5), (16, 4))
    pen.line((17, 1), (17, 21))
    pen.arrow((2, 2), (15, 2))
    pen.word("depth", (8.5, 0.4))
    pen.area((17, 6), (17, 16), (19.5, 14), (19.5, 8), grey=0.9)
    pen.arrow((17, 20.5), (19.5, 20.5))
    pen.line((19.5, 14), (19.5, 21), dash=True)
    pen.word("front", (25.5, 20.5))
    pen.arrow((22, 4), (22, 18))
    pen.word("flange", (27.5, 11))


def opening(pen: SketchPen) -> None:
    """Draw a section of the sheet with a bead and the sheet's thickness; the opening with three readings across."""
    for k, turn in enumerate((0, 60, 120)):
        x, y = clock_vector(turn)
        pen.line((9 - 8 * x, 11 - 8 * y), (9 + 8 * x, 11 + 8 * y), dash=k > 0)
    pen.ring((9, 11), 16, thick=True)
    pen.word("least", (9, 20.8))
    pen.area(
        (24, 1),
        (24, 4),
        (25.5, 5),
        (25.5, 8),
        (24, 9),
        (24, 20),
        (23, 20),
        (23, 9),
        (24.4, 8),
        (24.4, 5),
        (23, 4),
        (23, 1),
    )
    pen.line((24, 4), (30, 4), dash=True)
    pen.line((24, 9), (30, 9), dash=True)
    pen.word("bead", (33.5, 6.5))
    pen.arrow((20, 16), (23, 16), both=False)
    pen.arrow((27, 16), (24, 16), both=False)
    pen.word("thickness", (30.5, 19.4))


def holes(pen: SketchPen) -> None:
    """Draw the pattern from the cabin: axes, letters clockwise, a caliper between inside edges."""
    pen.ring((17, 12), 10, thick=True)
    pen.arrow((17, 12), (32, 12), both=False)
    pen.arrow((17, 12), (17, 23), both=False)
    pen.word("x", (33.6, 12))
    pen.word("y", (19, 22))
    spots = {"A": (25.5, 19), "B": (25.5, 5), "C": (8.5, 5), "D": (8.5, 19)}
    for name, (x, y) in spots.items():
        pen.ring((x, y), 3.4, fill=1.0)
        pen.word(name, (x + (4.0 if name in "AB" else -4.0), y))
    pen.line((25.5, 19), (25.5, 12), dash=True)
    pen.line((25.5, 19), (17, 19), dash=True)
    _jaws(pen, (10.2, 5), (23.8, 5))
    pen.word("inside edges", (17, 0.2))


def behind(pen: SketchPen) -> None:
    """Draw a section: depth from the face to glass and rail; the clock at the opening's edge."""
    _sheet(pen, 11, at=20)
    pen.line((1, 0), (4.5, 22), thick=True)
    pen.word("glass", (7, 1.2))
    pen.arrow((3.7, 17), (20, 17))
    pen.word("12:00", (14.5, 18.6))
    pen.arrow((1.9, 5.4), (20, 5.4))
    pen.word("6:00", (12.5, 3.7))
    pen.area((10, 8.6), (10, 11.4), (13, 11.4), (13, 8.6))
    pen.arrow((13, 10), (20, 10))
    pen.word("rail", (11.5, 13))
    _clock(pen, (31, 11))


def clay(pen: SketchPen) -> None:
    """Draw a section with clay squeezed between face and trim, and face and grille; the clock at the trim's edge."""
    _sheet(pen, 11, at=4)
    for low, high in ((1.0, 5.0), (17.0, 21.0)):
        pen.area((17, low), (17, high), (19, high), (19, low), grey=0.5)
        pen.area((4, low + 1), (4, high - 1), (17, high - 1), (17, low + 1), grey=0.9)
    pen.line((19, 5.5), (22, 6.5), (22, 15.5), (19, 16.5), thick=True)
    pen.word("trim", (10.5, 19))
    pen.word("clay", (10.5, 3))
    pen.arrow((4, 11), (22, 11))
    pen.word("grille", (12.5, 12.8))
    _clock(pen, (31.5, 11), across=11.0)


def speaker(pen: SketchPen) -> None:
    """Draw the unit from the side on its flange, with what the keys call its sizes."""
    pen.area(
        (22, 1),
        (22, 21),
        (20.5, 21),
        (20.5, 19),
        (14, 16),
        (9, 16),
        (9, 18),
        (2, 18),
        (2, 4),
        (9, 4),
        (9, 6),
        (14, 6),
        (20.5, 3),
        (20.5, 1),
    )
    pen.area((22, 3.5), (22, 18.5), (24.5, 16), (24.5, 6), grey=0.92)
    pen.arrow((2, 20), (20.5, 20))
    pen.word("depth", (11, 21.4))
    pen.arrow((5, 4), (5, 18))
    pen.word("across", (7.2, 11), turn=90)
    pen.area((11, 1), (11, 4.6), (17, 3), (17, 1), grey=0.55)
    pen.word("terminals", (8, -0.4))
    pen.arrow((20.5, 22), (24.5, 22))
    pen.word("front", (29, 21.6))
    pen.arrow((27, 3.5), (27, 18.5))
    pen.word("piston", (31.6, 11))
    pen.word("thickness", (29, 0.6))


def pins(pen: SketchPen) -> None:
    """Draw pins from behind: origin, axes, letters; one pin with diameter and height."""
    pen.arrow((2, 2), (22, 2), both=False)
    pen.arrow((2, 2), (2, 21), both=False)
    pen.word("x", (23.4, 2))
    pen.word("y", (3.8, 20.6))
    pen.ring((11, 11), 8, thick=True)
    for name, spot in (("A", (18, 17)), ("B", (17, 5)), ("C", (5, 8))):
        pen.ring(spot, 1.8, fill=0.3)
        pen.word(name, (spot[0] + 2.2, spot[1]))
    pen.area((26, 4), (37, 4), (37, 6), (26, 6))
    pen.area((30.5, 6), (32.5, 6), (32.5, 15), (30.5, 15))
    pen.arrow((35, 6), (35, 15))
    pen.word("height", (36.6, 10.5), turn=90)
    pen.arrow((28, 17), (30.5, 17), both=False)
    pen.arrow((35, 17), (32.5, 17), both=False)
    pen.word("diameter", (31.5, 19.4))


def aperture(pen: SketchPen) -> None:
    """Draw the aperture from behind with its centre, and a section with the grille's underside."""
    pen.arrow((2, 2), (12, 12), both=False)
    pen.ring((12, 12), 14, thick=True)
    pen.word("at", (9.2, 6.2))
    pen.word("round", (9, 20.8))
    pen.area((25, 4), (25, 8), (27, 8), (27, 4))
    pen.area((25, 15), (25, 19), (27, 19), (27, 15))
    pen.line((30, 6), (30, 17), dash=True)
    pen.arrow((25, 11.5), (30, 11.5))
    pen.word("height", (33.5, 3.4))
    pen.word("grille", (34.3, 17))
    pen.word("rear face", (29, 20.8))


def room(pen: SketchPen) -> None:
    """Draw a section: free depth behind the rear face, a rib on it."""
    pen.area((28, 2), (28, 20), (30, 20), (30, 2))
    pen.line((5, 1), (5, 21), thick=True)
    pen.arrow((5, 14), (28, 14))
    pen.word("room", (16, 16))
    pen.area((22, 5), (28, 5), (28, 6.5), (22, 6.5))
    pen.arrow((22, 3.6), (28, 3.6))
    pen.word("rib: height", (15, 5.8))
    pen.word("rear", (34, 12))
    pen.word("face", (34, 9))


def _sheet(pen: SketchPen, middle: float, at: float = 17.0) -> None:
    """Draw the sheet in section, its face at x = `at` and its opening about a height."""
    for low, high in ((0.5, middle - 7), (middle + 7, 21.5)):
        pen.area((at - 0.9, low), (at - 0.9, high), (at, high), (at, low), grey=0.2)


def _jaws(pen: SketchPen, one: Spot, other: Spot) -> None:
    pen.line((one[0], one[1] + 1.2), (one[0], one[1] - 2.4), (other[0], other[1] - 2.4), (other[0], other[1] + 1.2))


def _clock(pen: SketchPen, middle: Spot, across: float = 10.5) -> None:
    pen.ring(middle, across, thick=True)
    for hour in (12, 3, 6, 9):
        x, y = clock_vector(30.0 * hour)
        pen.ring((middle[0] + x * across / 2, middle[1] + y * across / 2), 1.3, fill=0.0)
        pen.word(str(hour), (middle[0] + x * across * 0.29, middle[1] + y * across * 0.29))


SKETCHES: Mapping[str, Callable[[SketchPen], None]] = {
    "ears": ears,
    "original": original,
    "opening": opening,
    "holes": holes,
    "behind": behind,
    "clay": clay,
    "speaker": speaker,
    "pins": pins,
    "aperture": aperture,
    "room": room,
}
