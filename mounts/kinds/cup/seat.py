"""Seat of the tweeter: how near the grille, how the bore holds it, how far the cup goes behind it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import acos, cos, degrees, hypot, inf, radians, sin, tan

import numpy as np

from mounts.design.body import all_turns, best_turn, body_rings, turn_points
from mounts.design.pressfit import RibbedRing, snap_strain
from mounts.errors import InputError
from mounts.geometry.frames import Frame, tilt_frame
from mounts.geometry.outline import Arc, Line, Outline, Point, Span, circle, offset_outline, polar_point
from mounts.identity import DOME, FLANGE, GRILLE, REAR_FACE, SURROUND, Ident
from mounts.kinds.cup.file import Clamp
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.stakes import PinHead
from mounts.kinds.cup.values import FIRST_LUG, CupSeat, Press, SeatScrew
from mounts.load.models.workshop import Material

ROOM = 0.3  # mm a side, between flange and the room for it
GRIP, LEAD = (3.0, 6.0), 1.0  # mm: length of ribs, and of their slope
TIP = 2.4  # mm: diameter of a rib's tip, about the width that moulding guides give
MOST_FIT = 0.25  # mm: what a moulding guide gives between rib and part
FIT_STEP = 0.01  # mm
OVERS = (0.4, 0.35, 0.3, 0.25, 0.2)  # mm that lip or lugs reach over the flange, the most first
ONCE = 0.7  # of the strain at yield that a ductile plastic bears once (a resin maker's design note)
LUGS, LUG_WIDTH = 3, 24.0  # number, and degrees of each
PLAY, THICK = 0.2, 0.8  # mm: over the flange, and of lip or lug along the axis
CLAMPED = 3.0  # mm between flange and nut, where the grip allows
NUT_ROOM = 1.0  # mm a side round a nut or clip
INSIDE = 0.5  # mm that the seat must lie inside the plate's front
FLOOR = 2.0  # mm under a screw's pocket
LEAST_GRIP = 4.0  # mm of bore behind the seat


def seat_for(job: CupJob, seats: dict[str, PinHead]) -> CupSeat:
    """Return the seat with everything that is cut for the tweeter."""
    turn, screws = _screws(job)
    flange = job.speaker.flange.outline().turned(-turn)
    press = _press(job, flange) if job.retention.by == "press" else None
    clamp = job.retention.clamp
    bore = offset_outline(job.speaker.cutout.outline().turned(-turn), (job.limits.bore + _bore_growth(job)) / 2)
    return CupSeat(
        frame=_frame(job, flange),
        tilt=job.aim.tilt,
        toward=job.aim.toward,
        turn=turn,
        flange=flange,
        room=offset_outline(flange, ROOM),
        bore=bore,
        grip=_grip(job, screws, press, clamp),
        screws=screws,
        press=press,
        nut=clamp.across + 2 * NUT_ROOM if clamp else None,
    )


def _screws(job: CupJob) -> tuple[float, tuple[SeatScrew, ...]]:
    """Return the tweeter's turn, degrees, and its screws; "best" keeps them furthest from the pins."""
    turn = 0.0 if job.turn == "best" else job.turn
    if job.fix_speaker is None or job.speaker.holes is None:
        return turn, ()
    points = job.speaker.holes.points
    insert = job.fix_speaker.hardware.hot
    growth = job.printer.pocket_growth if insert else job.printer.growth
    need = job.fix_speaker.hardware.pocket(job.limits, growth(job.material.name))
    if need.nut is not None:
        what = f"the nut of {job.fix_speaker.hardware.name} has no place in a cup; take an insert or pilot"
        raise InputError(job.problem("fix_speaker.hardware", what))
    if job.turn == "best":
        pins = np.array(list(job.panel.points.values())) - np.asarray(seat_centre(job))
        turns = all_turns()
        away = turn_points(list(points.values()), turns)[:, :, None, :] - pins
        turn = best_turn(turns, np.hypot(away[..., 0], away[..., 1]).min(axis=(1, 2)), 1 if job.side == "left" else -1)
    placed = turn_points(list(points.values()), [turn])[0]
    return turn, tuple(
        SeatScrew(name, (float(x), float(y)), need.hole, need.depth, need.wall)
        for name, (x, y) in zip(points, placed, strict=True)
    )


def _bore_growth(job: CupJob) -> float:
    return job.printer.growth(job.material.name, job.speaker.cutout.least)


def _press(job: CupJob, flange: Outline) -> Press:
    """Return the press fit: ribs, interference, and what keeps the flange."""
    body = grip_zone(job)[0]
    if job.speaker.cutout.diameter_ is None:
        raise InputError(
            job.problem("retention", "ribs grip a round body only; give retention: flange, or another tweeter")
        )
    keep = job.retention.keep
    if not flange.is_circle and keep == "lugs":
        raise InputError(job.problem("retention.keep", "lugs stand over a round flange only; give keep: lip"))
    fit = job.retention.interference if job.retention.interference is not None else _fit(job, body)
    if fit >= job.speaker.cutout.least + job.limits.bore - 2.0:
        raise InputError(
            job.problem(
                "retention.interference", f"{job.units(fit)} leaves no bore; {job.units(MOST_FIT)} is the usual most"
            )
        )
    over = _over(job, flange, LUGS if keep == "lugs" else 0)
    room, past = offset_outline(flange, ROOM), offset_outline(flange, -over)
    growth = _bore_growth(job)
    bore = job.speaker.cutout.least + job.limits.bore + growth
    inside = body - fit + growth
    if not bore - 2 * TIP < inside < bore:
        what = (
            f"the body is {job.units(body)} across in a bore of {job.units(bore, 1)}, and ribs "
            f"bridge {job.units(TIP)} a side at most"
        )
        raise InputError(job.problem("retention", f"{what}: give retention: flange, or read body and cutout again"))
    lugs = LUGS if keep == "lugs" else 0
    return Press(
        ribs=job.retention.ribs,
        body=body,
        fit=fit,
        growth=growth,
        tip=TIP,
        lead=LEAD,
        ribbed=ribbed_bore(bore, inside, job.retention.ribs, TIP),
        lugs=lugs,
        over=over,
        under=job.speaker.flange.thickness + PLAY,
        thick=THICK,
        slope=ROOM + over,
        past=past,
        free=lugged_room(2 * room.box[2], 2 * past.box[2], lugs, LUG_WIDTH) if lugs else past,
        width=LUG_WIDTH if lugs else 360.0,
    )


def _over(job: CupJob, flange: Outline, lugs: int) -> float:
    """Return how far lip or lugs may reach over the flange, mm, so that they survive being pushed past once."""
    wide, wall = 2 * (flange.box[2] + ROOM), job.limits.cup_wall
    return next((o for o in OVERS if snap_strain(o, wide, wall, lugs) <= once_strain(job.material)), OVERS[-1])


def once_strain(material: Material) -> float:
    """Return the strain that a plastic bears once: 70 % of that at yield, taken as strength over modulus."""
    return ONCE * material.strength_mpa / material.modulus_mpa


def _fit(job: CupJob, body: float) -> float:
    """Return the tightest interference, mm, whose strain the plastic bears for years."""
    limit = job.limits.press_strain_pct / 100
    steps = int(MOST_FIT / FIT_STEP + 1e-6)
    fits = [FIT_STEP * k for k in range(1, steps + 1)]
    borne = [fit for fit in fits if all(ring.strain(fit) <= limit for ring in rib_rings(job, body))]
    return borne[-1] if borne else FIT_STEP


def rib_rings(job: CupJob, body: float) -> tuple[RibbedRing, RibbedRing]:
    """Return the ribbed bore as a ring with the thinnest wall that the hub can have there, and with the thickest."""
    inside, wall = job.speaker.cutout.least + job.limits.bore, 2 * job.limits.cup_wall
    thin = RibbedRing(
        body=body,
        inside=inside,
        outside=inside + wall,
        length=grip_zone(job)[1],
        ribs=job.retention.ribs,
        tip=TIP,
        modulus=job.material.modulus_mpa,
        crush=job.material.strength_mpa,
    )
    thick = max(thin.outside, job.speaker.flange.across + 2 * ROOM + wall)
    return thin, replace(thin, outside=thick)


def grip_zone(job: CupJob) -> tuple[float, float]:
    """Return the diameter of the body where ribs grip it, and the length that is so wide, mm."""
    rings = body_rings(job.speaker, 0.0)
    wide = np.interp(LEAD, [-level for level, _ in rings], [across for _, across in rings])
    deep = max(-level for level, across in rings if across >= wide - 0.05)
    if max(across for level, across in rings if level < -LEAD) > wide + 0.05:
        what = f"the body is wider than {job.units(wide, 1)} behind the ribs and cannot be pushed through them"
        raise InputError(job.problem("retention", f"{what}; give retention: flange"))
    length = min(max(deep - LEAD, 0.0), GRIP[1])
    if length < GRIP[0]:
        what = (
            f"the body is {job.units(wide, 1)} across for {job.units(length, 1)} only and ribs "
            f"need {job.units(GRIP[0])}; give retention: flange"
        )
        raise InputError(job.problem("retention", what))
    return float(wide), float(length)


def _grip(job: CupJob, screws: tuple[SeatScrew, ...], press: Press | None, clamp: Clamp | None) -> float:
    """Return how far the bore goes on behind the seat along the axis, mm."""
    if press is not None:
        return LEAD + grip_zone(job)[1]
    if clamp is not None:
        return min(max(CLAMPED, clamp.grip[0]), clamp.grip[1])
    return max([LEAST_GRIP, *(screw.depth + FLOOR for screw in screws)])


def seat_centre(job: CupJob) -> Point:
    """Return the centre of the seat on the panel."""
    at = job.panel.grille.at if job.panel.grille else (0.0, 0.0)
    return (at[0] + job.seat_offset[0], at[1] + job.seat_offset[1])


def _frame(job: CupJob, flange: Outline) -> Frame:
    best = best_height(job, flange)
    most = _most_height(job, flange)
    height = float(np.floor(10 * min(best, most) + 1e-6) / 10) if job.height == "best" else job.height
    if height > most + 1e-6:
        over = ", or what keeps the flange on it," if job.retention.by == "press" else ""
        what = (
            f"a seat at {job.units(height)}{over} comes out of the plate's front; "
            f"{job.units(np.floor(10 * most) / 10)} is the most here"
        )
        raise InputError(job.problem("height", what))
    return tilt_frame((*seat_centre(job), height), job.aim.tilt, job.aim.toward)


def _most_height(job: CupJob, flange: Outline) -> float:
    """Return the highest z of a seat that lies inside the plate all round, with all that stands over its flange."""
    kept = job.speaker.flange.thickness + PLAY + THICK + ROOM + OVERS[0] if job.retention.by == "press" else 0.0
    return -INSIDE - kept * cos(radians(job.aim.tilt)) - tilt_sine(job) * (_reach(flange) + ROOM)


def tilt_sine(job: CupJob) -> float:
    """Return the sine of the tilt."""
    return sin(radians(job.aim.tilt))


def _reach(flange: Outline) -> float:
    return max(hypot(*point) for point in flange.points(0.01, least=8))


def best_height(job: CupJob, flange: Outline) -> float:
    """Return the z of the seat nearest the grille that keeps all clearances to it, in whole tenths of a mm."""
    tops = [front.plane - front.limit - disc_rise(job, front) for front in front_discs(job, flange)]
    return float(np.floor(10 * min(tops) + 1e-6) / 10)


@dataclass(frozen=True, slots=True)
class FrontDisc:
    """A disc of the tweeter that faces the grille, or the rear face where it does not fit the aperture.

    Attributes:
        ident: of the disc.
        over: its height over the seat, mm.
        across: its diameter.
        plane: z of what it faces.
        limit: clearance to that.
    """

    ident: Ident
    over: float
    across: float
    plane: float
    limit: float

    @property
    def before(self) -> Ident:
        """Identity of what it faces."""
        return GRILLE if self.plane > 0 else REAR_FACE


def front_discs(job: CupJob, flange: Outline) -> list[FrontDisc]:
    """Return every disc of the tweeter that faces the grille."""
    speaker, limits = job.speaker, job.limits
    found = [(FLANGE, speaker.flange.thickness, 2 * _reach(flange), limits.front)]
    if speaker.front is not None and speaker.piston_diameter is not None:
        piston, top = speaker.piston_diameter, speaker.front.height + speaker.front.travel
        found.append((SURROUND, speaker.front.height, piston, limits.front))
        found.append((DOME, top, piston, limits.cone_to_grille))
    level = job.panel.grille.height if job.panel.grille else 0.0
    return [
        FrontDisc(ident, over, across, level if passes_aperture(job, over, across) else 0.0, lim)
        for ident, over, across, lim in found
    ]


def disc_outline(seat: CupSeat, front: FrontDisc) -> Outline:
    """Return the outline of such a disc, in the seat's frame."""
    return seat.flange if front.ident == FLANGE else circle(front.across)


def grille_aperture(job: CupJob) -> Outline | None:
    """Return the opening in the rear face, in the panel frame; None where its cover lies in the face itself."""
    grille = job.panel.grille
    return grille.outline().moved(*grille.at) if grille is not None and grille.height > 0 else None


def passes_aperture(job: CupJob, over: float, across: float) -> bool:
    """Return whether a disc over the seat lies inside the grille's aperture, seen from the front."""
    if job.panel.grille is None:
        return False
    drift = over * tan(radians(job.aim.tilt)) + hypot(*job.seat_offset)
    return job.panel.grille.outline().depth((0.0, 0.0)) >= drift + across / 2


def disc_rise(job: CupJob, front: FrontDisc) -> float:
    """Return the height of a disc's highest point above the seat's centre, mm."""
    return front.over * cos(radians(job.aim.tilt)) + front.across / 2 * tilt_sine(job)


def reach_behind(job: CupJob, frame: Frame) -> float:
    """Return the depth behind the face of the tweeter's rearmost point, terminals and nut included, mm."""
    deep = -inf
    for level, across in body_rings(job.speaker, 0.0):
        deep = max(deep, -frame.origin[2] - level * frame.z[2] + across / 2 * tilt_sine(job))
    if job.retention.clamp is not None:
        clamp = job.retention.clamp
        behind = (_grip(job, (), None, clamp) + clamp.height) * frame.z[2]
        deep = max(deep, -frame.origin[2] + behind + clamp.across / 2 * tilt_sine(job))
    for terminal in job.speaker.terminals:
        low = hypot(terminal.reach, terminal.width / 2)
        deep = max(deep, -frame.origin[2] + terminal.depth[1] * frame.z[2] + low * tilt_sine(job))
    return deep


def ribbed_bore(bore: float, inside: float, ribs: int, tip: float, first: float = 90.0) -> Outline:
    """Return the outline of a bore with round-tipped ribs.

    Args:
        bore: diameter between the ribs.
        inside: diameter that the tips leave free.
        ribs: their number.
        tip: diameter of each tip, whose circle crosses the bore.
        first: direction of the first rib, degrees counter-clockwise from x.
    """
    away = inside / 2 + tip / 2  # of a tip's centre from the axis
    half = degrees(acos((away**2 + bore**2 / 4 - tip**2 / 4) / (away * bore)))  # of a rib, seen from the axis
    own = degrees(acos((away**2 + tip**2 / 4 - bore**2 / 4) / (away * tip)))  # of its arc, seen from its own centre
    spans: list[Span] = []
    for k in range(ribs):
        turn = first + 360 * k / ribs
        centre = polar_point((0.0, 0.0), 2 * away, turn)
        spans.append(Arc(centre, tip, turn + 180 + own, -2 * own))
        spans.append(Arc((0.0, 0.0), bore, turn + half, 360 / ribs - 2 * half))
    return Outline(tuple(spans))


def lugged_room(outside: float, inside: float, lugs: int, width: float) -> Outline:
    """Return the outline of a round room with lugs `width` degrees wide that leave a smaller circle free."""
    spans: list[Span] = []
    for k in range(lugs):
        turn = FIRST_LUG + 360 * k / lugs
        lug = Arc((0.0, 0.0), inside, turn - width / 2, width)
        gap = Arc((0.0, 0.0), outside, turn + width / 2, 360 / lugs - width)
        after = polar_point((0.0, 0.0), inside, turn + 360 / lugs - width / 2)
        spans += [lug, Line(lug.end, gap.start), gap, Line(gap.end, after)]
    return Outline(tuple(spans))
