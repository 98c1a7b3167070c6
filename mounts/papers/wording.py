"""Readings, sizes and directions in a person's words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot, isfinite

from mounts.findings.report import Finding
from mounts.findings.wording import decisive
from mounts.geometry.outline import Outline, Point
from mounts.lengths import Units

# what a reading is called at the door; a path that is not here is told as it is
READINGS = {
    "panel.in_front.trim": "height from the face to the trim's underside",
    "panel.in_front.trim.opening": "size of the trim's opening",
    "panel.in_front.grille": "height from the face to the grille's underside",
    "panel.behind.glass": "depth from the face to the window glass, down, half and up",
    "panel.behind.things": "what else is behind the opening: rails, beams, locks, cables",
    "panel.fixings.hole": "diameter of the panel's holes",
    "panel.face.thickness": "thickness of the sheet",
    "panel.place": "where in the vehicle it is: door, dash, shelf …",
    "panel.grille": "the grille's aperture and the depth before it",
    "panel.standing": "ribs and stops beside the pins",
    "panel.ears": "distances to the listener's ears",
    "speaker.body": "diameters of the speaker's body",
    "speaker.terminals": "where the speaker's terminals are, with their plugs on",
    "speaker.front": "height of the speaker's front, and its travel",
    "speaker.piston": "diameter of the moving cone",
    "speaker.mass": "weight of the speaker",
    "port.panel": "thickness of the panel round the opening",
    "port.room": "free depth behind the face",
    "port.place": "where in the vehicle it is",
    "device.length": "length of the device",
    "device.plug_force": "force of plugging in",
    "device.pull_force": "force of pulling out",
    "device.cable": "thickness of the cable",
}


def describe_reading(path: str) -> str:
    """Return a reading's path in words."""
    return READINGS.get(path, path)


def join_words(words: Iterable[str]) -> str:
    """Return "a, b and c"."""
    found = list(words)
    return " and ".join(filter(None, (", ".join(found[:-1]), found[-1]))) if found else ""


def size_text(outline: Outline, units: Units) -> str:
    """Return an outline's size: its diameter, or width and height."""
    x0, y0, x1, y1 = outline.box
    wide, high = units(x1 - x0, 1), units(y1 - y0, 1)
    return f"⌀ {wide}" if outline.is_circle else f"{wide} × {high}"


def given_size_text(outline: Outline, units: Units) -> str:
    """Return the size as it was given, with no more digits than it has."""
    x0, y0, x1, y1 = outline.box
    return f"⌀ {units(x1 - x0)}" if outline.is_circle else f"{units(x1 - x0)} × {units(y1 - y0)}"


def distance(one: Point, other: Point) -> float:
    """Return the distance from one place to another, mm."""
    return hypot(one[0] - other[0], one[1] - other[1])


def least_certain(findings: Sequence[Finding]) -> Finding | None:
    """Return finding that rests on a reading and could most easily be otherwise; None without any."""

    def sure(finding: Finding) -> float:
        value = decisive(finding)
        if (
            finding.unit != "mm"
            or value is None
            or finding.limit is None
            or not finding.margin_sd
            or not isfinite(value)
        ):
            return float("inf")
        return abs(value - finding.limit) / finding.margin_sd

    told = [finding for finding in findings if sure(finding) < 3.0]
    return min(told, key=sure, default=None)
