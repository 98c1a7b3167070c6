"""Crush ribs: their places round an outline, and a bore's outline with ribs in it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import acos, atan2, degrees, hypot, sqrt

from mounts.errors import InputError
from mounts.geometry.outline import SMALL, Arc, Line, Outline, Point, Span, polar_point
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.values import Rib, Slit

LONG, SHORT = 12.0, 4.0  # mm: a side this long has two ribs, one this long has one
CLOSE = 4.0  # times a rib's back: a side this long has two ribs where there would be too few
BEND = 100.0  # degrees of an arc to a rib
BESIDE = 1.0  # mm from a rib's back to a slit
SUNK = 0.3  # mm that a rib's lower end lies under the wall's surface


@dataclass(frozen=True, slots=True)
class RibLayout:
    """Layout of the ribs on the sleeve's wall.

    Attributes:
        name: name of each rib, before its number.
        inward: whether they press inward, on a device, or outward, on a panel.
        apart: distance of the wall from what is pressed, mm, as drawn.
        growth: mm on the diameter that a hole is drawn wider by, or an outside narrower.
        bottom, top: heights of the ribs' ends.
        lead: length of the slope at the bottom.
    """

    name: str
    inward: bool
    apart: float
    growth: float
    bottom: float
    top: float
    lead: float


def ribs_on(job: SpacerJob, pressed: Outline, slit: Slit | None, how: RibLayout) -> tuple[Rib, ...]:
    """Place ribs round an outline that they press on, clear of a slit.

    Raises:
        InputError: where fewer than three find room, or two on a half.
    """
    fits, needed = job.fits, 2 if slit and slit.half else 3
    places: list[tuple[Point, float]] = []
    for long in (LONG, CLOSE * fits.rib_across):
        if len(places) < needed:
            found = _places(pressed, fits.ribs, slit, long)
            places = [place for place in found if _is_clear(place[0], slit, fits.rib_across)]
    if len(places) < needed:
        what = f"crush ribs find room at {len(places)} places of the outline; {needed} are needed: hold it by its wall"
        raise InputError(job.problem(f"fit.{'device' if how.inward else 'panel'}", what))
    sunk = fits.rib + how.apart + SUNK
    ribs = []
    for number, (at, normal) in enumerate(places, 1):
        angle = (normal + 180 * how.inward) % 360
        centre = polar_point(at, 2 * fits.rib - how.growth - fits.rib_across, angle)
        name = f"{how.name} {number}"
        ribs.append(Rib(name, at, angle, fits.rib_across, fits.rib, centre, how.bottom, how.top, how.lead, sunk))
    return tuple(ribs)


def add_ribs(outline: Outline, ribs: tuple[Rib, ...]) -> Outline:
    """Return a bore's outline with ribs standing in it: it follows a rib's back where that lies inside.

    Raises:
        ValueError: if a rib stands on no span by itself.
    """
    spans = list(outline.spans)
    if outline.is_circle and ribs:
        first = _angle(outline.arcs[0].centre, ribs[0].centre)
        spans = [replace(outline.arcs[0], begin=first - 180 / len(ribs))]
    for rib in ribs:
        spans = _broken(spans, rib)
    return Outline(tuple(spans))


def _places(outline: Outline, around: int, slit: Slit | None, long: float) -> list[tuple[Point, float]]:
    """Return places on an outline with their outward normals, degrees; evenly about a slit on a circle."""
    if outline.is_circle:
        arc = outline.arcs[0]
        count = around + around % 2 if slit and slit.half else around  # as many on each half
        start = 90.0 - slit.clock if slit else 90.0
        turns = [start + 360 * (k + 0.5) / count for k in range(count)]
        return [(polar_point(arc.centre, arc.diameter, turn), turn) for turn in turns]
    found: list[tuple[Point, float]] = []
    for span in outline.spans:
        if isinstance(span, Line):
            count = 2 if span.length >= long else 1 if span.length >= SHORT else 0
            normal = _angle(span.start, span.end) - 90
            found += [(span.at((k + 0.5) / count), normal) for k in range(count)]
        elif span.length >= SHORT:
            count = int(span.sweep / BEND)
            found += [(span.at((k + 0.5) / count), span.begin + span.sweep * (k + 0.5) / count) for k in range(count)]
    return found


def _is_clear(at: Point, slit: Slit | None, across: float) -> bool:
    """Return whether a rib at a place is clear of the slit, and on this half."""
    return slit is None or slit.outline.depth(at) < -(across / 2 + BESIDE)


def _broken(spans: list[Span], rib: Rib) -> list[Span]:
    """Return the spans, with the one that a rib stands on interrupted by the rib's arc."""
    for k, span in enumerate(spans):
        cut = _covered(span, rib)
        if cut is not None:
            before, after = _part(span, 0.0, cut[0]), _part(span, cut[1], 1.0)
            begin = _angle(rib.centre, before.end)
            sweep = -((begin - _angle(rib.centre, after.start)) % 360)
            return [*spans[:k], before, Arc(rib.centre, rib.diameter, begin, sweep), after, *spans[k + 1 :]]
    raise ValueError(f"{rib.name} stands on no side of the bore by itself")


def _covered(span: Span, rib: Rib) -> tuple[float, float] | None:
    """Return the fractions of a span between which a rib's circle covers it; None unless both lie within it."""
    (x, y), half = rib.centre, rib.diameter / 2
    if isinstance(span, Line):
        if span.length < SMALL:
            return None
        (x0, y0), (x1, y1) = span.start, span.end
        along = ((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / span.length
        away = ((x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)) / span.length
        reach = sqrt(max(0.0, half**2 - away**2))
        low, high = (along - reach) / span.length, (along + reach) / span.length
    else:
        radius, out = span.diameter / 2, hypot(x - span.centre[0], y - span.centre[1])
        cosine = (radius**2 + out**2 - half**2) / (2 * radius * out) if min(radius, out) > SMALL else 2.0
        if abs(cosine) >= 1 or span.sweep < 0:
            return None
        middle, reach = (_angle(span.centre, rib.centre) - span.begin) % 360, degrees(acos(cosine))
        low, high = (middle - reach) / span.sweep, (middle + reach) / span.sweep
    return (low, high) if 0 < low < high < 1 else None


def _part(span: Span, low: float, high: float) -> Span:
    if isinstance(span, Line):
        return Line(span.at(low), span.at(high))
    return Arc(span.centre, span.diameter, span.begin + low * span.sweep, (high - low) * span.sweep)


def _angle(centre: Point, point: Point) -> float:
    return degrees(atan2(point[1] - centre[1], point[0] - centre[0]))
