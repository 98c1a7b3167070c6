"""A panel's hole pattern described: where each hole is, how well that is known, and whether it is a bolt circle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke
from mounts.geometry.outline import Outline, circle, polygon
from mounts.geometry.survey.regular import BoltCircleFit, fit_bolt_circle
from mounts.geometry.survey.survey import Ellipse, Survey, confidence_scale, unadjusted_survey
from mounts.lengths import Units
from mounts.load.models.limits import Limits
from mounts.load.models.panel import Panel, SurveyedPanel
from mounts.load.models.pins import PinPanel

SURE = 0.95  # of the ellipse that is drawn at 1:1
UNKNOWN = 6.0  # mm: a hole is drawn this large when its diameter was not measured


@dataclass(frozen=True, slots=True)
class HolePattern:
    """A panel's pattern, seen from the cabin, in the panel frame.

    Attributes:
        panel: whose it is.
        way: how it was given: at, bolt_circle, distances, trace, points or pins.
        instrument: what it was read with, and its standard deviation in mm.
        survey: places, errors and checks.
        sizes: diameter of each hole or pin; None where it was not measured.
        opening: None of pins without a grille.
        ellipses: the 1-σ ellipse of each.
        ring: the regular bolt circle nearest to it; None of two holes, and of pins.
        units: in which its lengths are written.
    """

    panel: Panel | PinPanel
    way: str
    instrument: tuple[str, float]
    survey: Survey
    sizes: Mapping[str, float | None]
    opening: Outline | None
    ellipses: Mapping[str, Ellipse]
    ring: BoltCircleFit | None
    units: Units = Units.MM

    @property
    def worst_sd(self) -> float:
        """The greatest standard deviation of any hole in any direction, mm."""
        return max(ellipse.sd for ellipse in self.ellipses.values())


def describe_pattern(panel: Panel | PinPanel, units: Units = Units.MM) -> HolePattern:
    """Return the pattern of a loaded panel that is seen from the front, with the default errors of its instrument."""
    limits = Limits()
    read_with = panel.read_with.holes
    sd = limits.uncertainty(read_with)
    points = panel.points if isinstance(panel, PinPanel) else panel.fixings.points
    survey = panel.survey if isinstance(panel, SurveyedPanel) else unadjusted_survey(points)
    covariance = np.array(survey.covariance(sd, limits.level))
    return HolePattern(
        panel=panel,
        way="pins" if isinstance(panel, PinPanel) else panel.fixings.given_key,
        instrument=(read_with if isinstance(read_with, str) else "an instrument of your own", sd),
        survey=survey,
        sizes=_sizes(panel),
        opening=_opening(panel),
        ellipses=survey.ellipses(sd, limits.level),
        ring=fit_bolt_circle(survey.at, covariance) if len(survey.at) > 2 and isinstance(panel, Panel) else None,
        units=units,
    )


def _opening(panel: Panel | PinPanel) -> Outline | None:
    if isinstance(panel, Panel):
        return panel.opening.outline()
    return panel.grille.outline().moved(*panel.grille.at) if panel.grille else None


def _sizes(panel: Panel | PinPanel) -> dict[str, float | None]:
    if isinstance(panel, PinPanel):
        return {name: pin.diameter for name, pin in panel.pins.items()}
    return {name: panel.fixings.size(name) for name in panel.fixings.points}


def pattern_drawing(pattern: HolePattern) -> Drawing:
    """Return the pattern at 1:1, to be held against the panel: opening, holes, and where their centres may lie."""
    panel, places = pattern.panel, dict(zip(pattern.survey.names, pattern.survey.at, strict=True))
    strokes = [Stroke(pattern.opening, Layer.CUT, "opening")] if pattern.opening else []
    for name, at in places.items():
        strokes.append(Stroke(circle(pattern.sizes[name] or UNKNOWN, at), Layer.CUT, f"hole {name}"))
        strokes.append(Stroke(error_ellipse(pattern.ellipses[name]).moved(*at), Layer.ENGRAVE, f"error {name}"))
    captions = [
        f"{panel.side} side, seen from the cabin; lay it on the face: every hole must show through its circle",
        f"thin oval: in {100 * SURE:.0f} of 100 cases the centre lies inside, as read with {_read_with(pattern)}",
        *([f"measured by {panel.measured.by or '?'}, {panel.measured.on or 'no date'}"] if panel.measured.by else []),
    ]
    top = pattern.opening.box[3] if pattern.opening else max(y for _, y in places.values())
    return Drawing(
        title=f"{panel.name}: hole pattern",
        captions=tuple(captions),
        items=(
            *strokes,
            Cross((0.0, 0.0), 12.0),
            *(Cross(at, 5.0) for at in places.values()),
            Note("12:00", (0.0, top - 7.0), 4.0, on_paper=True),
            *(Note(name, (x + (pattern.sizes[name] or UNKNOWN) / 2 + 5.0, y), 4.0) for name, (x, y) in places.items()),
        ),
    )


def _read_with(pattern: HolePattern) -> str:
    name, sd = pattern.instrument
    return f"{name} (± {pattern.units.figure(sd)}{pattern.units.sign})"


def error_ellipse(ellipse: Ellipse, share: float = SURE, times: float = 1.0) -> Outline:
    """Return the ellipse that holds the centre with a probability, about the origin, as an oval of two widths."""
    grown = confidence_scale(share) * times
    return oval(max(ellipse.long * grown, 0.2), max(ellipse.short * grown, 0.1), ellipse.turn)


def oval(long: float, short: float, turn: float) -> Outline:
    """Return an ellipse of given axes about the origin, its long one turned counter-clockwise from +x, as a polygon."""
    turns = np.linspace(0.0, 2 * np.pi, 48, endpoint=False)
    points = np.column_stack([long / 2 * np.cos(turns), short / 2 * np.sin(turns)])
    return polygon([(float(x), float(y)) for x, y in points]).turned(turn)
