"""Drawing of the cup: every feature one or more primitives in its place. No dimension is decided here.

Datum: z = 0 is the panel's rear face, the cup lies at z ≤ 0. Cutters overshoot what they cut through by PAST.

Envelopes of the real things round a cup; findings name gaps by these identities.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.body import body_rings, terminal_block
from mounts.design.measured_planes import things_standing
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import circle, offset_outline, rectangle
from mounts.identity import BODY, BORE, GRILLE, HUB, REAR_FACE, ROOM_END, TWEETER, Ident, Role, called
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.seat import disc_outline, front_discs, grille_aperture, lugged_room
from mounts.kinds.cup.values import (
    BOTTOM,
    CUP_ROOM,
    FILLET,
    FLOOR_PART,
    NUT_ROOM,
    CupPlan,
    CupSeat,
    Stake,
    split_levels,
)
from mounts.shape.primitives import Body, Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Envelope, Feature, Recipe, Scene

SPAN = 400.0  # mm: wider than any cup with what is near it
THICK = 3.0  # mm: plates that stand for something endless, away from the cup
PAST = 1.0  # mm
OVERLAP = 0.2  # mm that stacked cutters share


def surroundings(job: CupJob, plan: CupPlan) -> tuple[Envelope, ...]:
    """Return every envelope that the measurements give."""
    return (*_tweeter(job, plan), *_panel(job), *_behind(job, plan))


def _tweeter(job: CupJob, plan: CupPlan) -> Iterator[Envelope]:
    seat = plan.seat
    body: list[Body] = [Revolved(seat.frame, tuple(reversed(body_rings(job.speaker, 0.0))))]
    yield Envelope(BODY, tuple(body))
    for terminal in job.speaker.terminals:
        block = terminal_block(terminal, seat.frame, seat.turn, 0.0)
        body.append(Prism(block.outline, -block.deep, 0.0, block.frame))
    yield Envelope(TWEETER, tuple(body))
    for front in front_discs(job, seat.flange):
        yield Envelope(front.ident, (Prism(disc_outline(seat, front), 0.0, front.over, seat.frame),))


def _panel(job: CupJob) -> Iterator[Envelope]:
    grille, hole = job.panel.grille, grille_aperture(job)
    if grille is not None and hole is not None:
        cover = Prism(rectangle(SPAN, SPAN, 1.0), grille.height, grille.height + THICK)
        yield Envelope(GRILLE, (cover,))
    face = Prism(rectangle(SPAN, SPAN, 1.0), 0.0, THICK, PANEL, (hole,) if hole else ())
    yield Envelope(REAR_FACE, (face,))
    for ident, thing in things_standing(job.panel):
        body = Prism(thing.outline(), -thing.height, 0.0)
        yield Envelope(ident, (body,))


def _behind(job: CupJob, plan: CupPlan) -> Iterator[Envelope]:
    end = Prism(rectangle(SPAN, SPAN, 1.0), -job.panel.room - THICK, -job.panel.room)
    yield Envelope(ROOM_END, (end,))
    for s in plan.stakes:
        head = Prism(circle(s.head.diameter, s.at), -s.seat - s.head.height, -s.seat)
        yield Envelope(s.pin_head, (head,))


def draw_cup(plan: CupPlan) -> Scene:
    """Draw the cup as a recipe."""
    features = [*_outside(plan), *_seat(plan)]
    for stake in plan.stakes:
        features += _stake(stake, plan)
    features += _back(plan)
    for number, label in enumerate(plan.labels, start=1):
        bodies = tuple(
            Prism(solid, -label.depth, PAST, letter.frame, islands)
            for letter in label.letters
            for solid, islands in letter.shapes
        )
        features.append(Feature(Ident(Role.LABEL, str(number), f"label {label.text}"), bodies, cut=True))
    return Scene(Recipe(plan.name, tuple(features), plan.genus))


def _outside(plan: CupPlan) -> Iterator[Feature]:
    """Yield hub and plate, and the fillet between them, end to end."""
    parts = [
        Ruled(tuple(Section(PANEL.lifted(level.z), level.outline) for level in part))
        for part in split_levels(plan.levels, plan.fillet)
    ]
    yield Feature(HUB, (*parts[:1], *parts[2:]))
    if parts[1:2]:
        yield Feature(FILLET, (parts[1],))


def _seat(plan: CupPlan) -> Iterator[Feature]:
    seat, press = plan.seat, plan.seat.press
    far = 3 * plan.depth + PAST
    low = -plan.back.bottom if plan.back else -far
    yield Feature(CUP_ROOM, _room(seat, far), cut=True)
    bore = press.ribbed if press else seat.bore
    yield Feature(BORE, (Prism(bore, low + (FLOOR_PART if plan.back else 0.0), OVERLAP, seat.frame),), cut=True)
    if plan.back is not None:
        yield Feature(BOTTOM, (Prism(bore, low, low + FLOOR_PART + OVERLAP, seat.frame),), cut=True)
    if press is not None:
        wide = 2 * seat.bore.box[2]
        lead = ((-press.lead, press.inside), (0.0, wide), (OVERLAP, wide))
        yield Feature(called(Role.CUT, "lead-in"), (Revolved(seat.frame, lead),), cut=True)
    nut = seat.nut_room(plan.depth)
    if nut is not None:
        yield Feature(NUT_ROOM, (Prism(nut, -far, -seat.grip, seat.frame),), cut=True)
    for screw in seat.screws:
        hole = circle(screw.hole, screw.at)
        yield Feature(
            Ident(Role.SCREW, screw.name, f"screw {screw.name}"),
            (Prism(hole, -screw.depth, OVERLAP, seat.frame),),
            cut=True,
        )


def _room(seat: CupSeat, far: float) -> tuple[Body, ...]:
    """Return the bodies of the room for the flange; lip or lugs over the flange slope so that it goes in."""
    press, frame = seat.press, seat.frame
    if press is None:
        return (Prism(seat.room, 0.0, far, frame),)
    end, room, past = press.under + press.thick, seat.room, press.past
    if press.lugs:  # cut where the lugs end, so that the mesh kernel draws the arcs between them with the same chords
        room, past = (lugged_room(2 * o.box[2], 2 * o.box[2], press.lugs, press.width) for o in (room, past))
    return (
        Prism(room, 0.0, press.under, frame),
        Prism(press.free, press.under - OVERLAP, end + press.slope, frame),
        Ruled((Section(frame.lifted(end), past), Section(frame.lifted(end + press.slope), room))),
        Prism(room, end + press.slope - OVERLAP / 4, far, frame),
    )


def _stake(stake: Stake, plan: CupPlan) -> Iterator[Feature]:
    """Yield the hole through the plate, its mouth widened so that the pin finds it; and the well behind it."""
    mouth, low = offset_outline(stake.hole, plan.mouth), -stake.seat - PAST
    places = [(low, stake.hole), (-plan.mouth, stake.hole), (0.0, mouth), (PAST, mouth)]
    yield Feature(
        Ident(Role.HOLE, stake.name), (Ruled(tuple(Section(PANEL.lifted(z), o) for z, o in places)),), cut=True
    )
    yield Feature(Ident(Role.WELL, stake.name), (Prism(stake.relief, -plan.depth - PAST, -stake.seat),), cut=True)


def _back(plan: CupPlan) -> Iterator[Feature]:
    if plan.back is not None:
        for name, hole in (("vent", plan.back.vent), ("wire hole", plan.back.wire)):
            if hole is not None:
                at, across = hole
                high = -plan.depth + plan.back.floor + PAST + plan.back.rise
                yield Feature(
                    called(Role.PASSAGE, name), (Prism(circle(across, at), -plan.depth - PAST, high),), cut=True
                )
    if plan.wire is not None:
        notch = plan.wire
        yield Feature(
            Ident(Role.PASSAGE, "notch", "wire notch"),
            (Prism(notch.outline, 0.0, notch.length, notch.frame),),
            cut=True,
        )
