"""A mount cut along the speaker's axis among the things round it, as a view.

The plane stands upright on the panel and holds the axis; u runs along the face to the side that the speaker looks to,
where the seat is low, v towards the cabin.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import cos, radians, sin
from typing import Literal

import numpy as np

from mounts.design.view import Area, Box, Callout, Line, Pen, Size, Tone, View, around
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Frame, Vector
from mounts.geometry.outline import Point
from mounts.geometry.ties import least_of
from mounts.identity import OPENING, REAR_FACE, TWEETER, Ident, Role
from mounts.kernels.sections import Path, clip_loops, envelope_loops, part_loops, upright_frame
from mounts.load.units import clock_words
from mounts.made import Made
from mounts.papers.caliper import caliper_checks

BESIDE, BEYOND = 18.0, 5.0  # mm shown of the panel beside the mount; of glass and grille beyond their near side
DEEP = 60.0  # mm of a thing behind that are shown beyond the mount
FAR = 45.0  # mm behind or before everything else at which glass, trim or grille are still shown
TONES = {
    Role.BODY: Tone.PALE,
    Role.FLANGE: Tone.PALE,
    Role.FRONT: Tone.PALE,
    Role.TERMINAL: Tone.PALE,
    Role.DEVICE: Tone.PALE,
    Role.SHEET: Tone.BLACK,
    Role.TRIM: Tone.DARK,
    Role.GRILLE: Tone.DARK,
    Role.FLOOR: Tone.DARK,
    Role.GLASS: Tone.DARK,
    Role.END: Tone.DARK,
}
SAID = {OPENING: "sheet", REAR_FACE: "panel"}
UNSAID = (Role.FLANGE, Role.FRONT, Role.CONE, Role.HARDWARE, Role.HEAD, Role.SPEAKER_HEAD)  # their places say enough
LEFT_OUT = (Role.WAY, Role.TOOL)
PLATES = (Role.GLASS, Role.GRILLE, Role.TRIM, Role.END)  # shown as a strip, where they are near enough
Thing = tuple[Ident, tuple[Path, ...], Tone]


def section(made: Made, ear: tuple[Vector, str] | None = None) -> View:
    """The part and what is round it, cut along the speaker's axis.

    Args:
        made: the part.
        ear: direction from the seat's centre to the listener's ear in the panel frame, and what is said of it; None
            where it is not known.
    """
    frame, title = _plane(made)
    loops = part_loops(made.part, frame)
    own = around(tuple(point for loop in loops for point in loop))
    things = _things(made, frame, own)
    box = _window(own, things)
    areas = [Area(loops, Tone.HATCH, "mount")]
    areas += [Area(clip_loops(found, box), tone, ident.label) for ident, found, tone in things if tone is not Tone.OPEN]
    lines = [Line((*loop, loop[0]), Pen.PHANTOM) for _, found, tone in things if tone is Tone.OPEN for loop in found]
    axis = _axis(made, box)
    callouts = (*_callouts(made, things, box), *_aim(made, axis))
    lines += [Line(axis, Pen.AXIS)] if axis else []
    lines += [Line(((box[0], 0.0), (box[2], 0.0)), Pen.THIN)]
    if ear is not None and axis:
        ray = _ray(axis[1], _flat(ear[0], frame), box)
        lines.append(Line(ray, Pen.PHANTOM))
        callouts = (*callouts, Callout(ray[1], ear[1], 1 if ray[1][0] > 0 else -1))
    kept = tuple(area for area in areas if area.loops)
    return View(title, box, kept, tuple(lines), tuple(_sizes(made, frame, own)), callouts, keyed=True)


def _plane(made: Made) -> tuple[Frame, str]:
    """The plane's frame and what to call it."""
    seat = made.seat
    origin: Point = (0.0, 0.0)
    clock = made.kind.review().papers.cut_at(made.plan)
    if seat is not None:
        origin = (seat.frame.origin[0], seat.frame.origin[1])
        clock = seat.toward if seat.tilt else clock
    there, back = clock_words(clock), clock_words(clock + 180)
    what = "speaker's axis" if seat is not None else "middle"
    return (
        upright_frame(origin, clock),
        f"Cut along the {what}: {back} at the left, {there} at the right, cabin above",
    )


def _things(made: Made, frame: Frame, own: Box) -> list[Thing]:
    """What the plane cuts of each thing, with its fill."""
    window = (own[0] - BESIDE, own[1] - 400.0, own[2] + BESIDE, own[3] + 400.0)
    papers, found = made.kind.review().papers, []
    for envelope in papers.around(made.job, made.plan) if papers.around else made.scene.envelopes:
        if envelope.ident.role not in LEFT_OUT:
            long = envelope.ident.role is Role.THING
            shown = (window[0], own[1] - DEEP, window[2], own[3] + DEEP) if long else window
            loops = envelope_loops(envelope, frame, shown)
            if loops:
                found.append((envelope.ident, loops, TONES.get(envelope.ident.role, Tone.OPEN)))
    return found


def _window(own: Box, things: list[Thing]) -> Box:
    """What is shown: all that is near, and of glass, trim and grille a strip where they are near enough."""
    near = [point for ident, loops, _ in things if ident.role not in PLATES for loop in loops for point in loop]
    near = [point for point in near if own[1] - 150 < point[1] < own[3] + 100]
    low, high = (around(tuple(near), own)[k] for k in (1, 3))
    v0, v1 = low, high
    for ident, loops, _ in things:
        if ident.role in PLATES:
            vs = [v for loop in loops for _, v in loop]
            if min(vs) > 0 and min(vs) < high + FAR:
                v1 = max(v1, _nearest(loops, 1) + BEYOND)
            if max(vs) < 0 and max(vs) > low - FAR:
                v0 = min(v0, _nearest(loops, -1) - BEYOND)
    return (own[0] - BESIDE, v0 - 2.0, own[2] + BESIDE, v1 + 2.0)


def _nearest(loops: Iterable[Path], way: Literal[-1, 1]) -> float:
    """How far out the near side of a plate reaches within what is cut: its lower side above, its upper side below."""
    points = [point for loop in loops for point in loop]
    middle = (min(v for _, v in points) + max(v for _, v in points)) / 2
    vs = [v for _, v in points if (v <= middle if way > 0 else v >= middle)]
    return max(vs) if way > 0 else min(vs)


def _axis(made: Made, box: Box) -> Path:
    """The speaker's axis through the picture; nothing for a part without a seat."""
    seat = made.seat
    if seat is None:
        return ()
    slope = sin(radians(seat.tilt)) / cos(radians(seat.tilt))
    height = seat.frame.origin[2]
    return tuple(((v - height) * slope, v) for v in (box[1], height, box[3]))


def _flat(direction: Vector, frame: Frame) -> Point:
    """A direction as it appears in the plane."""
    x, y, _ = np.asarray(direction) @ frame.axes
    return (float(x), float(y))


def _ray(start: Point, way: Point, box: Box) -> Path:
    """From a place along a direction to the picture's edge."""
    reach = min(
        [(box[3] - start[1]) / way[1]] * (way[1] > 1e-6)
        + [(box[2] - start[0]) / way[0]] * (way[0] > 1e-6)
        + [(box[0] - start[0]) / way[0]] * (way[0] < -1e-6),
        default=0.0,
    )
    return (start, (start[0] + way[0] * reach, start[1] + way[1] * reach))


def _callouts(made: Made, things: list[Thing], box: Box) -> Iterator[Callout]:
    """What each thing is, and how clear of it the mount or the speaker is."""
    for ident, loops, _ in things:
        if ident.role in UNSAID or ident == TWEETER:
            continue
        points = [p for loop in loops for p in loop if box[1] <= p[1] <= box[3]]
        if not points:
            continue
        side: Literal[-1, 1] = 1 if max(u for u, _ in points) >= -min(u for u, _ in points) else -1
        at = _spot(loops, box, side, ident)
        yield Callout(at, f"{SAID.get(ident, ident)}{_clear(ident, made.report.findings)}", side)


def _spot(loops: tuple[Path, ...], box: Box, side: int, ident: Ident) -> Point:
    """A place on a thing that a line from the margin reaches: near the edge of a plate, at the rim of a body."""
    points = [(u, min(max(v, box[1]), box[3])) for loop in loops for u, v in loop]
    if ident.role in (*PLATES, Role.SHEET):
        at = max(points, key=lambda p: side * p[0])
        level = [v for u, v in points if abs(u - at[0]) < 1.0]
        return (at[0] - side * 4.0, (min(level) + max(level)) / 2)
    return max(points, key=lambda p: (round(side * p[0], 1), -abs(p[1])))


def _clear(ident: Ident, findings: Iterable[Finding]) -> str:
    """The tightest clearance to a thing, in words."""
    found = [f for f in findings if f.between and ident in f.between and f.code.startswith("clear.") and f.limit]
    if not found:
        return ""
    worst = least_of(found, key=lambda f: _value(f) - (f.limit or 0.0))
    mark = f" {worst.verdict.word}" if worst.verdict in (Verdict.WARN, Verdict.FAIL) else ""
    other = next((one for one in worst.between or () if one != ident), "")
    return f": {_value(worst):.1f} to {other}, needs {worst.limit:g}{mark}"


def _value(finding: Finding) -> float:
    found = finding.closed_form if finding.measured is None else finding.measured
    return 0.0 if found is None else found


def _aim(made: Made, axis: Path) -> Iterator[Callout]:
    seat = made.seat
    if seat is None or not axis:
        return
    tilt = (
        f"axis: {round(seat.tilt, 1):g}° towards {clock_words(seat.toward)}"
        if seat.tilt
        else "axis: square to the face"
    )
    yield Callout(axis[2], tilt, 1)


def _sizes(made: Made, frame: Frame, own: Box) -> Iterator[Size]:
    """The mount's width in this cut, and the heights that its kind shows."""
    numbered = {check.what: f"{'①②③④⑤'[k]} {check.value:.1f}" for k, check in enumerate(caliper_checks(made))}
    yield Size((own[0], own[1]), (own[2], own[1]), "u", -1, f"{own[2] - own[0]:.1f}")
    yield from made.kind.review().papers.heights(made.job, made.plan, frame, own, numbered)
