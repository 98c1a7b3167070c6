"""Drawing of the ring: every feature one or more primitives in its place. No dimension is decided here.

Datum: the panel's face is z = 0, the cabin lies towards +z. Cutters overshoot what they cut through by PAST.

Drawing of the laps: their screws, and what is taken off the whole ring so that one half of it stays.

Datum: the panel's face is z = 0, the cabin lies towards +z.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import atan2, cos, degrees, hypot, radians, sin

from mounts.design.lettering import Label
from mounts.geometry.frames import PANEL
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Outline, Point, circle, offset_outline, polygon
from mounts.identity import (
    BASE,
    BEAD_ROOM,
    BORE,
    FLANGE_ROOM,
    GASKET_BED,
    GASKET_GROOVE,
    LAP,
    TOWER,
    Ident,
    Role,
    called,
)
from mounts.kinds.ring.base import FOOT
from mounts.kinds.ring.halves.search import is_in_b
from mounts.kinds.ring.halves.values import Lap, LapScrew, Split
from mounts.kinds.ring.pieces import Base, Fixing, RingSeat, SpeakerScrew, Tower, base_profile
from mounts.kinds.ring.values import RingPlan
from mounts.shape.primitives import Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Feature, Recipe, Scene

FAR, NEAR = 500.0, 10.0  # mm: beyond any ring, and in its bore
PAST = 1.0  # mm
OVERLAP = 0.2  # mm that stacked cutters share
SLICE = 1.2  # mm, thickness of the first-check slice: six layers


def lap_features(split: Split, half: str, top: float) -> Iterator[Feature]:
    """Yield the lap screws in their bosses, and for one half the cut of the other; `top` is over all the ring."""
    for screw in split.screws:
        column = Prism(circle(screw.boss, screw.at), FOOT, screw.seat)
        yield Feature(Ident(Role.BOSS, screw.name), (column,))
        yield Feature(Ident(Role.LAP_SCREW, screw.name), (_screw(screw, split.level, top),), cut=True)
    if half:
        yield Feature(LAP, _room(split, half, top), cut=True)


def _screw(screw: LapScrew, level: float, top: float) -> Revolved:
    profile = (
        (screw.bottom, screw.thread),
        (level, screw.thread),
        (level, screw.clear),
        (screw.seat, screw.clear),
        (screw.seat, screw.head),
        (top, screw.head),
    )
    return Revolved(PANEL.shifted(*screw.at), profile)


def _room(split: Split, half: str, top: float) -> tuple[Prism, Prism]:
    """Return what the other half takes, with the gap: below the level and above it."""
    long, gap, level = split.long / 2, split.gap / 2, split.level
    if half == "a":
        below, above = _sector(split, "b", long - gap), _sector(split, "b", -long - gap)
        return Prism(below, -PAST, level), Prism(above, level - gap, top)
    below, above = _sector(split, "a", long + gap), _sector(split, "a", -long + gap)
    return Prism(below, -PAST, level + gap), Prism(above, level, top)


def face_cut(split: Split, half: str, top: float) -> Feature:
    """Return the cut that the other half takes at the face, up to a height."""
    below = _room(split, half, top)[0]
    return Feature(LAP, (replace(below, high=top),), cut=True)


def _sector(split: Split, of: str, to: float) -> Outline:
    """Return the sector of a half, bounded across each lap `to` mm from its middle towards half b."""
    one, other = split.laps
    ends = ((one, to), (other, -to)) if of == "b" else ((other, -to), (one, to))
    (first, start), (last, end) = ends
    swept = (last.angle - first.angle) % 360
    corners = [_ray(first, start, NEAR), _ray(first, start, FAR)]
    for part in (1, 2, 3):
        angle = radians(first.angle + swept * part / 4)
        corners.append((2 * FAR * cos(angle), 2 * FAR * sin(angle)))
    return polygon([*corners, _ray(last, end, FAR), _ray(last, end, NEAR)])


def _ray(lap: Lap, aside: float, out: float) -> Point:
    x, y = cos(radians(lap.angle)), sin(radians(lap.angle))
    return (out * x - aside * y, out * y + aside * x)


def draw_ring(plan: RingPlan) -> Scene:
    """Draw the ring as a recipe."""
    features = [_base(plan.base), Feature(TOWER, (Ruled(plan.tower.outside),)), *_stops(plan.seat)]
    features += [_bore(plan.tower, plan.seat), *_seat(plan)]
    top = highest(plan.tower) + PAST
    for fixing in plan.fixings:
        features += _fixing(fixing, plan.base.chamfer, top)
    features += [*_back(plan.base), *_terminals(plan), *_wire(plan)]
    features += [_label(label, number) for number, label in enumerate(plan.labels, start=1)]
    if plan.split:
        features += lap_features(plan.split, plan.half, top)
    return Scene(Recipe(plan.name, tuple(features), plan.genus))


def draw_whole(plan: RingPlan) -> Scene | None:
    """Draw the ring that a half belongs to, as if its halves were one; None for a ring in one."""
    if plan.split is None:
        return None
    return draw_ring(replace(plan, half="", genus=plan.split.genus[2]))


def draw_first_check(plan: RingPlan) -> Scene:
    """Draw a slice of the base's outline, opening and screw holes at final size, to hold against the door.

    For one half of a ring it is that half's slice, cut as the half is at the face.
    """
    split, name = plan.split, f"{plan.name}-first-check"
    holes = [circle(fixing.hole, fixing.at) for fixing in plan.fixings]
    body = Feature(
        called(Role.PIECE, "slice"),
        (Prism(plan.base.outline, 0.0, SLICE, islands=(plan.base.opening, *holes)),),
    )
    if split is None or not plan.half:
        return Scene(Recipe(name, (body,), 1 + len(holes)))
    angles = (split.laps[0].angle, split.laps[1].angle)
    own = sum(is_in_b(fixing.at, angles) == (plan.half == "b") for fixing in plan.fixings)
    return Scene(Recipe(name, (body, face_cut(split, plan.half, SLICE + PAST)), own))


def _base(base: Base) -> Feature:
    """Draw the base with its first-layer chamfer below and its broken edge above."""
    sections = tuple(Section(PANEL.lifted(z), offset_outline(base.outline, by)) for z, by in base_profile(base))
    return Feature(BASE, (Ruled(sections),))


def _bore(tower: Tower, seat: RingSeat) -> Feature:
    first = Section(PANEL.lifted(-PAST), tower.inside[0].outline)
    last = Section(seat.frame.lifted(seat.lift + PAST), tower.inside[-1].outline)
    # where the throat is straight down, the face itself is no place at which the outline changes
    middle = tower.inside[1:-1] if tower.throat else tower.inside[:-1]
    return Feature(BORE, (Ruled((first, *middle, last)),), cut=True)


def _stops(seat: RingSeat) -> Iterator[Feature]:
    for number, at in enumerate(seat.stops, start=1):
        yield Feature(Ident(Role.STOP, str(number)), (Prism(circle(seat.stop, at), -PAST, seat.lift, seat.frame),))


def _seat(plan: RingPlan) -> Iterator[Feature]:
    seat = plan.seat
    for screw in seat.screws:
        yield from _speaker_screw(screw, seat)
    if seat.let_in is None:
        return
    if plan.collar is None:
        body: Prism | Ruled = Prism(seat.let_in, seat.lift, seat.rim + PAST, seat.frame)
    else:
        low, high = match_spans(seat.let_in, plan.collar.inside)
        places = [
            (seat.frame.lifted(seat.lift), low),
            (seat.frame.lifted(seat.rim), low),
            (plan.collar.rim, high),
            (plan.collar.rim.lifted(PAST), high),
        ]
        body = Ruled(tuple(Section(frame, outline) for frame, outline in places))
    yield Feature(FLANGE_ROOM, (body,), cut=True)
    if seat.gasket is not None:
        bed = Prism(seat.gasket, 0.0, seat.lift + OVERLAP, seat.frame)
        yield Feature(GASKET_BED, (bed,), cut=True)


def _speaker_screw(screw: SpeakerScrew, seat: RingSeat) -> Iterator[Feature]:
    hole = circle(screw.hole, screw.at)
    ident = Ident(Role.SCREW, screw.name)
    if screw.nut is None:
        yield Feature(ident, (Prism(hole, -screw.depth, seat.lift + PAST, seat.frame),), cut=True)
        return
    yield Feature(ident, (Prism(hole, screw.nut.bears - PAST, seat.lift + PAST, seat.frame),), cut=True)
    below = seat.frame.into((0.0, 0.0, -PAST))[2] - hypot(*screw.at) - screw.nut.diameter
    room = Prism(circle(screw.nut.diameter, screw.at), float(below), screw.nut.bears, seat.frame)
    yield Feature(Ident(Role.NUT, screw.name), (room,), cut=True)


def _fixing(fixing: Fixing, chamfer: float, top: float) -> Iterator[Feature]:
    x, y = fixing.at
    wide = fixing.hole + (0.0 if fixing.recess or fixing.step else 2 * chamfer)
    sunk = max(fixing.sink, fixing.hole)
    profile = (
        (-PAST, wide),
        (0.0, wide),
        (chamfer, fixing.hole),
        (fixing.seat - fixing.sink_depth, fixing.hole),
        (fixing.seat, sunk),
        (fixing.seat + OVERLAP, sunk),
    )
    yield Feature(Ident(Role.HOLE, fixing.name), (Revolved(PANEL.shifted(x, y), profile),), cut=True)
    yield Feature(Ident(Role.PATH, fixing.name), (Prism(fixing.relief, fixing.seat, top),), cut=True)
    if fixing.recess:
        room = Prism(circle(fixing.recess.diameter, fixing.at), -PAST, fixing.step + fixing.recess.depth)
        yield Feature(Ident(Role.RECESS, fixing.name), (room,), cut=True)


def _back(base: Base) -> Iterator[Feature]:
    for ident, groove in ((GASKET_GROOVE, base.seal), (BEAD_ROOM, base.bead)):
        if groove:
            body = Prism(groove.outside, -PAST, groove.depth, islands=(groove.inside,) if groove.inside else ())
            yield Feature(ident, (body,), cut=True)
    for step in base.steps:
        yield Feature(Ident(Role.STEP, step.name), (Prism(step.outline, -PAST, step.height),), cut=True)


def _terminals(plan: RingPlan) -> Iterator[Feature]:
    seat = plan.seat
    for number, relief in enumerate(plan.terminals, start=1):
        reach = max(hypot(*span.end) for span in relief.outline.spans)
        below = float(seat.frame.into((0.0, 0.0, 0.0))[2]) - reach * hypot(*seat.frame.z[:2]) / seat.frame.z[2] - PAST
        yield Feature(
            Ident(Role.RELIEF, str(number), f"terminal {number}"),
            (Prism(relief.outline, below, relief.top, seat.frame),),
            cut=True,
        )


def _wire(plan: RingPlan) -> Iterator[Feature]:
    if plan.wire:
        body = Prism(circle(plan.wire.diameter), 0.0, plan.wire.length + PAST, plan.wire.frame)
        yield Feature(Ident(Role.PASSAGE, "wire", "wire passage"), (body,), cut=True)


def _label(label: Label, number: int) -> Feature:
    low, high = (-OVERLAP, label.depth) if label.raised else (-label.depth, PAST)
    bodies = tuple(
        Prism(solid, low, high, letter.frame, islands) for letter in label.letters for solid, islands in letter.shapes
    )
    return Feature(Ident(Role.LABEL, str(number), f"label {label.text}"), bodies, cut=not label.raised)


def highest(tower: Tower) -> float:
    """Return the z of the tower's highest point, mm."""
    return max(section.frame.origin[2] + _rise(section) for section in tower.outside)


def _rise(section: Section) -> float:
    """Return how far an outline rises above its frame's origin on the uphill side, mm."""
    uphill = section.frame.axes[2, :2]
    return float(hypot(*uphill)) * section.outline.support(degrees(atan2(uphill[1], uphill[0])))
