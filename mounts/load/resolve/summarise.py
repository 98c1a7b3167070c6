"""Panels and jobs put in short, from their files."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from mounts.errors import InputError
from mounts.geometry.survey.survey import Matrix
from mounts.identity import thing_idents
from mounts.load.catalogue.panel_summary import PanelSummary, Point
from mounts.load.models.limits import Limits
from mounts.load.models.outline import OutlineSpec
from mounts.load.models.panel import Panel, SurveyedPanel
from mounts.load.models.pins import PinPanel
from mounts.load.models.surroundings import Thing
from mounts.load.parse.document import Document, read
from mounts.load.resolve.drawings import KEY
from mounts.load.resolve.library import Loaded
from mounts.load.resolve.sides import view_from_front, view_pins_from_front

DRAWING = ".dxf"
LIMITS = Limits()  # the defaults, since a panel belongs to no job


def summarise_panel(loaded: Loaded) -> PanelSummary | None:
    """Return the summary of a loaded panel; None where it did not load."""
    panel, document = loaded.value, loaded.document
    if document is None or not isinstance(panel, Panel | PinPanel):
        return None
    if isinstance(panel, PinPanel):
        return _summarise_pins(view_pins_from_front(panel), document)
    return _summarise_fixings(view_from_front(panel), document)


def drawings_beside(document: Document | None) -> tuple[str, ...]:
    """Return the names of the drawings that a profile refers to."""
    if document is None:
        return ()
    return tuple(dict.fromkeys(_files(document.data)))


def _files(data: object) -> Iterator[str]:
    """Yield every text that is the name of a drawing."""
    if isinstance(data, dict):
        if isinstance(data.get(KEY), str):
            yield data[KEY]
        for value in data.values():
            yield from _files(value)
    elif isinstance(data, list):
        for value in data:
            yield from _files(value)
    elif isinstance(data, str) and data.lower().endswith(DRAWING):
        yield data


def summarise_job(file: Path) -> dict[str, Any] | None:
    """Return a job file's panel, speaker and kind, before `based_on`; None where it cannot be read."""
    try:
        data = read(file).data
    except InputError:
        return None
    keys = ("kind", "about", "panel", "speaker", "based_on", "make")
    told = {key: data[key] for key in keys if isinstance(data.get(key), str)}
    sides = data.get("sides")
    return told | ({"sides": sides} if isinstance(sides, list) else {})


def _summarise_fixings(panel: Panel, document: Document) -> PanelSummary:
    behind, front, face = panel.behind, panel.in_front, panel.face
    depths = {"glass": min(behind.glass.at_clock.values())} if behind and behind.glass else {}
    things = behind.things if behind else ()
    idents = thing_idents([thing.what for thing in things])
    fronts = {}
    if front and front.trim:
        fronts["trim"] = min(front.trim.at_clock.values())
    if front and front.grille:
        fronts["grille"] = min(front.grille.at_clock.values())
    told = {"sheet": face.thickness, "lining": face.lining, "bead": face.bead.height if face.bead else None}
    points = panel.fixings.points
    located = _located(panel, document)
    if isinstance(panel, SurveyedPanel):
        spread = panel.survey.covariance(located["sd"], LIMITS.level)
        located |= {"spread": spread, "sd": _shape_sd(tuple(points.values()), spread)}
    return PanelSummary(
        **located,
        pins=False,
        points=points,
        sizes={name: size for name in points if (size := panel.fixings.size(name))},
        heights=panel.fixings.heights,
        opening=_opening(panel.opening, (0.0, 0.0)),
        depths=depths,
        things=tuple(
            (one.label, thing.at, _across(thing), thing.depth) for one, thing in zip(idents, things, strict=True)
        ),
        fronts=fronts,
        told={what: value for what, value in told.items() if value is not None},
    )


def _summarise_pins(panel: PinPanel, document: Document) -> PanelSummary:
    return PanelSummary(
        **_located(panel, document),
        pins=True,
        points=panel.points,
        sizes={name: pin.diameter for name, pin in panel.pins.items()},
        heights={name: pin.height for name, pin in panel.pins.items()},
        opening=_opening(panel.grille, panel.grille.at) if panel.grille else None,
        depths={"the room's end": panel.room},
        things=(),
        fronts={"grille": panel.grille.height} if panel.grille else {},
        told={},
    )


def _shape_sd(points: Sequence[Point], spread: Matrix) -> float:
    """Return one standard deviation of a coordinate, mm, after removing the pattern's rigid motion."""
    import numpy as np  # (few panels are surveyed)

    away = np.array(points) - np.mean(points, axis=0)
    count = len(away)
    turn = np.column_stack([-away[:, 1], away[:, 0]]).ravel()
    rigid = np.column_stack([np.tile([1.0, 0.0], count), np.tile([0.0, 1.0], count), turn])
    basis = np.linalg.qr(rigid)[0]
    left = np.eye(2 * count) - basis @ basis.T
    return float(np.sqrt(np.trace(left @ np.array(spread) @ left) / (2 * count - 3)))


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
        "spread": None,
        "by": panel.measured.by or "",
        "on": panel.measured.on or "",
        "read_with": how if stated else "",
    }


def _across(thing: Thing) -> float:
    return max(thing.size) if isinstance(thing.size, tuple) else thing.size


def _opening(spec: OutlineSpec, at: tuple[float, float]) -> tuple[tuple[float, float], float, float, str]:
    least, across = round(spec.least, 3), round(spec.across, 3)
    shape = spec.shapes[0]
    sizes = f"{across:.4g} x {least:.4g}"
    words = f"round {across:.4g}" if least == across else f"{'traced' if shape == KEY else shape} {sizes}"
    return (at, least, across, words)
