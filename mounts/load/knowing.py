"""Panels and jobs put in short, from their files."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from mounts.errors import InputError
from mounts.load.drawn import KEY, drawn
from mounts.load.known import Known
from mounts.load.library import Loaded
from mounts.load.models.limits import Limits
from mounts.load.models.outline import OutlineSpec
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.read import Document, read
from mounts.load.sides import from_front, pins_from_front

LIMITS = Limits()  # the defaults, since a panel belongs to no job


def known_of(loaded: Loaded) -> Known | None:
    """A loaded panel in short; None where it did not load."""
    panel, document = loaded.value, loaded.document
    if document is None or not isinstance(panel, Panel | PinPanel):
        return None
    if isinstance(panel, PinPanel):
        return _of_pins(pins_from_front(panel), document)
    return _of(from_front(panel), document)


def names_beside(document: Document | None) -> tuple[str, ...]:
    """Names of the other files that a profile is read from."""
    if document is None:
        return ()
    found = []
    for trail in drawn(document):
        holder: Any = document.data
        for part in trail:
            holder = holder[part]
        found.append(str(holder[KEY]))
    return tuple(dict.fromkeys(found))


def job_tree(file: Path) -> dict[str, Any] | None:
    """What a job's own file says of panel, speaker and kind, before `based_on`; None where it cannot be read."""
    try:
        data = read(file).data
    except InputError:
        return None
    keys = ("kind", "about", "panel", "speaker", "based_on", "make")
    told = {key: data[key] for key in keys if isinstance(data.get(key), str)}
    sides = data.get("sides")
    return told | ({"sides": sides} if isinstance(sides, list) else {})


def _of(panel: Panel, document: Document) -> Known:
    behind, front, face = panel.behind, panel.in_front, panel.face
    depths = {"glass": min(behind.glass.at_clock.values())} if behind and behind.glass else {}
    depths |= {thing.what: thing.depth for thing in (behind.things if behind else ())}
    fronts = {}
    if front and front.trim:
        fronts["trim"] = min(front.trim.at_clock.values())
    if front and front.grille:
        fronts["grille"] = min(front.grille.at_clock.values())
    told = {"sheet": face.thickness, "lining": face.lining, "bead": face.bead.height if face.bead else None}
    points = panel.fixings.points
    return Known(
        **_located(panel, document),
        pins=False,
        points=points,
        sizes=dict.fromkeys(points, panel.fixings.hole) if panel.fixings.hole else {},
        heights=panel.fixings.heights,
        opening=_opening(panel.opening, (0.0, 0.0)),
        depths=depths,
        fronts=fronts,
        told={what: value for what, value in told.items() if value is not None},
    )


def _of_pins(panel: PinPanel, document: Document) -> Known:
    return Known(
        **_located(panel, document),
        pins=True,
        points=panel.points,
        sizes={name: pin.diameter for name, pin in panel.pins.items()},
        heights={name: pin.height for name, pin in panel.pins.items()},
        opening=_opening(panel.grille, panel.grille.at) if panel.grille else None,
        depths={"the room's end": panel.room},
        fronts={"grille": panel.grille.height} if panel.grille else {},
        told={},
    )


def _located(panel: Panel | PinPanel, document: Document) -> dict[str, Any]:
    given = document.data.get("read_with")
    stated = isinstance(given, dict) and "holes" in given
    read_with, sd = panel.read_with.holes, LIMITS.uncertainty(panel.read_with.holes)
    how = f"to {sd:g} by {read_with}" if isinstance(read_with, str) else f"to {sd:g}"
    return {
        "name": panel.name,
        "about": panel.about,
        "side": panel.side,
        "other_side": panel.other_side.as_ if panel.other_side else "",
        "place": panel.place or "",
        "sd": sd,
        "by": panel.measured.by or "",
        "on": panel.measured.on or "",
        "read_with": how if stated else "",
    }


def _opening(spec: OutlineSpec, at: tuple[float, float]) -> tuple[tuple[float, float], float, float, str]:
    least, across = round(spec.least, 3), round(spec.across, 3)
    shape = spec.shapes[0]
    words = f"round {across:g}" if least == across else f"{'traced' if shape == KEY else shape} {across:g} x {least:g}"
    return (at, least, across, words)
