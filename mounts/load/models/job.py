"""Base of the resolved jobs of every kind, and the values that they share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from mounts.errors import Problem
from mounts.lengths import Units
from mounts.load.models.aim import Seat
from mounts.load.models.fastener import PanelItem, SpeakerItem
from mounts.load.models.hardware import Screw, Washer
from mounts.load.models.limits import Limits
from mounts.load.models.panel import Side
from mounts.load.models.workshop import Material, Printer

Loop = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class SourceLocation:
    """Location of a value: file, 1-based line and column, and its path inside that file."""

    file: Path | None = None
    line: int = 0
    column: int = 0
    path: str = ""


@dataclass(frozen=True, slots=True)
class AimAngles:
    """Speaker axis of one side: tilted by `tilt` degrees from the face's normal towards clock direction `toward`."""

    tilt: float = 0.0
    toward: float = 0.0


@dataclass(frozen=True, slots=True)
class Sought:
    """Search for a seat's pose: what of it is given, and the listeners to face.

    Attributes:
        at: listeners to face, each with its weight.
        tilt, toward: as given; None for what is to be found.
        within: greatest tilt.
        aside: how far the seat may be moved sideways from the opening's centre, mm; 0 where its place is given.
    """

    at: tuple[tuple[Seat, float], ...]
    tilt: float | None
    toward: float | None
    within: float
    aside: float


@dataclass(frozen=True, slots=True)
class PanelFixing:
    """Hardware, screw and washer that fix the mount to the panel.

    Attributes:
        washer: None where none is wanted.
        fine: least clearance hole for the screw, fine in ISO 273.
    """

    hardware: PanelItem
    screw: Screw
    washer: Washer | None
    fine: float


@dataclass(frozen=True, slots=True)
class SpeakerFixing:
    """Hardware and screw that fix the speaker to the mount; `screw` is None for a pilot whose screw no library has."""

    hardware: SpeakerItem
    screw: Screw | None


@dataclass(frozen=True, slots=True)
class Spares:
    """Other things of the library for a mount, tried where the job's own do not do.

    Attributes:
        to_speaker: for the speaker's screw holes, the nearest to the job's own first.
        washers: narrower than the job's, the widest first.
        printers: with larger beds, the smallest first.
    """

    to_speaker: tuple[SpeakerFixing, ...] = ()
    washers: tuple[Washer, ...] = ()
    printers: tuple[Printer, ...] = ()


@dataclass(frozen=True, slots=True)
class Glyph:
    """One character of the shipped font, in em units: x right, y up, baseline at y = 0.

    Attributes:
        advance: width it takes in a line of text.
        loops: closed polygons; what is solid runs counter-clockwise, a hole in it clockwise. Solid loops may
            overlap, as a letter and its cedilla do.
    """

    advance: float
    loops: tuple[Loop, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Job of any kind.

    Attributes:
        name, about: name and description in the job's file.
        file: the job's file.
        digest: first digits of the SHA-256 of that file.
        side: left or right; empty for a part that belongs to no side, a or b for one of two
            halves, foot for the foot under a board.
        kind: kind of mount.
        make: "print", or "cut".
        label: "sunk", "raised", or None for no label.
        glyphs: outlines of every character that a label may need.
        places: where each value stands, by its path such as "panel.fixings.at.A".
        units: in which its lengths are written for a person.
    """

    name: str
    about: str
    file: Path
    side: Side | Literal["", "a", "b", "foot"]
    kind: str
    make: Literal["print", "cut"]
    material: Material
    printer: Printer
    label: Literal["sunk", "raised"] | None
    limits: Limits
    vehicle: str = ""
    date: str = ""
    notes: str = ""
    digest: str = ""
    glyphs: Mapping[str, Glyph] = field(default_factory=dict, repr=False)
    places: Mapping[str, SourceLocation] = field(default_factory=dict, repr=False)
    units: Units = Units.MM

    @property
    def hole_growth(self) -> float:
        """Width that a round hole is drawn wider so that it comes out true on the printer, mm; 0 where it is cut."""
        return self.printer.growth(self.material.name) if self.make == "print" else 0.0

    @property
    def part(self) -> str:
        """Name of its part in files and reports: its side, or nothing."""
        return self.side

    @property
    def pieces(self) -> int:
        """Number of this part that one mount takes."""
        return 1

    def where(self, path: str) -> SourceLocation:
        """Return where the value at a path such as "aim.tilt" or "panel.fixings.at.A" stands.

        A value that was not given stands where the nearest thing that would hold it does.
        """
        held, missing = path, ""
        while held and held not in self.places:
            held, _, last = held.rpartition(".")
            missing = f".{last}{missing}"
        place = self.places.get(held, SourceLocation(self.file))
        return replace(place, path=(place.path + missing).lstrip("."))

    def problem(self, path: str, what: str) -> Problem:
        """Return a problem with the value at a path, with its file and line."""
        place = self.where(path)
        return Problem(what, place.path, place.file, place.line, place.column)
