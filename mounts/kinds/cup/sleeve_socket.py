"""Socket that an old cup gives a reducing sleeve, or why it takes none."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, floor, hypot, radians, tan

from mounts.adapting.sleeve import NoSleeve
from mounts.kinds.cup.values import CupPlan
from mounts.load.models.job_kinds import CupJob
from mounts.made import Made

LIP, THICK = 2.0, 1.6  # mm: reach and thickness of the lip where no lugs hold it
LEAST_LIP = 0.8  # mm
BESIDE = 1.0  # mm from the lip to a screw's pocket


@dataclass(frozen=True, slots=True)
class Socket:
    """Socket in the old cup.

    Attributes:
        opening: diameter that the sleeve goes into.
        reach, thickness: of the lip on the old seat.
        through: diameter that the new flange must pass.
        depth: of the bore that holds.
        room: free depth behind the seat, along the axis.
        ribs: whether the old cup's ribs hold it.
    """

    opening: float
    reach: float
    thickness: float
    through: float
    depth: float
    room: float
    ribs: bool


class NoSleeveError(Exception):
    """Reason why no sleeve serves, raised to whoever asked for one."""

    def __init__(self, why: str, short: float | None = None) -> None:
        super().__init__(why)
        self.none = NoSleeve(why, short)


def socket_in(old: Made[CupJob, CupPlan]) -> Socket:
    """Return the socket that a cup gives a sleeve; raise NoSleeveError where it gives none."""
    plan, job = old.plan, old.job
    if plan.way == "cup":
        raise NoSleeveError(
            "the old tweeter comes out of the staked cup, and a sleeve into it, only through the opening of a grille "
            "that comes off: panel.grille.cover says so, and its flange must pass"
        )
    seat, press = plan.seat, plan.seat.press
    if seat.nut is not None:
        raise NoSleeveError(
            f"the old cup clamps its tweeter from behind by a {job.retention.by}, which no sleeve passes"
        )
    bore = job.speaker.cutout.diameter_
    if bore is None or not seat.flange.is_circle:
        raise NoSleeveError("a sleeve is round, and bore or flange of the old tweeter are not")
    flange, room = 2 * seat.flange.box[2], _room_behind(plan, job)
    if press is not None:
        reach = (flange - press.body) / 2
        return Socket(press.body, reach, job.speaker.flange.thickness, 2 * press.past.box[2], seat.grip, room, True)
    opening = bore + job.limits.bore
    inner = min((2 * hypot(*one.at) - one.hole for one in seat.screws), default=flange)
    reach = min(LIP, (inner - opening) / 2 - BESIDE)
    if reach < LEAST_LIP:
        raise NoSleeveError(f"beside the old screws {max(reach, 0):.1f} is left for a lip; {LEAST_LIP:g} is needed")
    return Socket(opening, floor(10 * reach) / 10, THICK, 2 * seat.room.box[2], seat.grip, room, False)


def _room_behind(plan: CupPlan, job: CupJob) -> float:
    """Return the free depth behind the seat along the axis, mm: to a closed floor, or to the room's end."""
    if plan.back is not None:
        return plan.back.bottom
    tilt = radians(plan.seat.tilt)
    return (job.panel.room + plan.seat.frame.origin[2]) / cos(tilt) - tan(tilt) * job.speaker.cutout.least / 2
