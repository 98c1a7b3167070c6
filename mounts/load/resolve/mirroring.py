"""The other side of the vehicle, and the view from behind: the only code that mirrors a measurement.

Mirroring turns x into −x and a clock direction φ into −φ. The speaker is never mirrored: the same article goes into
both doors.
"""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel

from mounts.load.models.fixings import Fixings
from mounts.load.models.panel import Panel, Side, SurveyedPanel
from mounts.load.models.pins import Grille, Pin, PinPanel, Standing
from mounts.load.models.surroundings import AtClock, Behind, InFront

Point = tuple[float, float]
ModelT = TypeVar("ModelT", bound=BaseModel)


def mirror_point(point: Point) -> Point:
    """Return a point mirrored in the y axis."""
    return (-point[0] if point[0] else 0.0, point[1])


def mirror_angle(clock: float) -> float:
    """Return a clock direction, or an angle clockwise, mirrored in the y axis; 0 ≤ result < 360."""
    return -clock % 360.0


def view_from_front(panel: Panel) -> Panel:
    """Return the panel as seen from the cabin: opening and fixings measured from behind are mirrored."""
    if panel.seen_from == "front":
        return panel
    return _with(panel, opening=panel.opening.mirrored(), **_pattern(panel), seen_from="front")


def mirror_panel(panel: Panel, side: Side) -> Panel:
    """Return the mirror image of a panel, seen from the front, on another side."""
    return _with(keep_fixings(panel, side), **_pattern(panel))


def keep_fixings(panel: Panel, side: Side) -> Panel:
    """Return a panel for the other side with the same fixings and everything else mirrored."""
    return _with(
        panel,
        side=side,
        opening=panel.opening.mirrored(),
        behind=_behind(panel.behind) if panel.behind else None,
        in_front=_in_front(panel.in_front) if panel.in_front else None,
    )


def view_pins_from_front(panel: PinPanel) -> PinPanel:
    """Return a panel of pins as seen from the cabin; one measured from behind is mirrored."""
    return panel if panel.seen_from == "front" else _with(_mirror_pins(panel), seen_from="front")


def mirror_pins(panel: PinPanel, side: Side) -> PinPanel:
    """Return the mirror image of a panel of pins, seen from the front, on another side."""
    return _with(_mirror_pins(panel), side=side)


def _mirror_pins(panel: PinPanel) -> PinPanel:
    """Return a panel of pins mirrored in the y axis."""
    pins: dict[str, Pin] = {name: _with(pin, at=mirror_point(pin.at)) for name, pin in panel.pins.items()}
    standing: tuple[Standing, ...] = tuple(_with(s, at=mirror_point(s.at), turn=-s.turn) for s in panel.standing)
    grille: Grille | None = panel.grille and _with(panel.grille.mirrored(), at=mirror_point(panel.grille.at))
    return _with(panel, pins=pins, standing=standing, grille=grille)


def _with(model: ModelT, **changes: Any) -> ModelT:
    return model.model_copy(update=changes)


def _pattern(panel: Panel) -> dict[str, object]:
    """Return the fixings in a mirror, and what is known of their errors."""
    survey = {"survey": panel.survey.mirrored()} if isinstance(panel, SurveyedPanel) else {}
    return {"fixings": _fixings(panel.fixings), **survey}


def _fixings(fixings: Fixings) -> Fixings:
    points = {name: mirror_point(at) for name, at in fixings.points.items()}
    return _with(fixings, at=points, bolt_circle=None)


def _behind(behind: Behind) -> Behind:
    things = tuple(_with(thing, at=mirror_point(thing.at)) for thing in behind.things)
    return _with(behind, glass=_clocks(behind.glass) if behind.glass else None, things=things)


def _in_front(front: InFront) -> InFront:
    trim = front.trim
    if trim:
        opening = trim.opening.mirrored() if trim.opening else None
        trim = _with(_clocks(trim), at=mirror_point(trim.at), opening=opening)
    return _with(front, trim=trim, grille=_clocks(front.grille) if front.grille else None)


ReadingsT = TypeVar("ReadingsT", bound=AtClock)


def _clocks(readings: ReadingsT) -> ReadingsT:
    return _with(readings, at_clock={mirror_angle(clock): read for clock, read in readings.at_clock.items()})
