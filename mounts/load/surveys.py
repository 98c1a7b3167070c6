"""Panels whose pattern was not given as points: what was read becomes points, once, so that all after sees only those."""

from __future__ import annotations

from typing import Any

from mounts.errors import Problem
from mounts.geometry.survey.survey import Survey, Unsolved
from mounts.load.models.fixings import Fixings
from mounts.load.models.limits import Limits
from mounts.load.models.panel import Panel
from mounts.load.models.surveyed import SurveyedPanel
from mounts.load.read import Document


def to_survey(panel: Panel) -> bool:
    """Whether something of a panel's pattern must still be solved, read or fitted."""
    fixings, opening = panel.fixings, panel.opening
    return any(
        part is not None for part in (fixings.distances, fixings.trace, fixings.rims, opening.trace, opening.points)
    )


def surveyed(panel: Panel, document: Document) -> tuple[Panel, list[Problem]]:
    """The panel with its fixings as points, and why they cannot be told from what was read."""
    distances = panel.fixings.distances
    if distances is None:
        return panel, []
    try:
        return _with(panel, _by_distances(panel)), []
    except Unsolved as unsolved:
        return panel, [document.problem(("fixings", *unsolved.at), str(unsolved))]


def _with(panel: Panel, survey: Survey, **changes: Any) -> SurveyedPanel:
    """The panel with what a survey gave."""
    points = dict(zip(survey.names, survey.at, strict=True))
    fixings = panel.fixings.model_copy(update={"at": points})
    return SurveyedPanel.model_construct(**{**dict(panel), "fixings": fixings, "survey": survey, **changes})


def _by_distances(panel: Panel) -> Survey:
    from mounts.geometry.survey.solve import solved  # noqa: PLC0415 (numpy, which most panels do not need)

    limits = Limits()
    return solved(readings_of(panel), limits.uncertainty(panel.read_with.holes), limits.level)


def readings_of(panel: Panel) -> Any:
    """What was read between the holes of a panel, and to its opening, as the solver takes it."""
    from mounts.geometry.survey.readings import Between, Level, Readings, ToOpening  # noqa: PLC0415

    fixings, distances = panel.fixings, panel.fixings.distances
    assert distances is not None
    names = distances.names
    index = {name: k for k, name in enumerate(names)}
    own = [name for name in names if name in fixings.holes]
    to = [
        ToOpening(index[name], way, read)
        for name, found in distances.to_opening.items()
        for way in ("edge", "vertical", "horizontal")
        if (read := getattr(found, way)) is not None
    ]
    level = distances.level
    return Readings(
        names=names,
        order=tuple(index[name] for name in fixings.clockwise),
        sizes=(fixings.hole or _size_for_nothing(fixings, own), *(fixings.holes[name] for name in own)),
        size_of=tuple(1 + own.index(name) if name in own else 0 for name in names),
        over={"inside edges": -1, "centres": 0, "outside edges": 1}[distances.between],
        between=tuple(Between(*(index[end] for end in pair), read) for pair, read in distances.pairs.items()),
        to_opening=tuple(to),
        level=Level(index[level[0]], index[level[1]], level[2]) if level else None,
        opening=panel.opening.outline(),
    )


def _size_for_nothing(fixings: Fixings, own: list[str]) -> float:
    """A size for holes over whose edges nothing was read; where something was, it is missing."""
    distances = fixings.distances
    assert distances is not None
    over_edges = distances.between != "centres" or any(to.edge is not None for to in distances.to_opening.values())
    if over_edges and len(own) < len(distances.names):
        raise Unsolved("readings over edges need the holes' diameter; give hole, such as hole: 7.0", "hole")
    return 1.0
