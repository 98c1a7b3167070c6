"""Sizes and words for a ring's drawings: sizes to take, words on the views, heights in the section."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from math import atan2, degrees

import numpy as np

from mounts.checks.ring.fastening.joints import places
from mounts.checks.ring.findings import SHARE
from mounts.design.drawing import Dimension
from mounts.design.fasteners import thread_diameter
from mounts.geometry.frames import Array, Frame, clock_vector
from mounts.geometry.outline import Box, Outline, Point
from mounts.geometry.ties import most_of
from mounts.identity import Role
from mounts.kinds.review import PlacedText
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.surroundings import round_sheet
from mounts.kinds.ring.values import FlatPlan, Ring, RingPlan
from mounts.load.parse.units import format_clock
from mounts.papers.caliper import CUT, as_vector, edge_of, extend, hole_size, lowest_and_highest, outside_size, widest
from mounts.papers.values import Check, Sign
from mounts.papers.wording import distance
from mounts.shape.recipe import Envelope


def ring_calipers(job: RingJob, plan: RingPlan) -> Iterator[Check]:
    """Yield the five sizes to take on a printed ring; of a half those that it shows by itself."""
    for check in _whole_calipers(job, plan):
        if all(on_half(job, plan, end) for end in check.ends):
            yield check


def joined_calipers(job: RingJob, plan: RingPlan) -> Iterator[Check]:
    """Yield the sizes that only a ring shows whose halves are joined."""
    halves = [replace(job, half=half) for half in ("a", "b")]
    for check in _whole_calipers(replace(job, half=""), plan):
        if not any(all(on_half(one, plan, end) for end in check.ends) for one in halves):
            yield check


def on_half(job: RingJob, plan: Ring, at: Sequence[float] | Array) -> bool:
    """Return whether a place lies on the half that a job makes; true of any place on a whole ring."""
    if not job.half or plan.split is None:
        return True
    first, second = (lap.angle for lap in plan.split.laps)
    of_b = (degrees(atan2(at[1], at[0])) - first) % 360.0 < (second - first) % 360.0
    return of_b == (job.half == "b")


def _whole_calipers(job: RingJob, plan: RingPlan) -> Iterator[Check]:
    seat, growth = plan.seat, job.printer.growth(job.material.name)
    yield from _span(job, plan)
    top = plan.tower.outside[-1]
    one, other, width = widest(top.outline)
    across = [as_vector(top.frame.out((*p, 0.0))) for p in (one, other)]
    rim = "rim" if plan.collar is not None or seat.rim else "seat"
    how = f"outer jaws on the {rim}'s upper edge, inside the broken one"
    yield outside_size(job, f"across the {rim}", how, width, (across[0], across[1]), sign=Sign.OUTSIDE)
    low, high = lowest_and_highest(top)
    for word, at in (("low side", low), ("high side", high)):
        how = (
            f"part on a flat plate: from the plate up to the {rim}'s edge where it is "
            f"{'lowest' if at is low else 'highest'}"
        )
        sign = Sign.LAYER if at is low else None
        yield outside_size(job, word, how, at[2], ((at[0], at[1], 0.0), at), sign=sign)
    one, other, width = widest(seat.bore)
    bore = [as_vector(seat.frame.out((*p, 0.0))) for p in (one, other)]
    yield hole_size(
        job, "bore", "inner jaws in the bore, just under the seat", width - growth, (bore[0], bore[1]), sign=Sign.HOLES
    )


def flat_calipers(job: RingJob, plan: FlatPlan) -> Iterator[Check]:
    """Yield the five sizes to take on a ring cut from sheet."""
    yield from _span(job, plan)
    for what, how, outline in (
        ("outside", "outer jaws where the ring is widest", plan.outline),
        ("bore", "inner jaws in the bore where it is widest", plan.bore),
    ):
        one, other, width = widest(outline)
        yield Check(what, how, width, width - CUT, width + CUT, ((*one, plan.sheet), (*other, plan.sheet)))
    screws = [hole for hole in plan.holes if hole.ident.role is Role.SCREW]
    if len(screws) > 1:
        a, b = most_of(combinations(screws, 2), key=lambda pair: distance(pair[0].at, pair[1].at))
        value = distance(a.at, b.at) + a.diameter
        how = "inner jaws over the far edges of both holes"
        ends = extend(a.at, b.at, a.diameter / 2)
        yield Check(
            f"speaker holes {a.ident.name} to {b.ident.name}", how, value, value - CUT, value + CUT,
            ((*ends[0], plan.sheet), (*ends[1], plan.sheet)),
        )  # fmt: skip
    x, y = plan.outline.spans[0].start
    sheet = plan.sheet
    yield Check("sheet", "outer jaws at its edge", sheet, sheet - CUT, sheet + CUT, ((x, y, 0.0), (x, y, sheet)))


def _span(job: RingJob, plan: Ring) -> Iterator[Check]:
    """Yield the distance of the two fixings furthest apart, over the far edges of their holes; of a half its own."""
    around = [one for one in places(job, plan) if on_half(job, plan, one.at)]
    if len(around) < len("ab"):
        return
    one, other = most_of(combinations(around, 2), key=lambda pair: distance(pair[0].at, pair[1].at))
    play = one.hole - thread_diameter(job.fix_to_panel.screw.thread)
    value = distance(one.at, other.at) + (one.hole + other.hole) / 2 - job.hole_growth
    what, how = f"holes {one.name} to {other.name}", "inner jaws over the far edges of both holes"
    off = SHARE * play
    ends = extend(one.at, other.at, one.hole / 2)
    yield Check(what, how, value, value - off, value + off, ((*ends[0], 0.0), (*ends[1], 0.0)), Sign.SCALE)


def panel_fixings(job: RingJob) -> Mapping[str, Point]:
    """Return the panel's fixings by name."""
    return job.panel.fixings.points


def ring_front(job: RingJob, plan: RingPlan) -> Iterator[PlacedText]:
    """Yield the words on the view of a printed ring from the cabin."""
    yield from _fixing_holes(job, plan)
    yield from _speaker_holes(job, plan)
    yield _own_twelve(plan.seat)


def flat_front(job: RingJob, plan: FlatPlan) -> Iterator[PlacedText]:
    """Yield the words on the view of a ring cut from sheet from the cabin."""
    for role, many in ((Role.HOLE, "panel screws"), (Role.SCREW, "speaker's screws")):
        held = [hole for hole in plan.holes if hole.ident.role is role]
        if held:
            yield (
                edge_of(held[0].at, held[0].diameter),
                f"{len(held)} × ⌀ {job.units(held[0].diameter, 1)} for the {many}",
            )
    yield _own_twelve(plan.seat)


def ring_back(job: RingJob, plan: RingPlan) -> Iterator[PlacedText]:
    """Yield the words on the view of a printed ring from behind: what is cut into its back."""
    recessed = [f for f in plan.fixings if f.recess and on_half(job, plan, f.at)]
    if recessed and recessed[0].recess is not None:
        room = recessed[0].recess
        size = f"⌀ {job.units(room.diameter, 1)}, {job.units(room.depth, 1)} deep"
        yield edge_of(recessed[0].at, room.diameter), f"{len(recessed)} recesses {size}, over the hardware's flanges"
    if plan.base.seal is not None:
        seal = plan.base.seal
        x, y = _leftmost(seal.outside)
        yield (x + 1.0, y), f"gasket groove {job.units(seal.depth, 1)} deep"
    for step in plan.base.steps:
        at = next(f.at for f in plan.fixings if f.name == step.name)
        yield at, f"step {job.units(step.height, 1)} at {step.name}"


def _own_twelve(seat: RingSeat) -> PlacedText:
    """Return where the speaker's own 12:00 comes to lie on the seat's edge, with its words."""
    hx, hy = clock_vector(seat.turn)
    reach = seat.outline.support(90.0 - seat.turn) - seat.edge
    at = seat.frame.out((hx * reach, hy * reach, 0.0))
    return (
        float(at[0]),
        float(at[1]),
    ), f"speaker's own 12:00 here, at about {format_clock(round(seat.turn / 2.5) * 2.5)}"


def _fixing_holes(job: RingJob, plan: RingPlan) -> Iterator[PlacedText]:
    held = [fixing for fixing in plan.fixings if on_half(job, plan, fixing.at)]
    if held:
        yield edge_of(held[0].at, held[0].hole), f"{len(held)} × ⌀ {job.units(held[0].hole, 1)} for the panel screws"


def _speaker_holes(job: RingJob, plan: RingPlan) -> Iterator[PlacedText]:
    screws, fix = plan.seat.screws, job.fix_speaker
    held = [at for screw in screws if on_half(job, plan, at := plan.seat.frame.out((*screw.at, 0.0)))]
    if not held or fix is None:
        return
    deep = "through" if screws[0].nut else f"{job.units(screws[0].depth, 1)} deep"
    x, y, _ = (float(value) for value in held[-1])
    yield (x, y), f"{len(held)} × ⌀ {job.units(screws[0].hole, 1)}, {deep}, for {fix.hardware.holds}"


def _leftmost(outline: Outline) -> Point:
    return min(outline.points(0.05), key=lambda p: p[0])


def round_flat(job: RingJob, plan: FlatPlan) -> tuple[Envelope, ...]:
    """Return the envelopes that a section shows round a ring cut from sheet."""
    return round_sheet(job, plan.seat)


def ring_heights(
    job: RingJob, plan: RingPlan, frame: Frame, own: Box, numbered: Mapping[str, str]
) -> Iterator[Dimension]:
    """Yield the heights over the face in a section of a printed ring."""
    low, high = (frame.into(p) for p in lowest_and_highest(plan.tower.outside[-1]))
    for (u, v), row, what in ((low[:2], 1, "low side"), (high[:2], -1, "high side")):
        if what in numbered:
            yield Dimension((float(u), 0.0), (float(u), float(v)), "v", row, numbered[what])
    yield Dimension((own[2], 0.0), (own[2], plan.base.thickness), "v", 2, job.units(plan.base.thickness, 1))
    yield from _depth(job, plan.seat)


def flat_heights(
    job: RingJob, plan: FlatPlan, frame: Frame, own: Box, numbered: Mapping[str, str]
) -> Iterator[Dimension]:
    """Yield the heights over the face in a section of a ring cut from sheet."""
    yield Dimension((own[2], 0.0), (own[2], plan.sheet), "v", 1, numbered["sheet"])
    yield from _depth(job, plan.seat)


def _depth(job: RingJob, seat: RingSeat) -> Iterator[Dimension]:
    """Yield how deep the speaker's rear lies behind the face on its axis."""
    x = seat.lift - job.speaker.depth
    rear = seat.frame.out((0.0, 0.0, x))
    u = float(np.hypot(rear[0] - seat.frame.origin[0], rear[1] - seat.frame.origin[1]))
    yield Dimension((-u, float(rear[2])), (-u, 0.0), "v", -2, f"{job.units(-float(rear[2]), 1)}")
