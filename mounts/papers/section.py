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
from mounts.geometry.outline import Point, rectangle
from mounts.geometry.ties import least_of
from mounts.kernels.sliced import Path, body_loops, held, part_loops, upright
from mounts.kinds.board.surroundings import foot_surroundings as round_foot
from mounts.kinds.board.surroundings import surroundings as round_board
from mounts.kinds.board.values import BoardPlan, FootPlan
from mounts.kinds.cup.surroundings import surroundings as round_cup
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.ring.surroundings import as_drawn, round_sheet
from mounts.kinds.ring.surroundings import surroundings as round_ring
from mounts.kinds.ring.values import FlatPlan, RingPlan, Seat
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.models.resolved import BoardJob, CupJob, FootJob, Job, SpacerJob
from mounts.load.units import clock_words
from mounts.made import Made
from mounts.papers.caliper import caliper_checks, lowest_and_highest
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Envelope

BESIDE, BEYOND = 18.0, 5.0  # mm shown of the panel beside the mount; of glass and grille beyond their near side
DEEP = 60.0  # mm of a thing behind that are shown beyond the mount
SPAN = 600.0  # mm: wider than any sleeve with what is near it
FAR = 45.0  # mm behind or before everything else at which glass, trim or grille are still shown
TONES = {
    "body": Tone.PALE,
    "tweeter": Tone.PALE,
    "flange": Tone.PALE,
    "surround": Tone.PALE,
    "terminals": Tone.PALE,
    "device": Tone.PALE,
    "opening": Tone.BLACK,
    "panel": Tone.BLACK,
    "rear face": Tone.BLACK,
    "trim": Tone.DARK,
    "grille": Tone.DARK,
    "floor lining": Tone.DARK,
    "glass": Tone.DARK,
    "room's end": Tone.DARK,
}
SAID = {"opening": "sheet", "rear face": "panel", "tweeter": "", "surround": "", "flange": ""}
LEFT_OUT = ("on its way", "tool ", "driver ")
FAR_THINGS = ("glass", "grille", "trim", "room's end")


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
    areas += [Area(held(found, box), tone, name) for name, found, tone in things if tone is not Tone.OPEN]
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
    plan = made.plan
    seat = getattr(plan, "seat", None)
    origin: Point = (0.0, 0.0)
    clock = 90.0
    if seat is not None:
        origin = (seat.frame.origin[0], seat.frame.origin[1])
        clock = seat.toward if seat.tilt else 90.0
    elif isinstance(plan, SpacerPlan):
        clock = plan.slit.clock + 90.0 if plan.slit and plan.slit.half is None else 90.0
    there, back = clock_words(clock), clock_words(clock + 180)
    what = "speaker's axis" if seat is not None else "middle"
    return (
        upright(origin, clock),
        f"Cut along the {what}: {back} at the left, {there} at the right, cabin above",
    )


def _things(made: Made, frame: Frame, own: Box) -> list[tuple[str, tuple[Path, ...], Tone]]:
    """What the plane cuts of each thing, with its fill."""
    window = (own[0] - BESIDE, own[1] - 400.0, own[2] + BESIDE, own[3] + 400.0)
    found = []
    for envelope in _envelopes(made):
        if not any(word in envelope.name for word in LEFT_OUT):
            shown = (window[0], own[1] - DEEP, window[2], own[3] + DEEP) if "things" in envelope.reading else window
            loops = body_loops(as_drawn(envelope).bodies, frame, shown)
            if loops:
                found.append((envelope.name, loops, TONES.get(envelope.name, Tone.OPEN)))
    return found


def _envelopes(made: Made) -> tuple[Envelope, ...]:
    job, plan = made.job, made.plan
    if isinstance(job, Job) and isinstance(plan, RingPlan):
        return round_ring(job, plan)
    if isinstance(job, Job) and isinstance(plan, FlatPlan):
        return round_sheet(job, plan.seat)
    if isinstance(job, CupJob) and isinstance(plan, CupPlan):
        return round_cup(job, plan)
    if isinstance(job, BoardJob) and isinstance(plan, BoardPlan):
        return round_board(job, plan)
    if isinstance(job, FootJob) and isinstance(plan, FootPlan):
        return round_foot(job, plan)
    assert isinstance(job, SpacerJob)
    assert isinstance(plan, SpacerPlan)
    return tuple(_round_spacer(job, plan))


def _round_spacer(job: SpacerJob, plan: SpacerPlan) -> Iterator[Envelope]:
    opening, thick = plan.outside.opening, job.port.panel or job.port.depth or 2.0
    sheet = Prism(rectangle(SPAN, SPAN, 1.0), -thick, 0.0, islands=(opening,))
    yield Envelope("panel", (sheet,))
    bore = plan.bore
    yield Envelope("device", (Prism(bore.device, bore.device_back, bore.device_front),))


def _window(own: Box, things: list[tuple[str, tuple[Path, ...], Tone]]) -> Box:
    """What is shown: all that is near, and of glass, trim and grille a strip where they are near enough."""
    near = [point for name, loops, _ in things if not name.startswith(FAR_THINGS) for loop in loops for point in loop]
    near = [point for point in near if own[1] - 150 < point[1] < own[3] + 100]
    low, high = (around(tuple(near), own)[k] for k in (1, 3))
    v0, v1 = low, high
    for name, loops, _ in things:
        if name.startswith(FAR_THINGS):
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
    seat = getattr(made.plan, "seat", None)
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


def _callouts(made: Made, things: list[tuple[str, tuple[Path, ...], Tone]], box: Box) -> Iterator[Callout]:
    """What each thing is, and how clear of it the mount or the speaker is."""
    for name, loops, _ in things:
        said = SAID.get(name, name)
        if not said or name.startswith(("flange of", "screw head", "head ", "cone", "dome", "speaker screws")):
            continue
        points = [p for loop in loops for p in loop if box[1] <= p[1] <= box[3]]
        if not points:
            continue
        side: Literal[-1, 1] = 1 if max(u for u, _ in points) >= -min(u for u, _ in points) else -1
        at = _spot(loops, box, side, name)
        yield Callout(at, f"{said}{_clear(name, made.report.findings)}", side)


def _spot(loops: tuple[Path, ...], box: Box, side: int, name: str) -> Point:
    """A place on a thing that a line from the margin reaches: near the edge of a plate, at the rim of a body."""
    points = [(u, min(max(v, box[1]), box[3])) for loop in loops for u, v in loop]
    if name.startswith((*FAR_THINGS, "opening", "panel", "rear face")):
        at = max(points, key=lambda p: side * p[0])
        level = [v for u, v in points if abs(u - at[0]) < 1.0]
        return (at[0] - side * 4.0, (min(level) + max(level)) / 2)
    return max(points, key=lambda p: (round(side * p[0], 1), -abs(p[1])))


def _clear(name: str, findings: Iterable[Finding]) -> str:
    """The tightest clearance to a thing, in words."""
    found = [f for f in findings if f.between and name in f.between and f.code.startswith("clear.") and f.limit]
    if not found:
        return ""
    worst = least_of(found, key=lambda f: _value(f) - (f.limit or 0.0))
    mark = {Verdict.PASS: "", Verdict.WARN: " WARN", Verdict.FAIL: " FAIL"}[worst.verdict]
    other = next((n for n in worst.between or () if n != name), "")
    return f": {_value(worst):.1f} to {other}, needs {worst.limit:g}{mark}"


def _value(finding: Finding) -> float:
    found = finding.closed_form if finding.measured is None else finding.measured
    return 0.0 if found is None else found


def _aim(made: Made, axis: Path) -> Iterator[Callout]:
    seat = getattr(made.plan, "seat", None)
    if seat is None or not axis:
        return
    tilt = (
        f"axis: {round(seat.tilt, 1):g}° towards {clock_words(seat.toward)}"
        if seat.tilt
        else "axis: square to the face"
    )
    yield Callout(axis[2], tilt, 1)


def _sizes(made: Made, frame: Frame, own: Box) -> Iterator[Size]:
    """Heights over the face, and the mount's width in this cut."""
    plan = made.plan
    numbered = {check.what: f"{'①②③④⑤'[k]} {check.value:.1f}" for k, check in enumerate(caliper_checks(made))}
    yield Size((own[0], own[1]), (own[2], own[1]), "u", -1, f"{own[2] - own[0]:.1f}")
    if isinstance(plan, RingPlan):
        low, high = (frame.into(p) for p in lowest_and_highest(plan.tower.outside[-1]))
        yield Size((float(low[0]), 0.0), (float(low[0]), float(low[1])), "v", 1, numbered["low side"])
        yield Size((float(high[0]), 0.0), (float(high[0]), float(high[1])), "v", -1, numbered["high side"])
        yield Size((own[2], 0.0), (own[2], plan.base.thickness), "v", 2, f"{plan.base.thickness:.1f}")
        yield from _depth(plan.seat, made.job)
    elif isinstance(plan, FlatPlan):
        yield Size((own[2], 0.0), (own[2], plan.sheet), "v", 1, numbered["sheet"])
        yield from _depth(plan.seat, made.job)
    elif isinstance(plan, CupPlan):
        yield Size((own[2], -plan.depth), (own[2], 0.0), "v", 1, f"{plan.depth:.1f}")
        yield Size((own[0], -plan.thickness), (own[0], 0.0), "v", -1, f"{plan.thickness:.1f}")
    elif isinstance(plan, SpacerPlan):
        yield Size((own[2], plan.outside.back), (own[2], plan.front), "v", 1, numbered["whole length"])
        yield Size((own[0], plan.outside.back), (own[0], 0.0), "v", -1, f"{-plan.outside.back:.1f}")


def _depth(seat: Seat, job: object) -> Iterator[Size]:
    """How deep the speaker's rear lies behind the face on its axis."""
    if isinstance(job, Job):
        x = seat.lift - job.speaker.depth
        rear = seat.frame.out((0.0, 0.0, x))
        u = float(np.hypot(rear[0] - seat.frame.origin[0], rear[1] - seat.frame.origin[1]))
        yield Size((-u, float(rear[2])), (-u, 0.0), "v", -2, f"{-float(rear[2]):.1f}")
