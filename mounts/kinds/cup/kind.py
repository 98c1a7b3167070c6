"""Entry of the cup in the table of kinds.

Cautions of a cup, and the readings that were not taken.

Sizes by which two cups are compared.

Margins, room and holes that choosing and matching need of a cup.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mounts.kinds.cautions import BATTERY, FIRST, fume_cautions, material_cautions, nearby_cautions
from mounts.kinds.cup.clearances import cup_gaps
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.plan import cup_pose, plan_cup
from mounts.kinds.cup.seat import reach_behind
from mounts.kinds.cup.shape import draw_cup, surroundings
from mounts.kinds.cup.stakes import pin_errors, pin_heads, pin_pattern, slot_along
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.cup.way import find_way
from mounts.kinds.kind import Kind
from mounts.kinds.review import Review
from mounts.kinds.sizes import NamedSize, extents, label_size, seat_sizes
from mounts.kinds.speaker_kind import (
    OWN,
    AvailableRoom,
    Margin,
    MountHoles,
    SpeakerKind,
    margin_from,
    plan_seat,
    seat_frame,
    speaker_readings,
)

IRON = (
    "Staking iron: at 210 to 250 °C it burns at once and hot plastic sticks to skin; stand it safely, keep a hand's "
    "width from its tip, let a head cool under the tip before you lift it."
)
PIN_FUMES = (
    "Melting the pins of a panel whose plastic you do not know gives off fumes: air the room, lead them away from "
    "your face, and stop when it smokes; it is then too hot."
)
FAR = (
    "Stake on the bench, never in the vehicle: no iron near airbags, belt tensioners, sensors or their wires. A panel "
    "that covers an airbag is never staked or altered."
)
COLD = "Tweeter: it goes in when all heads are cold; an iron beside it softens what holds its coil."
SHIELD = (
    "Tweeter: it is in the cup while that is staked. Keep the iron's heat off it with a strip of metal sheet, its "
    "cable out of the wells, and the iron's tip away from its magnet."
)
TRY = "Try iron and time on a spare pin first: a head that was overheated is brittle."
LOOSE = "Pull at the cup when all heads are cold, and again after the first hot days: a loose cup rattles or falls."
INSERT = "Heat-set inserts: as with the staking iron; set them before the cup goes on."
BEST = "clear.grille"  # a cup is set as near the grille as it may be


def cup_cautions(job: CupJob) -> tuple[str, ...]:
    """Return the cautions that concern one cup, the most important first."""
    return (
        FIRST,
        BATTERY,
        *nearby_cautions(job.panel.nearby),
        FAR,
        IRON,
        PIN_FUMES,
        COLD if find_way(job) == "grille" else SHIELD,
        TRY,
        *_work(job),
        *material_cautions(job),
        LOOSE,
    )


def _work(job: CupJob) -> Iterator[str]:
    yield from fume_cautions(job)
    if job.fix_speaker is not None and job.fix_speaker.hardware.hot:
        yield INSERT


def cup_unread(job: CupJob) -> tuple[str, ...]:
    """Return the paths of the readings that a check would have used, had they been taken."""
    panel = job.panel
    given = {
        "panel.grille": panel.grille is not None,
        "panel.grille.cover": panel.grille is None or panel.grille.cover is not None,
        "panel.standing": bool(panel.standing),
        **speaker_readings(job),
    }
    return tuple(path for path, known in given.items() if not known)


def cup_sizes(plan: CupPlan) -> Iterator[NamedSize]:
    """Yield the named sizes of a cup."""
    seat, press = plan.seat, plan.seat.press
    yield NamedSize("height of the seat", (seat.frame.origin[2],))
    yield from seat_sizes(seat)
    yield NamedSize("room for the flange", extents(seat.room))
    yield NamedSize("length of the bore that holds", (seat.grip,))
    if press is not None:
        yield NamedSize("between the ribs' tips", (press.inside,))
        yield NamedSize("ribs", (float(press.ribs),), "1")
        yield NamedSize("reach of the lugs" if press.lugs else "reach of the lip", (press.over,))
    if seat.nut is not None:
        yield NamedSize("room for the nut", (seat.nut,))
    yield NamedSize("plate", extents(plan.outline))
    yield NamedSize("plate's thickness", (plan.thickness,))
    yield NamedSize("depth of the back", (plan.depth,))
    for stake in plan.stakes:
        yield NamedSize(f"hole of pin {stake.name}", (stake.width,) if not stake.way else (stake.width, stake.length))
    yield label_size(plan.labels)


def cup_margin(job: CupJob) -> Margin:
    """Return the margin of a cup; raise InputError where it cannot be drawn."""
    plan = plan_cup(job)
    gaps = tuple(cup_gaps(job, plan))
    room = [gap for gap in gaps if gap.code not in (*OWN, BEST, "way.tweeter")]
    return margin_from(gaps, room, plan.walls, plan.seat.frame.origin[2])


def cup_holes(job: CupJob, names: Sequence[str]) -> MountHoles:
    """Return the holes of a cup for some of its panel's pins."""
    held = pin_pattern(job, pin_heads(job))
    way = slot_along(job.panel.points[held.locator], job.panel.points[held.slot], held.way)
    slots = tuple(way if name == held.slot else None for name in names)
    words = f"located at {held.locator}, slot at {held.slot}"
    return MountHoles(tuple(held.gaps[name] for name in names), slots, words, pin_errors(job).calibrated)


def cup_room(level: CupJob, job: CupJob) -> AvailableRoom:
    """Return the room for a body as wide as the job's tweeter."""
    frame = plan_cup(job).seat.frame
    left = job.panel.room - job.limits.fixed - reach_behind(job, frame)
    depth = int(10 * (job.speaker.depth + left / frame.z[2])) / 10
    return AvailableRoom(job.aim.tilt, frame.origin[2], depths=((job.speaker.cutout.least, (depth, "room")),))


HELD_IN_CUP = SpeakerKind(seat=plan_seat, gaps=cup_gaps, margin=cup_margin, room=cup_room, holes=cup_holes)


def _review() -> Review[CupJob, CupPlan]:
    from mounts.kinds.cup.review import CUP

    return CUP


CUP = Kind(
    job=CupJob,
    name="Cup",
    plan=plan_cup,
    shape=draw_cup,
    surroundings=surroundings,
    axis=seat_frame,
    cautions=cup_cautions,
    unread=cup_unread,
    review=_review,
    pose=cup_pose,
    sizes=cup_sizes,
    holds=HELD_IN_CUP,
)
