"""Named sizes of a plan, by which a fabricator compares two plans of a kind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from mounts.design.lettering import Label
from mounts.geometry.outline import Outline, Point
from mounts.kinds.speaker_kind import SpeakerSeat

ROUND = 0.01  # mm by which centres may leave a circle and still count as lying on it


@dataclass(frozen=True, slots=True)
class NamedSize:
    """One named size with one value, or with two for width and height.

    Attributes:
        name: as a person says it.
        values: in mm or degrees; words for what has no figure.
        unit: "mm", "deg", or "1" for a plain number.
    """

    name: str
    values: tuple[float | str, ...]
    unit: str = "mm"


def extents(outline: Outline) -> tuple[float, ...]:
    """Return the diameter of a round outline, else its width and height, mm."""
    x0, y0, x1, y1 = outline.box
    return (x1 - x0,) if outline.is_circle else (x1 - x0, y1 - y0)


def seat_sizes(seat: SpeakerSeat, lift: float | None = None) -> Iterator[NamedSize]:
    """Yield the tilt and turn of a seat, its bore and the speaker's screws; `lift` is the gasket's, mm."""
    yield NamedSize("tilt", (seat.tilt,), "deg")
    if seat.tilt:
        yield NamedSize("leans towards, clockwise from 12:00", (seat.toward,), "deg")
    yield NamedSize("speaker's turn", (seat.turn,), "deg")
    yield NamedSize("speaker's flange", extents(seat.flange))
    yield NamedSize("bore at the seat", extents(seat.bore))
    if lift is not None:
        yield NamedSize("speaker's lift on its gasket", (lift,))
    yield NamedSize("speaker's screws", (float(len(seat.screws)),), "1")
    if seat.screws:
        yield NamedSize(*_pattern([one.at for one in seat.screws]))
        yield NamedSize("pockets, across and deep", (seat.screws[0].hole, seat.screws[0].depth))


def _pattern(points: Sequence[Point]) -> tuple[str, tuple[float, ...]]:
    """Return the diameter of the circle that screws lie on, else their distance apart in width and height."""
    out = [hypot(*point) for point in points]
    if max(out) - min(out) <= ROUND:
        return "circle of the speaker's screws", (2 * max(out),)
    x, y = zip(*points, strict=True)
    return "speaker's screws, apart", (max(x) - min(x), max(y) - min(y))


def label_size(labels: Sequence[Label]) -> NamedSize:
    """Return the text of the labels as a size."""
    return NamedSize("label", tuple(label.text for label in labels) or ("none",), "1")
