"""Caliper readings of a panel's file, as the solver takes them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from mounts.geometry.outline import Outline
from mounts.geometry.survey.readings import HoleDistance, LevelReading, OpeningDistance, Over, Readings
from mounts.geometry.survey.survey import SurveyError
from mounts.lengths import Units
from mounts.load.models.fixings import Fixings

OVER: Mapping[str, Over] = {"inside edges": -1, "centres": 0, "outside edges": 1}


def readings_of(fixings: Fixings, opening: Outline, units: Units = Units.MM) -> Readings:
    """Return the readings between holes and to the opening, as the solver takes them.

    Raises:
        Unsolved: if readings over edges lack the holes' sizes.
    """
    distances = fixings.distances
    assert distances is not None
    names, level = distances.names, distances.level
    index = {name: k for k, name in enumerate(names)}
    own = [name for name in names if name in fixings.holes]
    ways: tuple[Literal["edge", "vertical", "horizontal"], ...] = ("edge", "vertical", "horizontal")
    to = [
        OpeningDistance(index[name], way, read)
        for name, found in distances.to_opening.items()
        for way in ways
        if (read := getattr(found, way)) is not None
    ]
    return Readings(
        names=names,
        order=tuple(index[name] for name in fixings.clockwise),
        sizes=(fixings.hole or _size_for_nothing(fixings, own), *(fixings.holes[name] for name in own)),
        size_of=tuple(1 + own.index(name) if name in own else 0 for name in names),
        over=OVER[distances.between],
        between=tuple(HoleDistance(index[one], index[two], read) for (one, two), read in distances.pairs.items()),
        to_opening=tuple(to),
        level=LevelReading(index[level[0]], index[level[1]], level[2]) if level else None,
        opening=opening,
        units=units,
    )


def _size_for_nothing(fixings: Fixings, own: list[str]) -> float:
    """Return a placeholder diameter where no reading runs over an edge; raise SurveyError where one does."""
    distances = fixings.distances
    assert distances is not None
    over_edges = distances.between != "centres" or any(to.edge is not None for to in distances.to_opening.values())
    if over_edges and len(own) < len(distances.names):
        raise SurveyError("readings over edges need the holes' diameter; give hole, such as hole: 7.0", "hole")
    return 1.0
