"""A mount cut along the speaker's axis among the things round it, to scale, with the line to the ear; cabin above.

The plane holds the speaker's axis and the panel's normal; where the speaker looks straight out, it holds the line to
the ear. u runs along the face to the side that the speaker looks to, v into the cabin.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import degrees, radians, sin, tan

import numpy as np

from mounts.aiming.values import SideAim
from mounts.design.drawing import (
    Area,
    Drawing,
    DrawnText,
    Fill,
    Ink,
    Item,
    Pen,
    PenLine,
    ViewPlacement,
    arc,
    arrow,
    dot,
    spread,
)
from mounts.findings.report import Verdict
from mounts.geometry.frames import Frame, clock_vector
from mounts.geometry.outline import Box, Point, bound_points, closed, crossings, ray_end
from mounts.geometry.ties import least_of
from mounts.identity import MOUNT, OPENING, REAR_FACE, ROOM_END, SPEAKER, Ident, Role
from mounts.kernels import mesh
from mounts.kernels.sections import SEGMENTS, Cut, SceneSection, clip_loops, cut_scene, part_loops, upright_frame
from mounts.load.parse.units import format_clock
from mounts.shape.recipe import Envelope

SIZE = (190.0, 128.0)
FIELD = (27.0, 17.0, 134.0, 113.0)  # where the section lies: left, low, right, high
MARGIN = 140.0  # x of the words at the right
SMALL, USUAL, LARGE = 1.75, 2.1, 2.9  # cap heights
SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1)  # ISO 5455
BESIDE, OVER = 9.0, 14.0  # mm shown beside the mount, and of the cabin over all else
FAR = 70.0  # mm from the rest at which glass, trim or grille are left out
SPOTS = (0.96, 0.8, 0.92, 0.88, 0.84, 0.7, 0.6, 0.5)  # shares of a thing's width at which its line may end
AS_ONE = (Role.BODY, Role.FLANGE, Role.FRONT, Role.TERMINAL, Role.SPEAKER_HEAD)  # drawn as one speaker
NEAR = (Role.PART, Role.SPEAKER, Role.SHEET)  # what is shown in full
OUTLINE = Pen(0.16)
HATCHED = Fill(Ink.PAPER, Pen(0.4), 1.3)
FILLS = {
    Role.SPEAKER: Fill(Ink.MIST, OUTLINE),
    Role.SHEET: Fill(Ink.GREY, OUTLINE),
    Role.GLASS: Fill(Ink.ICE, OUTLINE),
    Role.TRIM: Fill(Ink.SILVER, OUTLINE),
    Role.GRILLE: Fill(Ink.SILVER, OUTLINE),
    Role.END: Fill(Ink.SILVER, OUTLINE),
}  # in the order in which they are drawn, after all that has none
NAMES = {OPENING: "sheet", REAR_FACE: "panel", ROOM_END: "end of the room"}


def draw_section(side: SideAim) -> Drawing | None:
    """Return the section of one side; None for a ring cut from sheet, which is flat.

    Raises:
        KernelError: if the mount cannot be drawn.
    """
    if not side.holds.tilts:
        return None
    scene = side.planned.draw()
    plane = upright_frame(side.seat.frame.origin[:2], side.toward)
    mount = Cut(MOUNT, part_loops(mesh.build(scene.recipe, SEGMENTS), plane))
    section = cut_scene(mount, _join_speaker(scene.envelopes), plane, BESIDE)
    shown, place = _place(section)
    items = (
        *_things(section, shown, place),
        *_axes(place, shown, side, plane),
        *_sizes(place, side, mount),
        *_names(place, shown, side, section),
        *_words(place, side),
    )
    return Drawing(f"{side.job.name} {side.job.side}: section along the axis", items, box=(0.0, 0.0, *SIZE))


def _join_speaker(envelopes: Sequence[Envelope]) -> Iterator[Envelope]:
    """Yield the surroundings with the speaker's bodies as one, without hardware."""
    yield Envelope(SPEAKER, tuple(body for one in envelopes if one.ident.role in AS_ONE for body in one.bodies))
    yield from (one for one in envelopes if one.ident.role not in (*AS_ONE, Role.HARDWARE))


def _place(section: SceneSection) -> tuple[Box, ViewPlacement]:
    """Return what is shown, and its place in the field at the largest usual scale at which all that is near fits."""
    cuts = (section.part, *section.things)
    boxes = [cut.box for cut in cuts if cut.ident.role in NEAR]
    u0, v0, u1, v1 = bound_points((), *boxes)
    for _, low, _, high in (cut.box for cut in cuts):
        if 0 < low < v1 + FAR:
            v1 = max(v1, min(high, low + FAR / 2))
        if v0 - FAR < high < 0:
            v0 = min(v0, max(low, high - FAR / 3))
    v0, v1 = v0 - 3.0, v1 + OVER
    width, height = FIELD[2] - FIELD[0], FIELD[3] - FIELD[1]
    scale = next((s for s in SCALES if (u1 - u0) * s <= width and (v1 - v0) * s <= height), SCALES[-1])
    corner = ((FIELD[0] + FIELD[2] - (u1 - u0) * scale) / 2, (FIELD[1] + FIELD[3] - (v1 - v0) * scale) / 2)
    return (u0, v0, u1, v1), ViewPlacement(scale, corner, (u0, v0))


def _things(section: SceneSection, shown: Box, place: ViewPlacement) -> Iterator[Item]:
    """Yield the things by their fills, what moves as a dashed outline, and the mount hatched over them."""
    order = list(FILLS)
    for cut in sorted(section.things, key=lambda cut: order.index(cut.ident.role) if cut.ident.role in order else -1):
        loops = tuple(place.along(loop) for loop in clip_loops(cut.loops, shown))
        if cut.ident.role is Role.CONE:
            yield from (PenLine(closed(loop), Pen(0.3, Ink.BLUE, (1.2, 0.7))) for loop in loops)
        elif loops:
            yield Area(loops, FILLS.get(cut.ident.role, Fill(Ink.PAPER, OUTLINE)))
    yield Area(tuple(place.along(loop) for loop in section.part.loops), HATCHED)


def _axes(place: ViewPlacement, shown: Box, side: SideAim, plane: Frame) -> Iterator[Item]:
    """Yield the speaker's axis, the normal, the tilt between them, and the line to the first listener's ear."""
    seat = side.seat
    centre = place.at((0.0, seat.frame.origin[2]))
    top, low = FIELD[3] + 3.0, place.at((0.0, shown[1]))[1] - 1.0
    lean = radians(seat.tilt)
    ends = tuple((centre[0] + (level - centre[1]) * tan(lean), level) for level in (low, top))
    yield PenLine(ends, Pen(0.2, dash=(4.0, 0.8, 0.8, 0.8)))
    if seat.tilt > 0:
        yield PenLine((centre, (centre[0], top)), Pen(0.13, dash=(0.8, 0.8)))
        out = (top - centre[1]) * 0.8
        yield arc(centre, out, 90.0 - seat.tilt, 90.0)
        half = radians(90.0 - seat.tilt / 2)
        at = (centre[0] - 1.5, centre[1] + out * sin(half) + 0.5)
        yield DrawnText(f"{seat.tilt:.3g}°", at, USUAL, "end", on_paper=True)
    if side.heard:
        first = side.heard[0]
        ears = first.listener.points() - np.array(seat.frame.origin)
        ways = [(float(way[0]), float(way[1])) for way in ears @ plane.axes]
        field = (FIELD[0], FIELD[1], FIELD[2] - 2.0, top)
        if first.listener.is_estimated:
            yield from (
                PenLine((centre, ray_end(centre, way, field)), Pen(0.15, Ink.RED, (1.0, 0.8))) for way in ways[1:]
            )
        end = ray_end(centre, ways[0], field)
        yield PenLine((centre, end), Pen(0.45, Ink.RED))
        yield arrow(end, degrees(np.arctan2(ways[0][1], ways[0][0])), 3.0, Ink.RED)
        beside = -4.0 if ways[0][0] > 0 else 4.0
        text, at = f"ear, {first.angle:.1f}° off axis", (end[0] + beside, end[1] + 0.5)
        yield DrawnText(text, at, USUAL, "end" if beside < 0 else "start", Ink.RED, on_paper=True)


def _sizes(place: ViewPlacement, side: SideAim, mount: Cut) -> Iterator[Item]:
    """Yield the height of the seat and the depth of the speaker, from the face, at the left."""
    seat, own = side.seat, mount.box
    x = place.at((own[0], 0.0))[0] - 7.0
    face, level = place.at((own[0], 0.0)), place.at((0.0, seat.frame.origin[2]))
    yield from _upright(x, face[1], level[1], side.job.units(abs(seat.frame.origin[2]), 1))
    yield PenLine(((x - 1.5, level[1]), (level[0], level[1])), Pen(0.1))
    yield PenLine(((x - 8.5, face[1]), (face[0], face[1])), Pen(0.1))
    rear = seat.frame.out((0.0, 0.0, float(getattr(side.seat, "lift", 0.0)) - side.job.speaker.depth))
    reach = place.at((0.0, float(rear[2])))
    across = float((rear[:2] - np.array(seat.frame.origin[:2])) @ np.array(clock_vector(side.toward)))
    if rear[2] < 0:
        yield from _upright(x - 7.0, reach[1], face[1], side.job.units(-float(rear[2]), 1))
        yield PenLine(((x - 8.5, reach[1]), place.at((across, float(rear[2])))), Pen(0.1))


def _upright(x: float, low: float, high: float, text: str) -> Iterator[Item]:
    """Yield a dimension up the paper, with its text beside it, turned."""
    low, high = min(low, high), max(low, high)
    if high - low > 6.0:
        yield PenLine(((x, low), (x, high)), Pen(0.13))
        yield from (arrow((x, high), 90.0), arrow((x, low), -90.0))
    else:
        yield PenLine(((x, low - 4.0), (x, high + 4.0)), Pen(0.13))
        yield from (arrow((x, high), -90.0), arrow((x, low), 90.0))
    yield DrawnText(text, (x - 2.0, (low + high) / 2), USUAL, "middle", turn=90.0)


def _names(place: ViewPlacement, shown: Box, side: SideAim, section: SceneSection) -> Iterator[Item]:
    """Yield what each thing is and how clear it stays, in the margin at the right, each with a line to its place."""
    rows = [("mount", _leader_end(section.part, shown, place), "")]
    rows += [
        (str(NAMES.get(cut.ident, cut.ident)), _leader_end(cut, shown, place), _clearance(cut.ident, side))
        for cut in section.things
        if cut.ident.role is not Role.HEAD and clip_loops(cut.loops, shown)
    ]
    height = max(5.2, min(8.6, (FIELD[3] - FIELD[1]) / max(1, len(rows))))
    levels = spread([at[1] for _, at, _ in rows], height, FIELD[1], FIELD[3])
    for (name, at, clearance), y in zip(rows, levels, strict=True):
        yield PenLine((at, (FIELD[2] + 1.5, y), (MARGIN - 1.2, y)), Pen(0.12, Ink.GREY))
        yield dot(at, 0.45, 12)
        yield DrawnText(name, (MARGIN, y + (1.6 if clearance else 0.0)), USUAL)
        if clearance:
            yield DrawnText(clearance, (MARGIN, y - 1.7), SMALL, ink=Ink.RED if "too" in clearance else Ink.GREY)


def _leader_end(cut: Cut, shown: Box, place: ViewPlacement) -> Point:
    """Return a place on a thing for its line: in the middle of its material, as far right as it is shown."""
    loops = clip_loops(cut.loops, shown)
    u0, _, u1, _ = Cut(cut.ident, loops).box
    for share in SPOTS[cut.ident == SPEAKER :]:
        u = u0 + share * (u1 - u0)
        levels = sorted(v for loop in loops for v in crossings([(v, w) for w, v in loop], u))
        if len(levels) > 1:
            return place.at((u, (levels[-2] + levels[-1]) / 2))
    return place.at(loops[0][0])


def _clearance(ident: Ident, side: SideAim) -> str:
    """Return the tightest clearance to a thing, in words."""
    chosen = next(row for row in side.rows if row.is_chosen)

    def is_own(one: Ident) -> bool:
        return one == ident or (ident == SPEAKER and one.role in AS_ONE)

    gaps = [gap for _, gap in chosen.gaps if any(map(is_own, gap.between))]
    if ident == SPEAKER:  # what else it is near to stands at that thing
        gaps = [gap for gap in gaps if gap.code == "clear.body-bore"]
    if not gaps:
        return ""
    gap = least_of(gaps, lambda one: one.gap - one.wanted)
    other = gap.between[0] if is_own(gap.between[1]) else gap.between[1]
    verdict = "" if gap.verdict is Verdict.PASS else ", too near"
    units = side.job.units
    return f"{units.figure(gap.gap, 1)}{units.sign} to {other} (min {units.figure(gap.wanted)}){verdict}"


def _words(place: ViewPlacement, side: SideAim) -> Iterator[Item]:
    """Yield the title, what the cut is, the scale, and what the line to the ear says."""
    job, seat = side.job, side.seat
    yield DrawnText(f"{job.name}, {job.side}", (8.0, SIZE[1] - 5.5), LARGE)
    scale = f"{place.scale:g}:1" if place.scale >= 1 else f"1:{1 / place.scale:g}"
    where = (
        f"Cut along the axis towards {format_clock(side.toward)} (right); cabin above. Scale {scale}, {job.units.word}."
    )
    yield DrawnText(where, (8.0, 9.0), SMALL, ink=Ink.GREY)
    yield DrawnText("cabin", (8.0, FIELD[3]), SMALL, ink=Ink.GREY)
    yield DrawnText("behind", (8.0, FIELD[1] + 1.0), SMALL, ink=Ink.GREY)
    if side.heard:
        first = side.heard[0]
        how = "estimated" if first.listener.is_estimated else "read"
        text = (
            f"Arrow: to the ears of the {first.listener.seat} ({how}), "
            f"{job.units.named(first.path, 0)} away, {first.angle:.1f}° "
            f"off the axis; turned into this plane, so it may look nearer."
        )
        yield DrawnText(text, (8.0, 4.5), SMALL, ink=Ink.RED)
    if seat.tilt == 0 and not side.heard:
        yield DrawnText("looks straight out", (8.0, FIELD[3] - 4.0), SMALL, ink=Ink.GREY)
