"""Round outlines with ribs and lugs that stand inward."""

from __future__ import annotations

from math import acos, degrees

from mounts.geometry.outline import Arc, Line, Outline, Span, polar_point


def ribbed_bore(bore: float, inside: float, ribs: int, tip: float, first: float = 90.0) -> Outline:
    """Return the outline of a bore with round-tipped ribs.

    Args:
        bore: diameter between the ribs.
        inside: diameter that the tips leave free.
        ribs: their number.
        tip: diameter of each tip, whose circle crosses the bore.
        first: direction of the first rib, degrees counter-clockwise from x.
    """
    away = inside / 2 + tip / 2  # of a tip's centre from the axis
    half = degrees(acos((away**2 + bore**2 / 4 - tip**2 / 4) / (away * bore)))  # of a rib, seen from the axis
    own = degrees(acos((away**2 + tip**2 / 4 - bore**2 / 4) / (away * tip)))  # of its arc, seen from its own centre
    spans: list[Span] = []
    for k in range(ribs):
        turn = first + 360 * k / ribs
        centre = polar_point((0.0, 0.0), 2 * away, turn)
        spans.append(Arc(centre, tip, turn + 180 + own, -2 * own))
        spans.append(Arc((0.0, 0.0), bore, turn + half, 360 / ribs - 2 * half))
    return Outline(tuple(spans))


def lugged_room(outside: float, inside: float, lugs: int, width: float, first: float = 30.0) -> Outline:
    """Return the outline of a round room with lugs `width` degrees wide that leave a smaller circle free."""
    spans: list[Span] = []
    for k in range(lugs):
        turn = first + 360 * k / lugs
        lug = Arc((0.0, 0.0), inside, turn - width / 2, width)
        gap = Arc((0.0, 0.0), outside, turn + width / 2, 360 / lugs - width)
        after = polar_point((0.0, 0.0), inside, turn + 360 / lugs - width / 2)
        spans += [lug, Line(lug.end, gap.start), gap, Line(gap.end, after)]
    return Outline(tuple(spans))
