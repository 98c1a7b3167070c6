"""A mount cut along the speaker's axis among the things round it, to scale, with the line to the ear; cabin above."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, degrees, hypot, radians, sin, tan

import numpy as np

from mounts.aiming.cut import AS_ONE, Cut, Section, Sheet, around, laid, section_of
from mounts.aiming.values import SideAim
from mounts.design.figure import (
    Area,
    Figure,
    Ink,
    Item,
    Line,
    Polyline,
    Words,
    arc,
    arrow,
    closed,
    hatching,
    spread,
)
from mounts.findings.report import Verdict
from mounts.geometry.frames import Frame, clock_vector
from mounts.geometry.outline import Point
from mounts.identity import OPENING, REAR_FACE, ROOM_END, SPEAKER, Ident, Role
from mounts.kernels.sections import clip_loops
from mounts.load.units import clock_words

SIZE = (190.0, 128.0)
FIELD = (27.0, 17.0, 134.0, 113.0)  # where the cut lies: left, low, right, high
MARGIN = 140.0  # x of the words at the right
SMALL, USUAL, LARGE = 1.75, 2.1, 2.9  # cap heights
SPOTS = (0.96, 0.8, 0.92, 0.88, 0.84, 0.7, 0.6, 0.5)  # shares of a thing's width at which its line may end
FILLS = {
    Role.SPEAKER: Ink.MIST,
    Role.SHEET: Ink.GREY,
    Role.GLASS: Ink.ICE,
    Role.TRIM: Ink.SILVER,
    Role.GRILLE: Ink.SILVER,
    Role.END: Ink.SILVER,
}
CALLED = {OPENING: "sheet", REAR_FACE: "panel", ROOM_END: "end of the room"}


def section_figure(side: SideAim) -> Figure | None:
    """The section of one side; None for a ring cut from sheet, which is flat.

    Raises:
        KernelError: if the mount cannot be drawn.
    """
    section = section_of(side)
    if section is None:
        return None
    sheet = laid(section, FIELD)
    items = (
        *_drawn(sheet, section),
        *_axes(sheet, side, section.plane),
        *_sizes(sheet, side, section.mount),
        *_names(sheet, side, section),
        *_words(sheet, side),
    )
    return Figure(f"{side.job.name} {side.job.side}: section along the axis", SIZE, items)


def _drawn(sheet: Sheet, section: Section) -> Iterator[Item]:
    """The things by their fills, the mount hatched over them, and what moves as a dashed outline."""
    order = list(FILLS)
    for cut in sorted(section.things, key=lambda cut: order.index(cut.ident.role) if cut.ident.role in order else -1):
        loops = sheet.loops(clip_loops(cut.loops, sheet.shown))
        if not loops:
            continue
        if cut.ident.role is Role.CONE:
            yield from (Line(closed(loop), Ink.BLUE, 0.3, (1.2, 0.7)) for loop in loops)
            continue
        yield Area(loops, FILLS.get(cut.ident.role, Ink.PAPER))
        yield from (Line(closed(loop), Ink.BLACK, 0.16) for loop in loops)
    cut_loops = sheet.loops(section.mount.loops)
    yield Area(cut_loops, Ink.PAPER)
    yield from hatching(cut_loops, 45.0, 1.3)
    yield from (Line(closed(loop), Ink.BLACK, 0.4) for loop in cut_loops)


def _axes(sheet: Sheet, side: SideAim, plane: Frame) -> Iterator[Item]:
    """The speaker's axis, the normal, the tilt between them, and the line to the first listener's ear."""
    seat = side.seat
    centre = sheet.put((0.0, seat.frame.origin[2]))
    top, low = FIELD[3] + 3.0, sheet.put((0.0, sheet.shown[1]))[1] - 1.0
    lean = radians(seat.tilt)

    def up_to(level: float) -> Point:
        return (centre[0] + (level - centre[1]) * tan(lean), level)

    yield Line((up_to(low), up_to(top)), Ink.BLACK, 0.2, (4.0, 0.8, 0.8, 0.8))
    if seat.tilt > 0:
        yield Line((centre, (centre[0], top)), Ink.BLACK, 0.13, (0.8, 0.8))
        out = (top - centre[1]) * 0.8
        yield arc(centre, out, 90.0 - seat.tilt, 90.0)
        half = radians(90.0 - seat.tilt / 2)
        at = (centre[0] - 1.5, centre[1] + out * sin(half) + 0.5)
        yield Words(f"{seat.tilt:.3g}°", at, USUAL, "end", on_paper=True)
    if side.heard:
        first = side.heard[0]
        ears = first.listener.points() - np.array(seat.frame.origin)
        ways = [(float(way[0]), float(way[1])) for way in ears @ plane.axes]
        if first.listener.is_estimated:
            yield from (Line((centre, _reached(centre, way, top)), Ink.RED, 0.15, (1.0, 0.8)) for way in ways[1:])
        end = _reached(centre, ways[0], top)
        yield Line((centre, end), Ink.RED, 0.45)
        yield Area(arrow(end, degrees(np.arctan2(ways[0][1], ways[0][0])), 3.0).loops, Ink.RED)
        anchor, beside = ("end", -4.0) if ways[0][0] > 0 else ("start", 4.0)
        said, place = f"ear, {first.angle:.1f}° off axis", (end[0] + beside, end[1] + 0.5)
        yield Words(said, place, USUAL, anchor, Ink.RED, on_paper=True)


def _reached(start: Point, way: Point, top: float) -> Point:
    """Where a line from a place ends: as far as the field goes."""
    long = hypot(*way)
    sideways, up = way[0] / long, way[1] / long
    reach = min(
        (top - start[1]) / up if up > 1e-6 else 1e9,
        ((FIELD[2] - 2 if sideways > 0 else FIELD[0]) - start[0]) / sideways if abs(sideways) > 1e-6 else 1e9,
    )
    return (start[0] + sideways * reach, start[1] + up * reach)


def _sizes(sheet: Sheet, side: SideAim, mount: Cut) -> Iterator[Item]:
    """Height of the seat and depth of the speaker, from the face, at the left."""
    seat, own = side.seat, around(mount.loops)
    x = sheet.put((own[0], 0.0))[0] - 7.0
    face, level = sheet.put((own[0], 0.0)), sheet.put((0.0, seat.frame.origin[2]))
    yield from _upright(x, face[1], level[1], f"{abs(seat.frame.origin[2]):.1f}")
    yield Line(((x - 1.5, level[1]), (level[0], level[1])), Ink.BLACK, 0.1)
    yield Line(((x - 8.5, face[1]), (face[0], face[1])), Ink.BLACK, 0.1)
    rear = seat.frame.out((0.0, 0.0, _lift(side) - side.job.speaker.depth))
    reach = sheet.put((0.0, float(rear[2])))
    across = float((rear[:2] - np.array(seat.frame.origin[:2])) @ np.array(clock_vector(side.toward)))
    if rear[2] < 0:
        yield from _upright(x - 7.0, reach[1], face[1], f"{-float(rear[2]):.1f}")
        yield Line(((x - 8.5, reach[1]), sheet.put((across, float(rear[2])))), Ink.BLACK, 0.1)


def _lift(side: SideAim) -> float:
    return float(getattr(side.seat, "lift", 0.0))


def _upright(x: float, low: float, high: float, text: str) -> Iterator[Item]:
    """A dimension up the paper, with its words beside it, turned."""
    low, high = min(low, high), max(low, high)
    if high - low > 6.0:
        yield Line(((x, low), (x, high)), Ink.BLACK, 0.13)
        yield from (arrow((x, high), 90.0), arrow((x, low), -90.0))
    else:
        yield Line(((x, low - 4.0), (x, high + 4.0)), Ink.BLACK, 0.13)
        yield from (arrow((x, high), -90.0), arrow((x, low), 90.0))
    yield Words(text, (x - 2.0, (low + high) / 2), USUAL, "middle", turn=90.0)


def _names(sheet: Sheet, side: SideAim, section: Section) -> Iterator[Item]:
    """What each thing is and how clear it stays, in the margin at the right, each with a line to its place."""
    told = [("mount", _spot(section.mount, sheet), "")]
    for cut in section.things:
        if cut.ident.role is Role.HEAD:
            continue
        if clip_loops(cut.loops, sheet.shown):
            said = str(CALLED.get(cut.ident, cut.ident))
            told.append((said, _spot(cut, sheet), _clear(cut.ident, side)))
    height = max(5.2, min(8.6, (FIELD[3] - FIELD[1]) / max(1, len(told))))
    places = spread([at[1] for _, at, _ in told], height, FIELD[1], FIELD[3])
    for (said, at, clear), y in zip(told, places, strict=True):
        yield Line((at, (FIELD[2] + 1.5, y), (MARGIN - 1.2, y)), Ink.GREY, 0.12)
        yield Area((_dot(at),), Ink.BLACK)
        yield Words(said, (MARGIN, y + (1.6 if clear else 0.0)), USUAL)
        if clear:
            yield Words(clear, (MARGIN, y - 1.7), SMALL, ink=Ink.RED if "too" in clear else Ink.GREY)


def _dot(at: Point) -> Polyline:
    return tuple((at[0] + 0.45 * cos(radians(t)), at[1] + 0.45 * sin(radians(t))) for t in range(0, 360, 30))


def _spot(cut: Cut, sheet: Sheet) -> Point:
    """A place on a thing for its line: in the middle of its material, as far right as it is shown."""
    loops = clip_loops(cut.loops, sheet.shown)
    u0, _, u1, _ = around(loops)
    for share in SPOTS[cut.ident == SPEAKER :]:
        u = u0 + share * (u1 - u0)
        levels = sorted(z for loop in loops for z in _levels(loop, u))
        if len(levels) > 1:
            return sheet.put((u, (levels[-2] + levels[-1]) / 2))
    return sheet.put(loops[0][0])


def _levels(loop: Polyline, u: float) -> Iterator[float]:
    for (u0, z0), (u1, z1) in zip(loop, (*loop[1:], loop[0]), strict=True):
        if (u0 > u) != (u1 > u):
            yield z0 + (z1 - z0) * (u - u0) / (u1 - u0)


def _clear(ident: Ident, side: SideAim) -> str:
    """The tightest clearance to a thing, in words."""
    chosen = next(row for row in side.rows if row.is_chosen)

    def is_own(one: Ident) -> bool:
        return one == ident or (ident == SPEAKER and one.role in AS_ONE)

    gaps = [gap for _, gap in chosen.gaps if any(map(is_own, gap.between))]
    if ident == SPEAKER:  # what else it is near to is told at that thing
        gaps = [gap for gap in gaps if gap.code == "clear.body-bore"]
    if not gaps:
        return ""
    gap = min(gaps, key=lambda one: one.gap - one.wanted)
    other = gap.between[0] if is_own(gap.between[1]) else gap.between[1]
    kept = "" if gap.verdict is Verdict.PASS else ", too near"
    return f"{gap.gap:.1f} to {other} (limit {gap.wanted:g}){kept}"


def _words(sheet: Sheet, side: SideAim) -> Iterator[Item]:
    """Title, what the cut is, the scale, and what the line to the ear says."""
    job, seat = side.job, side.seat
    yield Words(f"{job.name}, {job.side}", (8.0, SIZE[1] - 5.5), LARGE)
    scale = f"{sheet.scale:g}:1" if sheet.scale >= 1 else f"1:{1 / sheet.scale:g}"
    where = f"Cut along the axis towards {clock_words(side.toward)} (right); cabin above. Scale {scale}, mm."
    yield Words(where, (8.0, 9.0), SMALL, ink=Ink.GREY)
    yield Words("cabin", (8.0, FIELD[3]), SMALL, ink=Ink.GREY)
    yield Words("behind", (8.0, FIELD[1] + 1.0), SMALL, ink=Ink.GREY)
    if side.heard:
        first = side.heard[0]
        how = "estimated" if first.listener.is_estimated else "read"
        said = (
            f"Arrow: to the ears of the {first.listener.seat} ({how}), {first.path:.0f} mm away, {first.angle:.1f}° "
            f"off the axis; turned into this plane, so it may look nearer."
        )
        yield Words(said, (8.0, 4.5), SMALL, ink=Ink.RED)
    if seat.tilt == 0 and not side.heard:
        yield Words("looks straight out", (8.0, FIELD[3] - 4.0), SMALL, ink=Ink.GREY)
