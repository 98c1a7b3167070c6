"""Intersections of two spans: where they cross, touch, or begin and end to run along each other."""

from __future__ import annotations

from math import atan2, degrees, hypot

from mounts.geometry.outline import SMALL, Arc, Line, Point, Span

TOUCH = 1e-7  # mm: spans that come this near touch


def span_intersections(span: Span, rival: Span) -> list[float]:
    """Return the fractions along `span`, ends excluded, at which it meets the line or circle of `rival`, or its start.

    The start counts because two spans on one line or circle part company at their ends only.

    >>> span_intersections(Line((0.0, 0.0), (4.0, 0.0)), Line((1.0, -1.0), (1.0, 1.0)))
    [0.25]
    """
    if isinstance(span, Line):
        if span.length < SMALL:
            return []
        found = [_line_fraction(span, point) for point in _points_on_line(span, rival)]
    else:
        found = [_arc_fraction(span, point) for point in _points_on_arc(span, rival)]
    return [fraction for fraction in found if 0 < fraction < 1]


def _points_on_line(line: Line, rival: Span) -> list[Point]:
    """Return the points of a line at which a span's line or circle meets it, and the span's start if it lies there."""
    ux, uy = _direction(line)
    dx, dy = rival.start[0] - line.start[0], rival.start[1] - line.start[1]
    found = [rival.start] if abs(dx * uy - dy * ux) < TOUCH else []
    if isinstance(rival, Arc):
        return found + _line_circle(line, rival.centre, rival.diameter)
    if rival.length < SMALL:
        return found
    bx, by = _direction(rival)
    cross = ux * by - uy * bx
    if abs(cross) < 1e-12:
        return found
    t = (dx * by - dy * bx) / cross
    return [*found, (line.start[0] + t * ux, line.start[1] + t * uy)]


def _points_on_arc(arc: Arc, rival: Span) -> list[Point]:
    """Return the points of an arc's circle at which a span's line or circle meets it, and its start if there."""
    x, y = rival.start
    found = [(x, y)] if abs(hypot(x - arc.centre[0], y - arc.centre[1]) - arc.diameter / 2) < TOUCH else []
    if isinstance(rival, Arc):
        return found + _circle_circle(arc.centre, arc.diameter, rival.centre, rival.diameter)
    return found + (_line_circle(rival, arc.centre, arc.diameter) if rival.length >= SMALL else [])


def _direction(line: Line) -> Point:
    """Return the unit vector along a line."""
    return ((line.end[0] - line.start[0]) / line.length, (line.end[1] - line.start[1]) / line.length)


def _line_fraction(line: Line, point: Point) -> float:
    """Return the fraction along a line at which a point lies."""
    ux, uy = _direction(line)
    return ((point[0] - line.start[0]) * ux + (point[1] - line.start[1]) * uy) / line.length


def _arc_fraction(arc: Arc, point: Point) -> float:
    """Return the fraction along an arc at which a point lies."""
    turn = degrees(atan2(point[1] - arc.centre[1], point[0] - arc.centre[0]))
    return (turn - arc.begin) % 360 / arc.sweep if arc.sweep else 0.0


def _line_circle(line: Line, centre: Point, diameter: float) -> list[Point]:
    """Return the two points in which a line meets a circle, none where it passes by."""
    ux, uy = _direction(line)
    dx, dy = centre[0] - line.start[0], centre[1] - line.start[1]
    along, off = dx * ux + dy * uy, abs(dx * uy - dy * ux)
    if off > diameter / 2 + TOUCH:
        return []
    half = max(0.0, diameter**2 / 4 - off**2) ** 0.5
    return [(line.start[0] + t * ux, line.start[1] + t * uy) for t in (along - half, along + half)]


def _circle_circle(c1: Point, d1: float, c2: Point, d2: float) -> list[Point]:
    """Return the two points in which two circles meet, none where they do not or share their centre."""
    apart = hypot(c2[0] - c1[0], c2[1] - c1[1])
    if apart < SMALL or not abs(d1 - d2) / 2 - TOUCH < apart < (d1 + d2) / 2 + TOUCH:
        return []
    along = (apart**2 + d1**2 / 4 - d2**2 / 4) / (2 * apart)
    off = max(0.0, d1**2 / 4 - along**2) ** 0.5
    ux, uy = (c2[0] - c1[0]) / apart, (c2[1] - c1[1]) / apart
    return [(c1[0] + along * ux - s * uy, c1[1] + along * uy + s * ux) for s in (off, -off)]
