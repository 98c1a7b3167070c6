"""A pen for small sketches: lines, outlines, arrows and words in a frame of its own, kept thin and small."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Any

from mounts.write.typesetting import FACE

Spot = tuple[float, float]

SIZE = (38.0, 22.0)  # of the frame that sketches are drawn in
THIN, THICK = 0.22, 0.5
LETTERS = 2.6


@dataclass(frozen=True, slots=True)
class SketchPen:
    """Draws on a canvas in a frame of SIZE, carried to where it goes.

    Attributes:
        canvas: reportlab's, in mm.
        corner: lower left corner of the frame on it.
        scale: of the frame.
    """

    canvas: Any
    corner: Spot
    scale: float

    @classmethod
    def inside(cls, canvas: Any, corner: Spot, room: Spot) -> SketchPen:
        """Return a pen whose frame lies in the middle of a room, as large as it goes, at most 1.5 times."""
        scale = min(room[0] / SIZE[0], room[1] / SIZE[1], 1.5)
        x, y = (corner[k] + (room[k] - SIZE[k] * scale) / 2 for k in (0, 1))
        return cls(canvas, (x, y), scale)

    def at(self, spot: Spot) -> Spot:
        """Return a place of the frame on the canvas."""
        return (self.corner[0] + spot[0] * self.scale, self.corner[1] + spot[1] * self.scale)

    def line(self, *spots: Spot, thick: bool = False, dash: bool = False, grey: float = 0.0) -> None:
        """Draw a polyline."""
        self._set(thick, dash, grey)
        places = [self.at(spot) for spot in spots]
        for (x0, y0), (x1, y1) in pairwise(places):
            self.canvas.line(x0, y0, x1, y1)

    def area(self, *spots: Spot, grey: float = 0.75, edge: bool = True) -> None:
        """Draw a filled polygon."""
        self._set(False, False, 0.0)
        path = self.canvas.beginPath()
        path.moveTo(*self.at(spots[0]))
        for spot in spots[1:]:
            path.lineTo(*self.at(spot))
        path.close()
        self.canvas.setFillGray(grey)
        self.canvas.drawPath(path, fill=1, stroke=int(edge))

    def ring(self, middle: Spot, across: float, *, fill: float | None = None, thick: bool = False) -> None:
        """Draw a circle of a diameter; filled with a grey where one is given."""
        self._set(thick, False, 0.0)
        if fill is not None:
            self.canvas.setFillGray(fill)
        x, y = self.at(middle)
        self.canvas.circle(x, y, across / 2 * self.scale, fill=int(fill is not None))

    def arrow(self, start: Spot, end: Spot, *, both: bool = True) -> None:
        """Draw a line with a head at its end, or at both ends."""
        self.line(start, end)
        for tip, from_ in [(end, start)] + ([(start, end)] if both else []):
            self._head(tip, from_)

    def word(self, text: str, spot: Spot, *, turn: float = 0.0, middle: bool = True) -> None:
        """Draw a word, its middle or its left end at a place."""
        x, y = self.at(spot)
        self.canvas.saveState()
        self.canvas.setFillGray(0)
        self.canvas.setFont(FACE, LETTERS)
        self.canvas.translate(x, y)
        self.canvas.rotate(turn)
        (self.canvas.drawCentredString if middle else self.canvas.drawString)(0, -LETTERS * 0.35, text)
        self.canvas.restoreState()

    def _head(self, tip: Spot, from_: Spot) -> None:
        turn = degrees(atan2(from_[1] - tip[1], from_[0] - tip[0]))
        long = min(1.5, 0.4 * hypot(from_[0] - tip[0], from_[1] - tip[1]))
        ends = [(tip[0] + long * cos(radians(turn + a)), tip[1] + long * sin(radians(turn + a))) for a in (-20, 20)]
        self.area(tip, *ends, grey=0.0, edge=False)

    def _set(self, thick: bool, dash: bool, grey: float) -> None:
        self.canvas.setLineWidth(THICK if thick else THIN)
        self.canvas.setStrokeGray(grey)
        self.canvas.setDash([0.8, 0.6] if dash else [])
