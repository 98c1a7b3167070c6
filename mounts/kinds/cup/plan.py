"""Plan of a cup from its job; what fails here cannot be drawn, and the message says what could.

Lettering of the cup, on the plate's front where it finds room; once staked it is out of sight.

Fillet behind the plate, where the hub's side meets the flare that carries the plate.

Both lean, each by the angle that its direction needs. The fillet is the arc tangent to both where they meet most
sharply. All round, its sections are mixed from the same three outlines in the same shares, so that it is tangent
everywhere and gentler where they meet less sharply. Where hub and flare turn away from each other there is none.

        plate ▄▄▄▄▄▄▄▄▄▄
        flare ▀▀▀█████        high
                  ▀███▌       arc
                    ██▌       low
          hub       ██▌

Template of the plate at 1:1, to be held against the pins.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import acos, ceil, cos, sin, sqrt, tan

import numpy as np

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke, centre_lines, inward
from mounts.design.lettering import SIZES, Label, Lettering, first_free, on_plane, slug
from mounts.design.measured_planes import things_standing
from mounts.findings.report import Pose
from mounts.geometry.distance import support_values
from mounts.geometry.hull import hull, match_spans
from mounts.geometry.outline import Outline, circle, convex_outline, offset_outline
from mounts.geometry.ties import first_most
from mounts.kinds.cup.body import (
    EDGE,
    back_depth,
    back_for,
    bottom_of,
    cup_levels,
    notch_for,
    plate_thickness,
    refuse_too_deep,
    seat_extent,
)
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.seat import seat_for
from mounts.kinds.cup.stakes import pin_heads, pin_pattern, refuse_line, stakes
from mounts.kinds.cup.values import MOUTH, CupLevel, CupPlan, CupSeat, Fillet, Stake, on_axis
from mounts.kinds.cup.walls import CupBody, cup_walls, refuse_broken
from mounts.kinds.cup.way import choose_way
from mounts.lengths import Units

DEPTH = 0.4  # mm: two layers
ALONG = 9  # places along a text's box where it is asked what lies beside it
BESIDE = 2.1  # mm from a letter's place to what is cut: what lettering must leave, and a little
TO_EDGE = 1.5  # mm from a letter's place to the plate's edge
SAG = 0.015  # mm at most from a chord to the arc
KEPT = 0.1  # mm of hub and of flare that stay as they are
TURNS = np.arange(0.0, 360.0, 0.5)  # degrees, the directions in which hub and flare are compared


def labels_for(
    job: CupJob, outline: Outline, seat: CupSeat, stakes: Sequence[Stake], taken: Outline
) -> tuple[Label, ...]:
    """Name and side as large as they go, else the side's letter, else nothing."""
    if job.label is None:
        return ()
    how = Lettering(job.glyphs, False, DEPTH)
    side = job.side.upper()
    for text in (f"{job.name} {side}", side, side[:1]):
        found = _on_front(how, text, outline, [taken, *(s.hole for s in stakes)])
        if found is not None:
            return (found,)
    return ()


def _on_front(how: Lettering, text: str, outline: Outline, taken: Sequence[Outline]) -> Label | None:
    inner = offset_outline(outline, -TO_EDGE)
    x0, y0, x1, y1 = inner.box
    grid = np.stack(np.meshgrid(np.arange(x0, x1), np.arange(y1, y0, -1.0)), axis=-1).reshape(-1, 2)
    cuts = [(other, BESIDE) for other in taken]
    for cap in SIZES:
        middle = first_free(grid, (how.width(text, cap), how.height(text, cap)), (inner, 0.0), cuts, ALONG)
        if middle is not None:
            return on_plane(how, text, cap, middle, 0.0)
    return None


def add_fillet(levels: Sequence[CupLevel], wanted: float, least: float) -> tuple[tuple[CupLevel, ...], Fillet]:
    """Return the outside with a fillet in place of the level where hub and flare meet, and the fillet.

    Args:
        levels: from the back: chamfer, hub's end, waist, plate and what lies before it, matched span to span.
        wanted: radius, mm; it becomes less where hub and flare are not long enough for it.
        least: height in mm that a fillet must have to be worth it, such as a layer.
    """
    _, low, waist, high, *_ = levels
    lean, flare = _sharpest(low, waist, high)
    half = (flare - lean) / 2
    reach = min((waist.z - low.z - KEPT) / cos(lean), (high.z - waist.z - KEPT) / cos(flare))
    if half <= 0 or reach <= 0 or wanted <= 0:
        return tuple(levels), Fillet(0.0, waist.z, waist.z)
    radius = min(wanted, reach / tan(half))
    length = radius * tan(half)
    fillet = Fillet(radius, waist.z - length * cos(lean), waist.z + length * cos(flare))
    if fillet.high - fillet.low < least:
        return tuple(levels), Fillet(0.0, waist.z, waist.z)
    rounded = [*levels[:2], *_sections(low, waist, high, radius, (lean, flare)), *levels[3:]]
    outlines = match_spans(*(level.outline for level in rounded))
    return tuple(replace(level, outline=o) for level, o in zip(rounded, outlines, strict=True)), fillet


def _sharpest(low: CupLevel, waist: CupLevel, high: CupLevel) -> tuple[float, float]:
    """Return the angles of hub and flare from upright, radians, in the direction where they differ most."""
    lean, flare = (
        np.arctan((support_values(above.outline, TURNS) - support_values(below.outline, TURNS)) / (above.z - below.z))
        for below, above in ((low, waist), (waist, high))
    )
    most = first_most(flare - lean)
    return float(lean[most]), float(flare[most])


def _sections(
    low: CupLevel, waist: CupLevel, high: CupLevel, radius: float, leans: tuple[float, float]
) -> Iterator[CupLevel]:
    """Yield the outlines at the ends of the arc's chords, none of them inside hub or flare."""
    lean, flare = leans
    steps = ceil((flare - lean) / (2 * acos(1 - SAG / radius))) if radius > SAG else 1
    hub, plate = waist.z - low.z, high.z - waist.z
    _, middle = _centre(radius, leans)
    for k in range(steps + 1):
        turn = lean + (flare - lean) * k / steps
        z = middle + radius * sin(turn)
        bare = (-z / hub, 1 + z / hub, 0.0) if z < 0 else (0.0, 1 - z / plate, z / plate)
        outlines = (low.outline, waist.outline, high.outline)
        outside = _mixed(outlines, bare)
        if 0 < k < steps:
            more = _more(z, radius, leans)
            shares = (bare[0] + more / hub, bare[1] - more / hub - more / plate, bare[2] + more / plate)
            outside = hull([outside, _mixed(outlines, shares)])
        yield CupLevel(waist.z + z, outside)


def _centre(radius: float, leans: tuple[float, float]) -> tuple[float, float]:
    """Return the arc's centre relative to where hub and flare meet: how far out from the hub, and how far above."""
    lean, flare = leans
    length = radius * tan((flare - lean) / 2)
    return (radius * cos(lean) - length * sin(lean), -radius * sin(lean) - length * cos(lean))


def _more(z: float, radius: float, leans: tuple[float, float]) -> float:
    """Return how far the arc stands out at a height over the waist, per unit difference of the slopes."""
    lean, flare = leans
    out, middle = _centre(radius, leans)
    arc = out - sqrt(radius**2 - (z - middle) ** 2)
    return (arc - z * tan(lean)) / (tan(flare) - tan(lean)) - max(z, 0.0)


def _mixed(outlines: Sequence[Outline], shares: Sequence[float]) -> Outline:
    """Return the outline between matched ones, as a weighted Minkowski sum with shares that sum to 1."""
    arcs = []
    for these in zip(*(outline.arcs for outline in outlines), strict=True):
        parts = list(zip(these, shares, strict=True))
        x, y = (sum(share * arc.centre[i] for arc, share in parts) for i in (0, 1))
        across = max(0.0, sum(share * arc.diameter for arc, share in parts))
        arcs.append(replace(these[0], centre=(x, y), diameter=across))
    return convex_outline(arcs)


def draw_template(job: CupJob, outline: Outline, seat: CupSeat, stakes: Sequence[Stake]) -> Drawing:
    """Draw the template of the plate: outline, holes, grille, tweeter, seen from the cabin."""
    strokes = [Stroke(outline, Layer.CUT, "plate")]
    strokes += [Stroke(s.hole, Layer.CUT, f"hole {s.name}") for s in stakes]
    strokes += [Stroke(circle(s.head.diameter, s.at), Layer.REF, f"head {s.name}") for s in stakes]
    at = (seat.frame.origin[0], seat.frame.origin[1])
    strokes.append(Stroke(seat.flange.moved(*at), Layer.REF, "flange"))
    grille = job.panel.grille
    if grille is not None:
        strokes.append(Stroke(grille.outline().moved(*grille.at), Layer.REF, "grille"))
    strokes += [Stroke(thing.outline(), Layer.REF, one.label) for one, thing in things_standing(job.panel)]
    captions = [
        f"{job.panel.name}, {job.side} side, seen from the cabin: hold it behind the face",
        *(
            f"pin {s.name}: cut {job.units(s.cut, 1)} off, so that {job.units(s.protrudes, 1)} stands behind the plate"
            for s in stakes
            if s.cut > 0
        ),
        *(_head_line(s, job.units) for s in stakes),
    ]
    top = outline.support(90.0)
    return Drawing(
        title=f"{job.name}, {job.side}",
        captions=tuple(captions),
        items=(
            *strokes,
            centre_lines(outline.box),
            *(Cross(s.at) for s in stakes),
            Note("12:00", (0.0, top + 4.0), 3.0, on_paper=True),
            *(Note(s.name, inward(s.at, s.head.diameter / 2 + 3.0), 3.0) for s in stakes),
        ),
    )


def _head_line(s: Stake, units: Units) -> str:
    return (
        f"pin {s.name}, {s.role}: {s.head.form} head {units(s.head.diameter, 1)} across, {units(s.head.height, 1)} high"
    )


def plan_cup(job: CupJob) -> CupPlan:
    """Plan a cup.

    Raises:
        InputError: for what cannot be drawn, with the nearest that can.
    """
    refuse_line(job)
    seats = pin_heads(job)
    held = pin_pattern(job, seats)
    seat = seat_for(job, seats)
    thickness = plate_thickness(seats)
    bottom = bottom_of(job, seat)
    depth = back_depth(job, seat, thickness, bottom)
    refuse_too_deep(job, seat, depth)
    pins = stakes(job, seats, held, on_axis(seat.frame, -depth))
    bare = cup_levels(job, seat, pins, thickness, depth)
    outside, fillet = add_fillet(bare, job.limits.fillet, job.printer.layer)
    back = back_for(job, seat, bottom, depth)
    outline = outside[-2].outline
    room = seat_extent(seat, seat.room)
    taken = hull([circle(room, on_axis(seat.frame, 0.0)), circle(room, on_axis(seat.frame, -1.0))])
    walls = cup_walls(job, CupBody(seat, pins, outside, fillet, depth, back))
    refuse_broken(job, walls)
    return CupPlan(
        name=slug(f"{job.name}-{job.side}"),
        side=job.side,
        stakes=pins,
        thickness=thickness,
        edge=EDGE,
        mouth=MOUTH,
        seat=seat,
        way=choose_way(job, seat),
        levels=outside,
        fillet=fillet,
        depth=depth,
        back=back,
        wire=notch_for(job, seat, depth),
        labels=labels_for(job, outline, seat, pins, taken),
        walls=walls,
        genus=1 + len(pins) + (back is not None and back.wire is not None),  # the bore or a vent, and what is beside it
        paper=draw_template(job, outline, seat, pins),
    )


def cup_pose(plan: CupPlan) -> Pose:
    """Return the print pose: as it hangs behind the panel, lifted by its depth so that its back is on the bed."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, plan.depth), (0.0, 0.0, 0.0, 1.0))
