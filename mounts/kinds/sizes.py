"""The sizes of a plan that a fabricator knows by name, so that two plans of a kind can be told side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

from mounts.geometry.outline import Outline, Point
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.ring.values import FlatPlan, RingPlan, Seat

ROUND = 0.01  # mm by which centres may leave a circle and still be told as lying on it


@dataclass(frozen=True, slots=True)
class Size:
    """One named size: a figure, or those of width and height.

    Attributes:
        name: as a person says it.
        values: in mm or degrees; words for what has no figure.
        unit: "mm", "deg", or "1" for a plain number.
    """

    name: str
    values: tuple[float | str, ...]
    unit: str = "mm"


def sizes(plan: Any) -> tuple[Size, ...]:
    """The named sizes of a plan; none for a kind that carries no speaker."""
    tell = next((tell for kind, tell in SIZES.items() if isinstance(plan, kind)), None)
    return tuple(tell(plan)) if tell else ()


def ring_sizes(plan: RingPlan) -> Iterator[Size]:
    """Of a printed ring."""
    yield Size("height of the seat", (plan.seat.frame.origin[2],))
    yield Size("least height at this tilt", (plan.least_height,))
    yield from _seat(plan.seat)
    yield Size("outside of the seat", across(plan.seat.outline))
    yield Size("opening of the bore at the face", across(plan.tower.mouth))
    yield Size("tower's wall", (plan.tower.wall,))
    yield Size("base", across(plan.base.outline))
    yield Size("base's thickness", (plan.base.thickness,))
    yield Size("holes for the panel's screws", tuple(dict.fromkeys(one.hole for one in plan.fixings)))
    yield from _label(plan.labels)


def flat_sizes(plan: FlatPlan) -> Iterator[Size]:
    """Of a ring cut from sheet."""
    yield Size("sheet", (plan.sheet,))
    yield from _seat(plan.seat)
    yield Size("outside", across(plan.outline))


def cup_sizes(plan: CupPlan) -> Iterator[Size]:
    """Of a cup."""
    seat, press = plan.seat, plan.seat.press
    yield Size("height of the seat", (seat.frame.origin[2],))
    yield from _seat(seat)
    yield Size("room for the flange", across(seat.room))
    yield Size("length of the bore that holds", (seat.grip,))
    if press is not None:
        yield Size("between the ribs' tips", (press.inside,))
        yield Size("ribs", (float(press.ribs),), "1")
        yield Size("reach of the lugs" if press.lugs else "reach of the lip", (press.over,))
    if seat.nut is not None:
        yield Size("room for the nut", (seat.nut,))
    yield Size("plate", across(plan.outline))
    yield Size("plate's thickness", (plan.thickness,))
    yield Size("depth of the back", (plan.depth,))
    for stake in plan.stakes:
        yield Size(f"hole of pin {stake.name}", (stake.width,) if not stake.way else (stake.width, stake.length))
    yield from _label(plan.labels)


SIZES: dict[type, Callable[[Any], Iterator[Size]]] = {RingPlan: ring_sizes, FlatPlan: flat_sizes, CupPlan: cup_sizes}


def across(outline: Outline) -> tuple[float, ...]:
    """Diameter of a round outline, else its width and height."""
    x0, y0, x1, y1 = outline.box
    return (x1 - x0,) if outline.is_circle else (x1 - x0, y1 - y0)


def _seat(seat: Any) -> Iterator[Size]:
    """What the seats of all kinds have: where they look, the bore, and the speaker's screws."""
    yield Size("tilt", (seat.tilt,), "deg")
    if seat.tilt:
        yield Size("leans towards, clockwise from 12:00", (seat.toward,), "deg")
    yield Size("speaker's turn", (seat.turn,), "deg")
    yield Size("speaker's flange", across(seat.flange))
    yield Size("bore at the seat", across(seat.bore))
    if isinstance(seat, Seat):
        yield Size("speaker's lift on its gasket", (seat.lift,))
    yield Size("speaker's screws", (float(len(seat.screws)),), "1")
    if seat.screws:
        yield Size(*_pattern([one.at for one in seat.screws]))
        yield Size("pockets, across and deep", (seat.screws[0].hole, seat.screws[0].depth))


def _pattern(points: Sequence[Point]) -> tuple[str, tuple[float, ...]]:
    """The circle that screws lie on, else how far they lie apart in width and height."""
    out = [hypot(*point) for point in points]
    if max(out) - min(out) <= ROUND:
        return "circle of the speaker's screws", (2 * max(out),)
    x, y = zip(*points, strict=True)
    return "speaker's screws, apart", (max(x) - min(x), max(y) - min(y))


def _label(labels: Sequence[Any]) -> Iterator[Size]:
    yield Size("label", tuple(label.text for label in labels) or ("none",), "1")
