"""Five sizes to take on the finished part with a caliper: what the plan says, and what is still good.

Holes are told as they come out: what the plan draws less what the printer is known to take from a hole. How far a size
may be off is what the printer does (two standard deviations, growing with the size as ISO 286-1's tolerances do), or,
between holes, what their play bears.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot

import numpy as np

from mounts.checks.fastening.joints import places
from mounts.checks.ring.shrink import SHARE
from mounts.design.fasteners import thread_diameter
from mounts.design.fits import Fit, knows_growth, spread
from mounts.geometry.frames import Array, Vector
from mounts.geometry.outline import Outline, Point, grown, polar
from mounts.geometry.ties import most_of
from mounts.kinds.board.values import BoardPlan, FootPlan
from mounts.kinds.cup.values import CupPlan, Stake
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.kinds.spacer.values import Level, SpacerPlan
from mounts.load.models.jobbase import JobBase
from mounts.load.models.resolved import BoardJob, CupJob, FootJob, Job, SpacerJob
from mounts.made import Made
from mounts.shape.primitives import Section

SMALLER = 0.2  # mm: a hole prints smaller by up to this where nobody measured it (print guides)
CUT = 0.5  # mm: how true a sheet is cut by router or saw along a line; common practice, no source


@dataclass(frozen=True, slots=True)
class Check:
    """One size to take.

    Attributes:
        what: the size.
        how: where the caliper's jaws go.
        value: what it should be, mm.
        least, most: what is still good, mm.
        ends: the two places between which it is taken, panel frame.
    """

    what: str
    how: str
    value: float
    least: float
    most: float
    ends: tuple[Vector, Vector]


def caliper_checks(made: Made) -> tuple[Check, ...]:
    """The five sizes of a part."""
    job, plan = made.job, made.plan
    if isinstance(job, Job) and isinstance(plan, RingPlan):
        return tuple(_ring(job, plan))
    if isinstance(job, Job) and isinstance(plan, FlatPlan):
        return tuple(_flat(job, plan))
    if isinstance(job, CupJob) and isinstance(plan, CupPlan):
        return tuple(_cup(job, plan))
    if isinstance(job, BoardJob) and isinstance(plan, BoardPlan):
        return tuple(_board(job, plan))
    if isinstance(job, FootJob) and isinstance(plan, FootPlan):
        return tuple(_foot(job, plan))
    assert isinstance(job, SpacerJob)
    assert isinstance(plan, SpacerPlan)
    return tuple(_spacer(job, plan))


def _ring(job: Job, plan: RingPlan) -> Iterator[Check]:
    seat, growth = plan.seat, job.printer.growth(job.material.name)
    yield _span(job, plan)
    top = plan.tower.outside[-1]
    one, other, width = widest(top.outline)
    across = [_out(top.frame.out((*p, 0.0))) for p in (one, other)]
    rim = "rim" if plan.collar is not None or seat.rim else "seat"
    how = f"outer jaws on the {rim}'s upper edge, inside the broken one"
    yield _plain(job, f"across the {rim}", how, width, (across[0], across[1]))
    low, high = lowest_and_highest(top)
    for word, at in (("low side", low), ("high side", high)):
        how = (
            f"part on a flat plate: from the plate up to the {rim}'s edge where it is "
            f"{'lowest' if word[0] == 'l' else 'highest'}"
        )
        yield _plain(job, word, how, at[2], ((at[0], at[1], 0.0), at))
    one, other, width = widest(seat.bore)
    bore = [_out(seat.frame.out((*p, 0.0))) for p in (one, other)]
    yield _hole(job, "bore", "inner jaws in the bore, just under the seat", width - growth, (bore[0], bore[1]))


def _span(job: Job, plan: RingPlan | FlatPlan) -> Check:
    """The two fixings furthest apart, over the far edges of their holes."""
    around = places(job, plan)
    one, other = most_of(combinations(around, 2), key=lambda pair: _apart(pair[0].at, pair[1].at))
    play = one.hole - thread_diameter(job.fix_to_panel.screw.thread)
    value = _apart(one.at, other.at) + (one.hole + other.hole) / 2
    what, how = f"holes {one.name} to {other.name}", "inner jaws over the far edges of both holes"
    off = SHARE * play
    ends = _over(one.at, other.at, one.hole / 2)
    return Check(what, how, value, value - off, value + off, ((*ends[0], 0.0), (*ends[1], 0.0)))


def _flat(job: Job, plan: FlatPlan) -> Iterator[Check]:
    yield _span(job, plan)
    for what, how, outline in (
        ("outside", "outer jaws where the ring is widest", plan.outline),
        ("bore", "inner jaws in the bore where it is widest", plan.bore),
    ):
        one, other, width = widest(outline)
        yield Check(what, how, width, width - CUT, width + CUT, ((*one, plan.sheet), (*other, plan.sheet)))
    screws = [hole for hole in plan.holes if hole.what.startswith("speaker")]
    if len(screws) > 1:
        a, b = most_of(combinations(screws, 2), key=lambda pair: _apart(pair[0].at, pair[1].at))
        value = _apart(a.at, b.at) + a.diameter
        how = "inner jaws over the far edges of both holes"
        ends = _over(a.at, b.at, a.diameter / 2)
        names = f"{a.what.removeprefix('speaker screw ')} to {b.what.removeprefix('speaker screw ')}"
        yield Check(
            f"speaker holes {names}", how, value, value - CUT, value + CUT,
            ((*ends[0], plan.sheet), (*ends[1], plan.sheet)),
        )  # fmt: skip
    x, y = plan.outline.spans[0].start
    sheet = plan.sheet
    yield Check("sheet", "outer jaws at its edge", sheet, sheet - CUT, sheet + CUT, ((x, y, 0.0), (x, y, sheet)))


def _cup(job: CupJob, plan: CupPlan) -> Iterator[Check]:
    seat, growth = plan.seat, job.printer.growth(job.material.name)
    one, other = most_of(combinations(plan.stakes, 2), key=lambda pair: _apart(pair[0].at, pair[1].at))
    value = _apart(one.at, other.at) + _reach(one, other.at) + _reach(other, one.at) - growth
    off = max(min(stake.gap + stake.way for stake in (one, other)), spread(value, job.printer) / 2)
    ends = _over(one.at, other.at, _reach(one, other.at))
    how = "inner jaws over the far edges of both pin holes"
    yield Check(f"holes {one.name} to {other.name}", how, value, value - off, value + off, (_up(ends[0]), _up(ends[1])))
    a, b, width = widest(seat.room)
    across = [_out(seat.frame.out((*p, 0.0))) for p in (a, b)]
    yield _hole(job, "room for the flange", "inner jaws above the seat", width - growth, (across[0], across[1]))
    low, high = lowest_and_highest(Section(seat.frame, grown(seat.room, -0.5)))
    for word, at in (("seat, deep side", low), ("seat, shallow side", high)):
        how = "depth rod from the plate's front down to the seat, where it is " + (
            "deepest" if at is low else "highest"
        )
        yield _plain(job, word, how, -at[2], (at, (at[0], at[1], 0.0)))
    if seat.press is not None:
        inside = seat.press.inside - growth
        ends3 = [_out(seat.frame.out((x, 0.0, -seat.press.lead))) for x in (-inside / 2, inside / 2)]
        off = min(0.1, spread(inside, job.printer) / 2)
        how = "inner jaws between ribs that face each other; with an odd number, a round bar of this size"
        yield Check("between the ribs' tips", how, inside, inside - off, inside + off, (ends3[0], ends3[1]))
        return
    a, b, width = widest(seat.bore)
    bore = [_out(seat.frame.out((*p, 0.0))) for p in (a, b)]
    yield _hole(job, "bore", "inner jaws in the bore, just behind the seat", width - growth, (bore[0], bore[1]))


def _spacer(job: SpacerJob, plan: SpacerPlan) -> Iterator[Check]:
    outside, bore = plan.outside, plan.bore
    slit = " with the slit at rest" if plan.slit and plan.slit.half is None else ""
    one, other, width = narrowest(outside.wall)
    how = f"outer jaws on the sleeve just behind the face, between ribs{slit}"
    yield _fitted("sleeve outside", how, width, outside.fit, (_up(one), _up(other)))
    one, other, width = narrowest(bore.outline)
    how = f"inner jaws in the bore, between ribs{slit}"
    yield _fitted("bore", how, width - bore.fit.growth, bore.fit, (_up(one, plan.front), _up(other, plan.front)))
    if plan.lip is not None:
        one, other, width = widest(plan.lip.levels[0][1])
        yield _plain(job, "across the lip", "outer jaws where the lip is widest", width, (_up(one), _up(other)))
        thick = plan.lip.thickness
        end = plan.lip.levels[0][1].spans[0].start
        yield _plain(job, "lip", "outer jaws over its thickness", thick, (_up(end), _up(end, plan.front)))
    back = _back(outside.levels).spans[0].start
    long = plan.front - outside.back
    yield _plain(
        job, "whole length", "outer jaws from front to back", long, (_up(back, outside.back), _up(back, plan.front))
    )
    if plan.lip is None:
        thick = plan.wall
        place = outside.wall.spans[0].start
        yield _plain(
            job, "least wall", "outer jaws over the wall where it is thinnest", thick, (_up(place), _up(place))
        )


def _board(job: BoardJob, plan: BoardPlan) -> Iterator[Check]:
    """Outline both ways, thickness, a device's holes."""
    x0, y0, x1, y1 = plan.outline.box
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    size = _cut if job.make == "cut" else _plain
    how = "steel rule or outer jaws, edge to edge through the middle"
    yield size(job, "across", how, x1 - x0, ((x0, y, plan.top), (x1, y, plan.top)))
    yield size(job, "up", how, y1 - y0, ((x, y0, plan.top), (x, y1, plan.top)))
    thick = ((x0, y, plan.bottom), (x0, y, plan.top))
    yield size(job, "thickness", "outer jaws over the edge", plan.thickness, thick)
    first = plan.spots[0]
    last = max(
        (one for one in plan.spots if one.device == first.device),
        key=lambda one: (one.at[0] - first.at[0]) ** 2 + (one.at[1] - first.at[1]) ** 2,
    )
    apart = ((last.at[0] - first.at[0]) ** 2 + (last.at[1] - first.at[1]) ** 2) ** 0.5
    how = "inner jaws over the far edges of both holes"
    ends = ((*first.at, plan.top), (*last.at, plan.top))
    yield size(job, f"holes {first.name} to {last.name}", how, apart + first.hole, ends)
    edge = (polar(first.at, first.hole, 0.0), polar(first.at, first.hole, 180.0))
    at = ((*edge[0], plan.top), (*edge[1], plan.top))
    growth = job.printer.growth(job.material.name) if job.make == "print" else 0.0
    yield _hole(job, f"hole {first.name}", "inner jaws, or a drill's shank", first.hole - growth, at)


def _foot(job: FootJob, plan: FootPlan) -> Iterator[Check]:
    """Diameter, height, hole."""
    one, other, across = widest(plan.levels[1][1])
    half = plan.height / 2
    yield _plain(job, "across", "outer jaws at half its height", across, ((*one, half), (*other, half)))
    tall = ((one[0], 0.0, 0.0), (one[0], 0.0, plan.height))
    yield _plain(job, "height", "outer jaws from end to end", plan.height, tall)
    at = ((-plan.hole / 2, 0.0, plan.height), (plan.hole / 2, 0.0, plan.height))
    growth = job.printer.growth(job.material.name)
    yield _hole(job, "screw hole", "inner jaws, or a drill's shank", plan.hole - growth, at)


def _back(levels: Sequence[Level]) -> Outline:
    return levels[0][1]


def _plain(job: JobBase, what: str, how: str, value: float, ends: tuple[Vector, Vector]) -> Check:
    """A size of the outside, as true as the printer is."""
    off = max(spread(value, job.printer), job.printer.layer)
    return Check(what, how, value, value - off, value + off, ends)


def _cut(job: JobBase, what: str, how: str, value: float, ends: tuple[Vector, Vector]) -> Check:
    """A size of a sheet, as true as it is cut."""
    return Check(what, how, value, value - CUT, value + CUT, ends)


def _hole(job: JobBase, what: str, how: str, value: float, ends: tuple[Vector, Vector]) -> Check:
    """A size of an inside, which comes out smaller where nobody measured by how much."""
    off = spread(value, job.printer)
    less = off if knows_growth(job.printer, job.material.name) else off + SMALLER
    return Check(what, how, value, value - less, value + off, ends)


def _fitted(what: str, how: str, value: float, fit: Fit, ends: tuple[Vector, Vector]) -> Check:
    """A size that a fit hangs on: what the fit was planned to bear."""
    return Check(what, how, value, value - fit.tighter, value + fit.looser, ends)


def lowest_and_highest(section: Section) -> tuple[Vector, Vector]:
    """The lowest and the highest point of a section's outline, panel frame."""
    points = _around(section)
    return _out(points[np.argmin(points[:, 2])]), _out(points[np.argmax(points[:, 2])])


def _around(section: Section) -> Array:
    flat = np.array(section.outline.points(1e-4, least=64))
    return section.frame.out(np.column_stack([flat, np.zeros(len(flat))]))


def widest(outline: Outline) -> tuple[Point, Point, float]:
    """Where an outline is widest along x or y or, for a round one, along x: both ends and the width."""
    return max(_widths(outline), key=lambda found: found[2] - 1e-6 * abs(found[0][1] - found[1][1]))


def narrowest(outline: Outline) -> tuple[Point, Point, float]:
    """Where an outline is narrowest along x or y."""
    return min(_widths(outline), key=lambda found: found[2] + 1e-6 * abs(found[0][1] - found[1][1]))


def _widths(outline: Outline) -> tuple[tuple[Point, Point, float], ...]:
    x0, y0, x1, y1 = outline.box
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    return (((x0, y), (x1, y), x1 - x0), ((x, y0), (x, y1), y1 - y0))


def _reach(stake: Stake, other: Point) -> float:
    """From a pin hole's centre to its far edge, away from another place, mm."""
    away = np.subtract(stake.at, other)
    turn = float(np.degrees(np.arctan2(away[1], away[0])))
    along: float = (stake.at[0] * away[0] + stake.at[1] * away[1]) / hypot(*away)
    return stake.hole.support(turn) - along


def _apart(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


def _over(one: Point, other: Point, by: float) -> tuple[Point, Point]:
    """Both places moved away from each other."""
    long = _apart(one, other)
    ux, uy = (one[0] - other[0]) / long, (one[1] - other[1]) / long
    return (one[0] + ux * by, one[1] + uy * by), (other[0] - ux * by, other[1] - uy * by)


def _out(point: Array) -> Vector:
    x, y, z = (float(value) for value in point)
    return (x, y, z)


def _up(point: Point, z: float = 0.0) -> Vector:
    return (*point, z)
