"""Plain letters 5 mm high of our own drawing, for labels in tests: straight, round, and with islands."""

from __future__ import annotations

from mounts.geometry.outline import Arc, Line, Outline, polygon, rectangle


def _bowl(x: float, low: float, high: float, reach: float) -> Outline:
    """A stem's straight side and a round one: the bowl of a D or an R."""
    end = high - low
    return Outline(
        (
            Line((x, low), (reach - end / 2, low)),
            Arc((reach - end / 2, (low + high) / 2), end, -90.0, 180.0),
            Line((reach - end / 2, high), (x, high)),
            Line((x, high), (x, low)),
        )
    )


_P = Outline(
    (
        Line((-1.7, -2.5), (-0.9, -2.5)),
        Line((-0.9, -2.5), (-0.9, -0.5)),
        Line((-0.9, -0.5), (0.4, -0.5)),
        Arc((0.4, 1.0), 3.0, -90.0, 180.0),
        Line((0.4, 2.5), (-1.7, 2.5)),
        Line((-1.7, 2.5), (-1.7, -2.5)),
    )
)
_A = [(-2.1, -2.5), (-1.2, -2.5), (-0.8, -1.4), (0.8, -1.4), (1.2, -2.5), (2.1, -2.5), (0.4, 2.5), (-0.4, 2.5)]
_L = [(-1.5, -2.5), (1.5, -2.5), (1.5, -1.7), (-0.7, -1.7), (-0.7, 2.5), (-1.5, 2.5)]
_N = [(-1.8, -2.5), (-1.0, -2.5), (-1.0, 1.0), (1.0, -2.5), (1.8, -2.5)]
_E = [(-1.5, -2.5), (1.5, -2.5), (1.5, -1.7), (-0.7, -1.7), (-0.7, -0.4), (1.2, -0.4)]
_T = [(-0.4, -2.5), (0.4, -2.5), (0.4, 1.7), (1.8, 1.7), (1.8, 2.5), (-1.8, 2.5), (-1.8, 1.7), (-0.4, 1.7)]

GLYPHS: dict[str, tuple[Outline, ...]] = {
    "A": (polygon(_A), polygon([(-0.6, -0.7), (0.6, -0.7), (0.0, 1.4)])),
    "D": (_bowl(-1.7, -2.5, 2.5, 2.2), _bowl(-0.9, -1.7, 1.7, 1.4)),
    "E": (polygon([*_E, *((x, -y) for x, y in reversed(_E))]),),
    "I": (polygon([(-0.4, -2.5), (0.4, -2.5), (0.4, 2.5), (-0.4, 2.5)]),),
    "L": (polygon(_L),),
    "N": (polygon([*_N, *((-x, -y) for x, y in _N)]),),
    "O": (rectangle(4.4, 5.0, 2.1), rectangle(2.8, 3.4, 1.3)),
    "P": (_P, _bowl(-0.9, 0.3, 1.7, 1.1)),
    "R": (_bowl(-1.7, -2.5, 2.5, 1.9), _bowl(-0.9, -1.7, 1.7, 1.1)),
    "T": (polygon(_T),),
}
