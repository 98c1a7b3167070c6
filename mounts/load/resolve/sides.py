"""The panel of the side that a mount is made for: its own, its mirror image, or the one that was measured there.

The other side of the vehicle, and the view from behind: the only code that mirrors a measurement.

Mirroring turns x into −x and a clock direction φ into −φ. The speaker is never mirrored: the same article goes into
both doors.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Generic, Literal, Protocol, TypeVar

from pydantic import BaseModel

from mounts.errors import InputError, Problem
from mounts.load.models.aim import STEEPEST, Aim
from mounts.load.models.fixings import Fixings
from mounts.load.models.job import AimAngles, Sought
from mounts.load.models.job_file import Wire
from mounts.load.models.limits import Limits
from mounts.load.models.panel import Panel, Side, SurveyedPanel
from mounts.load.models.pins import Grille, Pin, PinPanel, Standing
from mounts.load.models.surroundings import AtClock, Behind, InFront
from mounts.load.parse.document import Document
from mounts.load.resolve.library import Library

Point = tuple[float, float]
ModelT = TypeVar("ModelT", bound=BaseModel)
PanelT = TypeVar("PanelT", Panel, PinPanel)


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


@dataclass(frozen=True)
class SidePanel(Generic[PanelT]):
    """A panel in the hand of one side.

    Attributes:
        panel: None where there are problems.
        document: where its readings stand.
        mirrored: whether the job's own directions, given for the panel it names, must be mirrored here.
        problems: why there is no such panel.
    """

    panel: PanelT | None
    document: Document
    mirrored: bool = False
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class SideDirections:
    """A job's directions in the hand of one side.

    Attributes:
        aim: as given, level where it is not.
        sought: what of the aim is to be found.
    """

    aim: AimAngles
    sought: Sought | None
    turn: float | Literal["best"]
    wire: Wire | None
    seat_offset: tuple[float, float]


class SeatFile(Protocol):
    """Keys of a job's file that say where a speaker's seat is."""

    @property
    def aim(self) -> Aim:
        """Direction of the speaker."""

    @property
    def turn(self) -> float | Literal["best"]:
        """Turn about its axis, degrees."""

    @property
    def wire(self) -> Wire | None:
        """Notch for its wire."""

    @property
    def seat_offset(self) -> Point | None:
        """Seat's centre from the opening's, mm."""

    @property
    def limits(self) -> Limits:
        """Limits of the job."""


def directions_of_side(file: SeatFile, on: SidePanel[Panel] | SidePanel[PinPanel]) -> SideDirections:
    """Return a job's directions on one side; given for the panel's own side, they are mirrored for the other."""
    toward, turn, wire, offset = file.aim.toward, file.turn, file.wire, file.seat_offset or (0.0, 0.0)
    if on.mirrored:
        toward, offset = None if toward is None else mirror_angle(toward), mirror_point(offset)
        wire = wire.model_copy(update={"at": mirror_angle(wire.at)}) if wire else None
        turn = mirror_angle(turn) if isinstance(turn, float) else turn
    return SideDirections(AimAngles(file.aim.tilt or 0.0, toward or 0.0), _sought(file, toward), turn, wire, offset)


def _sought(file: SeatFile, toward: float | None) -> Sought | None:
    """Return what of the aim is to be found, for whom, and how far the seat may be moved for it."""
    aim = file.aim
    if not aim.is_sought:
        return None
    within = STEEPEST if aim.within is None else aim.within
    aside = file.limits.aside if file.seat_offset is None else 0.0
    return Sought(tuple((aim.at or {"this_seat": 1.0}).items()), aim.tilt, toward, within, aside)


def panel_of_side(panel: PanelT, document: Document, side: Side, library: Library, job: Document) -> SidePanel[PanelT]:
    """Return the panel for a side of the vehicle, seen from the front.

    Args:
        panel: the panel that the job names.
        document: the file that holds it.
        side: the side wanted.
        library: where another panel is looked up.
        job: the job's file, which asks for the side.
    """
    if side == panel.side:
        return SidePanel(_from_front(panel), document)
    if panel.other_side is None:
        what = (
            f"the {side} side is asked for, but {panel.name} was measured on the {panel.side} and says nothing of the "
            f"other; give that panel other_side: mirrored, same, or the name of the panel measured there"
        )
        return SidePanel(None, document, problems=(job.problem(("sides",), what),))
    name = panel.other_side.as_
    if name not in ("mirrored", "same"):
        return _measured_panel(name, document, side, library, panel)
    return SidePanel(_other_side(panel, side, name), document, mirrored=True)


def _from_front(panel: PanelT) -> PanelT:
    if isinstance(panel, PinPanel):
        return view_pins_from_front(panel)
    return view_from_front(panel)


def _other_side(panel: PanelT, side: Side, name: str) -> PanelT:
    """Return the panel in a mirror, or with the same fixings and all else in a mirror."""
    if isinstance(panel, PinPanel):
        return mirror_pins(view_pins_from_front(panel), side)
    seen = view_from_front(panel)
    return mirror_panel(seen, side) if name == "mirrored" else keep_fixings(seen, side)


def _measured_panel(name: str, document: Document, side: Side, library: Library, here: PanelT) -> SidePanel[PanelT]:
    """Return the panel that was measured on that side, of the same sort as the one here."""
    trail = ("other_side",)
    try:
        loaded = library.get("panel", name, document.spot(trail)[0])
    except InputError as error:
        return SidePanel(None, document, problems=tuple(document.problem(trail, p.what) for p in error.problems))
    if loaded.value is None or loaded.document is None:
        return SidePanel(None, document, problems=loaded.problems)
    if isinstance(loaded.value, PinPanel) is not isinstance(here, PinPanel):
        other, this = ("an opening", "pins") if isinstance(here, PinPanel) else ("pins", "an opening")
        what = f"{name} has {other} and this panel has {this}; they are no two sides of one vehicle"
        return SidePanel(None, document, problems=(document.problem(trail, what),))
    if loaded.value.side != side:
        what = f"{name} was measured on the {loaded.value.side}, so it is not the {side} side of this one"
        return SidePanel(None, document, problems=(document.problem(trail, what),))
    return SidePanel(_from_front(loaded.value), loaded.document, mirrored=True)
