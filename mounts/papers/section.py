"""A mount cut along the speaker's axis among the things round it, as a view.

The plane stands upright on the panel and holds the axis; u runs along the face to the side that the speaker looks to,
where the seat is low, v towards the cabin.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import radians, tan
from typing import Literal

import numpy as np

from mounts.design.drawing import (
    AXIS,
    EDGE,
    PHANTOM,
    THIN,
    Area,
    Callout,
    Dimension,
    Drawing,
    Fill,
    Ink,
    Item,
    Pen,
    PenLine,
)
from mounts.findings.report import Finding, Verdict
from mounts.findings.wording import decisive
from mounts.geometry.frames import Frame, Vector
from mounts.geometry.outline import Box, Polyline, bound_points, closed, crossings, ray_end
from mounts.geometry.ties import least_of
from mounts.identity import MOUNT, OPENING, REAR_FACE, TWEETER, Ident, Role
from mounts.kernels.sections import PLATES, Cut, SceneSection, clip_loops, cut_scene, part_loops, upright_frame
from mounts.lengths import Units
from mounts.load.parse.units import format_clock
from mounts.made import Made
from mounts.papers.caliper import caliper_checks

BESIDE, BEYOND = 8.0, 5.0  # mm shown of the panel beside the mount; of glass and grille beyond their near side
INSIDE = 1.5  # mm inside a thing's outline, where a line from the margin ends
DEEP = 60.0  # mm of a thing behind that are shown beyond the mount
AXIS_ENDS = 3  # places that the axis is drawn through
FAR = 45.0  # mm behind or before everything else at which glass, trim or grille are still shown
HATCHED = Fill(Ink.PAPER, EDGE, 1.8, 0.15)  # the mount
BLACK, DARK, PALE = (Fill(ink, Pen(0.22)) for ink in (Ink.BLACK, Ink.SILVER, Ink.MIST))
FILLS = {
    **dict.fromkeys((Role.BODY, Role.FLANGE, Role.FRONT, Role.TERMINAL, Role.DEVICE), PALE),
    **dict.fromkeys((Role.TRIM, Role.GRILLE, Role.FLOOR, Role.GLASS, Role.END), DARK),
    Role.SHEET: BLACK,
}  # other things are outlines alone
NAMES = {OPENING: "sheet", REAR_FACE: "panel"}
UNNAMED = (Role.FLANGE, Role.FRONT, Role.CONE, Role.HARDWARE, Role.HEAD, Role.SPEAKER_HEAD)  # their places say enough


def section_view(made: Made, ear: tuple[Vector, str] | None = None) -> Drawing:
    """Return the part and what is round it, cut along the speaker's axis.

    Args:
        made: the part.
        ear: direction from the seat's centre to the listener's ear in the panel frame, and its caption; None where it
            is not known.
    """
    plane, title = _plane(made)
    section = cut_made(made, plane)
    box = _window(section)
    filled = [cut for cut in section.things if cut.ident.role in FILLS]
    areas = [Area(clip_loops(cut.loops, box), FILLS[cut.ident.role], cut.ident.label) for cut in filled]
    outlined = [loop for cut in section.things if cut.ident.role not in FILLS for loop in cut.loops]
    outlined = [loop for loop in outlined if min(v for _, v in loop) < box[3] and max(v for _, v in loop) > box[1]]
    axis = tuple(point for point in _axis(made, box) if box[0] <= point[0] <= box[2])
    axis = axis if len(axis) == AXIS_ENDS else ()
    items: list[Item] = [Area(section.part.loops, HATCHED, "mount"), *(area for area in areas if area.loops)]
    items += [PenLine(closed(loop), PHANTOM) for loop in outlined]
    items += [PenLine(axis, AXIS)] if axis else []
    items += [PenLine(((box[0], 0.0), (box[2], 0.0)), THIN)]
    callouts = [*_callouts(section.things, made.report.findings, box, made.job.units), *_axis_callout(made, axis)]
    if ear is not None and axis:
        x, y, _ = np.asarray(ear[0]) @ plane.axes
        end = ray_end(axis[1], (float(x), float(y)), box)
        items.append(PenLine((axis[1], end), PHANTOM))
        callouts.append(Callout(end, ear[1], 1 if end[0] > 0 else -1))
    sizes = _sizes(made, plane, section.part.box)
    return Drawing(title, (*items, *sizes, *callouts), box=box).inside()


def cut_made(made: Made, plane: Frame) -> SceneSection:
    """Return the section of a built part and of the surroundings that its kind shows."""
    papers = made.kind.review().papers
    envelopes = papers.around(made.job, made.plan) if papers.around else made.scene.envelopes
    return cut_scene(Cut(MOUNT, part_loops(made.part, plane)), envelopes, plane, BESIDE, DEEP)


def _plane(made: Made) -> tuple[Frame, str]:
    """Return the plane's frame and what to call it."""
    seat, clock = made.seat, made.kind.review().papers.cut_at(made.plan)
    origin = (0.0, 0.0) if seat is None else (seat.frame.origin[0], seat.frame.origin[1])
    if seat is not None and seat.tilt:
        clock = seat.toward
    there, back = format_clock(clock), format_clock(clock + 180)
    what = "speaker's axis" if seat is not None else "middle"
    return (
        upright_frame(origin, clock),
        f"Cut along the {what}: {back} at the left, {there} at the right, cabin above",
    )


def _window(section: SceneSection) -> Box:
    """Return what is shown: all that is near, and of glass, trim and grille a strip where they are near enough."""
    own = section.part.box
    near = [p for cut in section.things if cut.ident.role not in PLATES for loop in cut.loops for p in loop]
    _, low, _, high = bound_points([point for point in near if own[1] - 150 < point[1] < own[3] + 100], own)
    v0, v1 = low, high
    for plate in (cut for cut in section.things if cut.ident.role in PLATES):
        _, least, _, most = plate.box
        if 0 < least < high + FAR:
            v1 = max(v1, _near_side(plate, 1) + BEYOND)
        if low - FAR < most < 0:
            v0 = min(v0, _near_side(plate, -1) - BEYOND)
    return (own[0] - BESIDE, v0 - 2.0, own[2] + BESIDE, v1 + 2.0)


def _near_side(plate: Cut, way: Literal[-1, 1]) -> float:
    """Return how far out the near side of a plate reaches: its lower side above the part, its upper side below."""
    _, low, _, high = plate.box
    vs = [v for loop in plate.loops for _, v in loop if (v - (low + high) / 2) * way <= 0]
    return max(vs) if way > 0 else min(vs)


def _axis(made: Made, box: Box) -> Polyline:
    """Return the speaker's axis through the picture; nothing for a part without a seat."""
    seat = made.seat
    if seat is None:
        return ()
    height = seat.frame.origin[2]
    return tuple(((v - height) * tan(radians(seat.tilt)), v) for v in (box[1], height, box[3]))


def _callouts(things: Iterable[Cut], findings: Iterable[Finding], box: Box, units: Units) -> Iterator[Callout]:
    """Yield what each thing is, and how clear of it the mount or the speaker is."""
    for cut in things:
        points = [p for loop in cut.loops for p in loop if box[1] <= p[1] <= box[3]]
        if points and cut.ident.role not in UNNAMED and cut.ident != TWEETER:
            side: Literal[-1, 1] = 1 if max(u for u, _ in points) >= -min(u for u, _ in points) else -1
            text = f"{NAMES.get(cut.ident, cut.ident)}{_clearance(cut.ident, findings, units)}"
            yield Callout(_leader_end(cut, box, side), text, side)


def _leader_end(cut: Cut, box: Box, side: int) -> tuple[float, float]:
    """Return a place in a thing where a line from the margin ends: near a plate's edge, inside a body's outline."""
    points = [(u, min(max(v, box[1]), box[3])) for loop in cut.loops for u, v in loop]
    if cut.ident.role in (*PLATES, Role.SHEET):
        at = max(points, key=lambda p: side * p[0])
        level = [v for u, v in points if abs(u - at[0]) < 1.0]
        return (at[0] - side * 4.0, (min(level) + max(level)) / 2)
    middle = (min(v for _, v in points) + max(v for _, v in points)) / 2
    edges = [u for loop in cut.loops for u in crossings(loop, middle)]
    return (max(edges, key=lambda u: side * u) - side * INSIDE, middle) if edges else points[0]


def _clearance(ident: Ident, findings: Iterable[Finding], units: Units) -> str:
    """Return the tightest clearance to a thing, in words."""
    found = [f for f in findings if f.between and ident in f.between and f.code.startswith("clear.") and f.limit]
    if not found:
        return ""
    worst = least_of(found, key=lambda f: _value(f) - (f.limit or 0.0))
    mark = f" {worst.verdict.word}" if worst.verdict in (Verdict.WARN, Verdict.FAIL) else ""
    other = next((one for one in worst.between or () if one != ident), "")
    return f": {units.figure(_value(worst), 1)}{units.sign} to {other} (min {units.figure(worst.limit or 0.0)}){mark}"


def _value(finding: Finding) -> float:
    return decisive(finding) or 0.0


def _axis_callout(made: Made, axis: Polyline) -> Iterator[Callout]:
    seat = made.seat
    if seat is not None and axis:
        tilt = f"{round(seat.tilt, 1):g}° towards {format_clock(seat.toward)}" if seat.tilt else "square to the face"
        yield Callout(axis[2], f"axis: {tilt}", 1)


def _sizes(made: Made, plane: Frame, own: Box) -> Iterator[Dimension]:
    """Yield the mount's width in this section, and the heights that its kind shows."""
    numbered = {
        check.what: f"{'①②③④⑤'[k]} {made.job.units(check.value, 1)}" for k, check in enumerate(caliper_checks(made))
    }
    yield Dimension((own[0], own[1]), (own[2], own[1]), "u", -1, f"{made.job.units(own[2] - own[0], 1)}")
    yield from made.kind.review().papers.heights(made.job, made.plan, plane, own, numbered)
