"""The panel of the side that a mount is made for: its own, its mirror image, or the one that was measured there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mounts.errors import InputError, Problem
from mounts.load.models.aim import STEEPEST
from mounts.load.models.cup_file import CupFile
from mounts.load.models.job import AimAngles, Sought
from mounts.load.models.job_file import Wire
from mounts.load.models.panel import Panel, Side
from mounts.load.models.pins import PinPanel
from mounts.load.models.ring_file import RingFile
from mounts.load.parse.document import Document
from mounts.load.resolve.library import Library
from mounts.load.resolve.mirroring import (
    keep_fixings,
    mirror_angle,
    mirror_panel,
    mirror_pins,
    mirror_point,
    view_from_front,
    view_pins_from_front,
)


@dataclass(frozen=True)
class SidePanel:
    """A panel in the hand of one side.

    Attributes:
        panel: None where there are problems.
        document: where its readings stand.
        mirrored: whether the job's own directions, given for the panel it names, must be mirrored here.
        problems: why there is no such panel.
    """

    panel: Panel | PinPanel | None
    document: Document
    mirrored: bool = False
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class SideDirections:
    """A job's directions in the hand of one side.

    Attributes:
        aim: as given, level where it is not.
        sought: what of the aim is to be found.
        in_two: of a ring, with the direction of a lap.
    """

    aim: AimAngles
    sought: Sought | None
    turn: float | Literal["best"]
    wire: Wire | None
    seat_offset: tuple[float, float]
    in_two: bool | float | Literal["as needed"] = False


def directions_of_side(file: RingFile | CupFile, on: SidePanel) -> SideDirections:
    """Return a job's directions on one side; given for the panel's own side, they are mirrored for the other."""
    toward, turn, wire, offset = file.aim.toward, file.turn, file.wire, file.seat_offset or (0.0, 0.0)
    if on.mirrored:
        toward, offset = None if toward is None else mirror_angle(toward), mirror_point(offset)
        wire = wire.model_copy(update={"at": mirror_angle(wire.at)}) if wire else None
        turn = mirror_angle(turn) if isinstance(turn, float) else turn
    in_two = file.in_two if isinstance(file, RingFile) else False
    if on.mirrored and not isinstance(in_two, bool | str):
        in_two = mirror_angle(in_two)
    return SideDirections(
        AimAngles(file.aim.tilt or 0.0, toward or 0.0), _sought(file, toward), turn, wire, offset, in_two
    )


def _sought(file: RingFile | CupFile, toward: float | None) -> Sought | None:
    """Return what of the aim is to be found, for whom, and how far the seat may be moved for it."""
    aim = file.aim
    if not aim.is_sought:
        return None
    within = STEEPEST if aim.within is None else aim.within
    aside = file.limits.aside if file.seat_offset is None else 0.0
    return Sought(tuple((aim.at or {"this_seat": 1.0}).items()), aim.tilt, toward, within, aside)


def panel_of_side(
    panel: Panel | PinPanel, document: Document, side: Side, library: Library, job: Document
) -> SidePanel:
    """Return the panel for a side of the vehicle, seen from the front.

    Args:
        panel: the panel that the job names.
        document: the file that holds it.
        side: the side wanted.
        library: where another panel is looked up.
        job: the job's file, which asks for the side.
    """
    seen = view_pins_from_front(panel) if isinstance(panel, PinPanel) else view_from_front(panel)
    if side == panel.side:
        return SidePanel(seen, document)
    if panel.other_side is None:
        what = (
            f"the {side} side is asked for, but {panel.name} was measured on the {panel.side} and says nothing of the "
            f"other; give that panel other_side: mirrored, same, or the name of the panel measured there"
        )
        return SidePanel(None, document, problems=(job.problem(("sides",), what),))
    name = panel.other_side.as_
    if name not in ("mirrored", "same"):
        return _measured_panel(name, document, side, library, pins=isinstance(panel, PinPanel))
    if isinstance(seen, PinPanel):
        return SidePanel(mirror_pins(seen, side), document, mirrored=True)
    other = mirror_panel(seen, side) if name == "mirrored" else keep_fixings(seen, side)
    return SidePanel(other, document, mirrored=True)


def _measured_panel(name: str, document: Document, side: Side, library: Library, *, pins: bool) -> SidePanel:
    """Return the panel that was measured on that side."""
    trail = ("other_side",)
    try:
        loaded = library.get("panel", name, document.spot(trail)[0])
    except InputError as error:
        return SidePanel(None, document, problems=tuple(document.problem(trail, p.what) for p in error.problems))
    if loaded.value is None or loaded.document is None:
        return SidePanel(None, document, problems=loaded.problems)
    if isinstance(loaded.value, PinPanel) is not pins:
        other, this = ("an opening", "pins") if pins else ("pins", "an opening")
        what = f"{name} has {other} and this panel has {this}; they are no two sides of one vehicle"
        return SidePanel(None, document, problems=(document.problem(trail, what),))
    if loaded.value.side != side:
        what = f"{name} was measured on the {loaded.value.side}, so it is not the {side} side of this one"
        return SidePanel(None, document, problems=(document.problem(trail, what),))
    there = loaded.value
    seen = view_pins_from_front(there) if isinstance(there, PinPanel) else view_from_front(there)
    return SidePanel(seen, loaded.document, mirrored=True)
