"""Drawing of the ring: every feature one or more primitives in its place. No dimension is decided here.

Datum: the panel's face is z = 0, the cabin lies towards +z. Cutters overshoot what they cut through by PAST.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import atan2, degrees, hypot

from mounts.design.lettering import Label
from mounts.geometry.frames import PANEL
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import circle, offset_outline
from mounts.identity import BASE, BEAD_ROOM, BORE, FLANGE_ROOM, GASKET_BED, GASKET_GROOVE, TOWER, Ident, Role, called
from mounts.kinds.ring.halves.bed import is_in_b
from mounts.kinds.ring.halves.shape import face_cut, lap_features
from mounts.kinds.ring.values import Base, Fixing, RingPlan, RingSeat, SpeakerScrew, Tower, base_profile
from mounts.shape.primitives import Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Feature, Recipe, Scene

PAST = 1.0  # mm
OVERLAP = 0.2  # mm that stacked cutters share
SLICE = 1.2  # mm, thickness of the first-check slice: six layers


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
