"""Panels whose pattern was not given as points: what was read becomes points, once, and all after sees only those."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from mounts.errors import InputError, Problem
from mounts.geometry.fitting.values import RimFit
from mounts.geometry.outline import Outline, Point
from mounts.geometry.survey.survey import OPENING, Matrix, Survey, SurveyError, unadjusted_survey
from mounts.lengths import Units
from mounts.load.models.fixings import Fixings
from mounts.load.models.limits import Limits
from mounts.load.models.outline import Opening, Trace
from mounts.load.models.panel import Panel, SurveyedPanel
from mounts.load.parse.document import Document, Trail
from mounts.load.parse.typed_units import find_units
from mounts.load.parse.units import quote_value

if TYPE_CHECKING:
    from mounts.geometry.survey.readings import Over, Readings
    from mounts.load.resolve.trace import TracedDrawing, TracedLoop

ResultT = TypeVar("ResultT")
OVER: Mapping[str, Over] = {"inside edges": -1, "centres": 0, "outside edges": 1}
STRAIGHT = 0.2  # degrees by which an oblong may be turned and still be taken for straight
NEAR = 1.0  # mm by which a rim's circle may differ from the hole's diameter as read


def needs_survey(panel: Panel) -> bool:
    """Return whether something of a panel's pattern must still be solved, read or fitted."""
    fixings, opening = panel.fixings, panel.opening
    ways = (fixings.distances, fixings.trace, fixings.rims, opening.trace, opening.points)
    return any(way is not None for way in ways)


def survey_panel(panel: Panel, document: Document) -> tuple[Panel, list[Problem]]:
    """Return the panel with fixings as points and its opening as an outline, or the problems that prevent it."""
    if not needs_survey(panel):
        return panel, []
    try:
        return _Survey(panel, document).panel(), []
    except SurveyError as unsolved:
        return panel, [document.problem(unsolved.at, str(unsolved))]
    except InputError as error:
        return panel, list(error.problems)


class _Survey:
    """One panel on its way from what was read to points: the opening first, since its centre is the origin."""

    def __init__(self, panel: Panel, document: Document) -> None:
        self.given, self.document = panel, document
        self.sd = Limits().uncertainty(panel.read_with.holes)
        self.rims: dict[str, RimFit] = {}

    def panel(self) -> SurveyedPanel:
        """Return the panel with its fixings as points."""
        traced = self._traced(self.given.opening.trace, ("opening", "trace"))
        opening, origin = self._opening(traced)
        fixings = self.given.fixings
        changes: dict[str, Any] = {}
        if fixings.distances is not None:
            survey = self._by_distances(opening)
        elif fixings.trace is not None:
            survey, changes = self._by_trace(opening, origin, traced)
        elif fixings.rims is not None:
            survey, changes = self._by_rims(origin)
        else:
            survey = unadjusted_survey(fixings.points)
        survey = replace(survey, rims=tuple(self.rims.items()))
        points = dict(zip(survey.names, survey.at, strict=True))
        fixings = fixings.model_copy(update={"at": points, **changes})
        told = {**dict(self.given), "fixings": fixings, "opening": opening, "survey": survey}
        return SurveyedPanel.model_construct(**told)

    def _opening(self, traced: TracedLoop | None) -> tuple[Opening, Point]:
        """Return the opening about its own centre, and that centre in the frame of the tracing or the readings."""
        given = self.given.opening
        if traced is not None:
            outline = traced.outline
            update = {"round": traced.diameter} if traced.diameter else {"drawn": outline}
            return given.model_copy(update=update), traced.centre
        if given.points is None:
            return given, (0.0, 0.0)
        fit = self._fit("opening", given.points, ("opening", "points"), given.shape)
        self.rims[OPENING] = fit
        return given.model_copy(update=_shape(fit, self._smooth)), fit.centre

    def _by_distances(self, opening: Opening) -> Survey:
        from mounts.geometry.survey.solve import solve_survey  # (numpy, which most panels do not need)
        from mounts.load.resolve.slips import find_reading_slips

        def solve(readings: Readings) -> Survey:
            return solve_survey(readings, self.sd, Limits().level)

        readings: Readings | None = None
        try:
            readings = readings_of(self.given.fixings, opening.outline(), find_units(self.document, self.given))
            return solve(readings)
        except SurveyError as unsolved:
            for slip, where, other in find_reading_slips(readings, opening) if readings else ():
                with suppress(SurveyError):
                    if solve(other).disagreement is None:
                        raise InputError(self.document.problem(where, f"{slip}; else {unsolved}")) from unsolved
            raise SurveyError(str(unsolved), "fixings", *unsolved.at) from unsolved

    def _by_trace(self, opening: Opening, origin: Point, traced: TracedLoop | None) -> tuple[Survey, dict[str, Any]]:
        from mounts.load.resolve.trace import find_holes, name_holes

        fixings = self.given.fixings
        trace, at = fixings.trace, ("fixings", "trace")
        assert trace is not None
        drawn = self._drawn(trace, at)
        own = self.given.opening.trace
        if own is None or own.file != trace.file:
            traced = self._opening_beside(drawn, opening)
            origin = traced.centre if traced else (0.0, 0.0)
        holes = self._run_at(at, lambda: find_holes(drawn, trace, fixings.hole, traced))
        sizes = [hole.diameter or 0.0 for hole in holes]
        told = {} if fixings.hole else {"hole": round(sum(sizes) / len(sizes), 2)}
        points = name_holes(holes, origin)
        self._refuse_strays({"heights": fixings.heights, "holes": fixings.holes}, points)
        return unadjusted_survey(points), told

    def _opening_beside(self, drawn: TracedDrawing, opening: Opening) -> TracedLoop | None:
        """Return the outline of the opening in the fixings' drawing, whose centre becomes the origin; None if none."""
        x0, y0, x1, y1 = opening.outline().box
        alike = []
        for loop in drawn.loops:
            a, b, c, d = loop.outline.box
            if abs((c - a) - (x1 - x0)) < 3 * NEAR and abs((d - b) - (y1 - y0)) < 3 * NEAR:
                alike.append(loop)
        if len(alike) > 1:
            what = f"{drawn.file} holds {len(alike)} outlines of the opening's size; say which: opening: {{trace: …}}"
            raise InputError(self.document.problem(("fixings", "trace"), what))
        return alike[0] if alike else None

    def _by_rims(self, origin: Point) -> tuple[Survey, dict[str, Any]]:
        fixings = self.given.fixings
        assert fixings.rims is not None
        fits = {name: self._fit(name, rim, ("fixings", "points", name), "circle") for name, rim in fixings.rims.items()}
        self.rims.update(fits)
        for name, fit in fits.items():
            if (told := fixings.size(name)) and abs(fit.sizes[0] - told) > max(NEAR, 4 * fit.size_sd * self.sd):
                units = find_units(self.document, self.given)
                what = f"the points of {name} lie on a circle of {units(fit.sizes[0], 1)}"
                what = f"{what}, but its hole is {units(told)}; read them again"
                raise InputError(self.document.problem(("fixings", "points", name), what))
        sizes = [fit.sizes[0] for fit in fits.values()]
        told_size = {} if fixings.hole else {"hole": round(sum(sizes) / len(sizes), 2)}
        at = {name: (fit.centre[0] - origin[0], fit.centre[1] - origin[1]) for name, fit in fits.items()}
        common = self.rims[OPENING].spread if OPENING in self.rims else (0.0, 0.0, 0.0)
        return unadjusted_survey(at, _spread([fit.spread for fit in fits.values()], common)), told_size

    def _traced(self, trace: Trace | None, trail: Trail) -> TracedLoop | None:
        if trace is None:
            return None
        from mounts.load.resolve.trace import find_opening

        drawn = self._drawn(trace, trail)
        return self._run_at(trail, lambda: find_opening(drawn, trace))

    def _drawn(self, trace: Trace, trail: Trail) -> TracedDrawing:
        from mounts.load.resolve.drawings import find_beside
        from mounts.load.resolve.trace import read_trace

        path, units = partial(find_beside, str(trace.file), self.document, trail), find_units(self.document, self.given)
        return self._run_at(trail, lambda: read_trace(path(), trace, units))

    def _run_at(self, trail: Trail, work: Callable[[], ResultT]) -> ResultT:
        """Return the result of `work`; raise its problems at the key that asked for it."""
        try:
            return work()
        except InputError as error:
            raise InputError(*(self.document.problem(trail, problem.what) for problem in error.problems)) from error

    def _fit(self, name: str, rim: tuple[Point, ...], trail: Trail, shape: Any) -> RimFit:
        import numpy as np

        from mounts.geometry.fitting.rim import fit_rim

        try:
            return fit_rim(np.array(rim), self.sd, shape)
        except ValueError as error:
            raise InputError(self.document.problem(trail, f"{name}: {error}")) from error

    def _smooth(self, outline: Outline) -> Outline:
        """Return a fitted curve as arcs and lines."""
        from mounts.load.formats.dxf import convex_within

        return self._run_at(("opening", "points"), lambda: convex_within(outline, 0.05, quote_value("points")))

    def _refuse_strays(self, told: Mapping[str, Mapping[str, float]], points: Mapping[str, Point]) -> None:
        """Raise InputError for heights or sizes of fixings that are not in the drawing."""
        for key, values in told.items():
            for name in values:
                if name not in points:
                    what = f'"{name}" is no fixing; the drawing gives {", ".join(points)}, clockwise from 12:00'
                    raise InputError(self.document.problem(("fixings", key, name), what, key=True))


def _shape(fit: RimFit, smooth: Any) -> dict[str, Any]:
    """Return the keys of a fitted opening: the shape that a person would have given, or an outline."""
    if fit.shape == "circle":
        return {"round": fit.sizes[0]}
    if fit.shape == "oblong" and abs(abs(fit.turn) - 90.0) < STRAIGHT:
        return {"oblong": fit.sizes[::-1]}
    if fit.shape in ("oblong", "rectangle") and abs(fit.turn) < STRAIGHT:
        return {fit.shape: fit.sizes}
    return {"drawn": smooth(fit.outline) if fit.shape == "outline" else fit.outline}


def _spread(own: list[tuple[float, float, float]], common: tuple[float, float, float]) -> Matrix:
    """Return the covariance of points, (2n, 2n) mm²: each its own, and all that of their common origin."""

    def block(spread: tuple[float, float, float], i: int, j: int) -> float:
        return spread[1] if i % 2 != j % 2 else spread[0] if i % 2 == 0 else spread[2]

    count = 2 * len(own)
    return tuple(
        tuple(block(common, i, j) + (block(own[i // 2], i, j) if i // 2 == j // 2 else 0.0) for j in range(count))
        for i in range(count)
    )


def readings_of(fixings: Fixings, opening: Outline, units: Units = Units.MM) -> Readings:
    """Return the readings between holes and to the opening, as the solver takes them.

    Raises:
        SurveyError: if readings over edges lack the holes' sizes.
    """
    from mounts.geometry.survey.readings import HoleDistance, LevelReading, OpeningDistance, Readings

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
