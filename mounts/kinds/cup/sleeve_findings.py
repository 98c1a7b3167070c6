"""Findings of the old cup on a sleeve in it: what holds it, what must be glued, the new tweeter where it sits.

Socket that an old cup gives a reducing sleeve, or why it takes none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import cos, floor, hypot, radians, tan

import numpy as np

from mounts.adapting.draft import NoSleeve
from mounts.design.loads import shock
from mounts.findings.compare import at_least, at_most
from mounts.findings.report import PRACTICE, Finding, Verdict, in_order
from mounts.geometry.outline import circle
from mounts.identity import TWEETER
from mounts.kinds.cup.clearances import cup_gaps
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.cup.way import opening_gap
from mounts.kinds.spacer.job import SpacerJob
from mounts.made import Made

LIP, THICK = 2.0, 1.6  # mm: reach and thickness of the lip where no lugs hold it
LEAST_LIP = 0.8  # mm
BESIDE = 1.0  # mm from the lip to a screw's pocket
OldCup = Made[CupJob, CupPlan]
BOND = 0.139  # MPa, 20 psi: design stress of structural silicone under short loads (ASTM C1401, value from memory)
LEAST_THICK = 1.2  # mm of lip
GLUED = {
    "fit.panel.play": "the sleeve into the old cup",
    "hold.pull.panel": "the sleeve into the old cup",
    "hold.pull.device": "the tweeter into the sleeve",
}


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
        raise NoSleeveError(
            f"beside the old screws {job.units(max(reach, 0), 1)} is left for a lip; {job.units(LEAST_LIP)} is needed"
        )
    return Socket(opening, floor(10 * reach) / 10, THICK, 2 * seat.room.box[2], seat.grip, room, False)


def _room_behind(plan: CupPlan, job: CupJob) -> float:
    """Return the free depth behind the seat along the axis, mm: to a closed floor, or to the room's end."""
    if plan.back is not None:
        return plan.back.bottom
    tilt = radians(plan.seat.tilt)
    return (job.panel.room + plan.seat.frame.origin[2]) / cos(tilt) - tan(tilt) * job.speaker.cutout.least / 2


def add_cup_findings(made: Made[SpacerJob], old: Sequence[OldCup], new: Sequence[CupJob], place: Socket) -> Made:
    """Return the sleeve with the findings that only the old cup gives: its hold, and the tweeter's clearances."""
    found = [_glued(one, made) for one in made.report.findings if not (place.ribs and one.code == "hold.pull.panel")]
    if place.ribs:
        found += _kept(old[0], new[0], made, place)
    for was, job in zip(old, new, strict=True):
        found += [*_clear(was, job, place), *_goes_in(made, was, job, place)]
    return replace(made, report=replace(made.report, findings=in_order(found)))


def _glued(finding: Finding, made: Made[SpacerJob]) -> Finding:
    """Return the finding with its advice: what friction does not hold is glued, where a bead bears it, or fails."""
    if finding.verdict is Verdict.PASS or finding.code not in GLUED:
        return finding
    advice = f"glue {GLUED[finding.code]} with a bead that can be cut again"
    if finding.verdict is not Verdict.FAIL:
        return replace(finding, verdict=Verdict.DO, advice=advice)
    need = (finding.limit or 0.0) / _joint(made, finding.code.rpartition(".")[2])
    told = f"{need:.3f} MPa on the joint, a removable bead bears {BOND:g}"
    if need > BOND:
        return replace(finding, advice=f"take a new cup: glue is no help ({told})")
    return replace(finding, verdict=Verdict.DO, advice=f"{advice} ({told})")


def _joint(made: Made[SpacerJob], face: str) -> float:
    """Return the area that can be glued, mm²: half of the sleeve's face there, since no one sees the bead run."""
    job = made.job
    spec = job.device.body if face == "device" else job.port.opening
    assert spec is not None
    assert job.port.depth is not None
    return spec.outline().length * min(job.port.depth, job.device.length or job.port.depth) / 2


def _kept(old: OldCup, new: CupJob, made: Made, place: Socket) -> Iterator[Finding]:
    """Yield what the old lugs or lip hold, from the old cup's report, against the new tweeter and its sleeve."""
    for finding in old.report.findings:
        if finding.code == "press.keep" and new.speaker.mass is not None:
            own = made.part.volume * 1e-9 * made.job.material.density
            need = shock(new.speaker.mass + own, new.limits.slam)
            what, held = f"{finding.what}, of the sleeve", finding.closed_form or 0.0
            yield at_least("press.keep", held, need, what, source=finding.source, advice="take a new cup")
    play = old.job.speaker.flange.thickness - place.thickness
    if play > 0:
        yield at_most(
            "fit.lip",
            play,
            0.0,
            "thickness of the old flange over the sleeve's lip",
            missed=Verdict.DO,
            advice=f"put {made.job.units(play, 1)} of foam tape on its rim, under the old lugs or lip",
        )


def _goes_in(made: Made[SpacerJob], old: OldCup, new: CupJob, place: Socket) -> Iterator[Finding]:
    """Yield the way of sleeve and new tweeter through the grille's opening, by plan and by the finished mesh."""
    flange = new.speaker.flange.across
    widest = 2 * float(np.hypot(*made.part.vertices[:, :2].T).max())
    passing = (opening_gap(old.job, old.plan.seat.frame, circle(max(wide, flange))) for wide in (_lip(place), widest))
    gap, measured = (found[0] for found in passing if found is not None)
    what = f"{new.side}: sleeve and tweeter to grille's opening while fitting"
    yield at_least(
        "way.tweeter", gap, new.limits.passing, what, measured=measured, source=PRACTICE, advice="take a new cup"
    )


def _lip(place: Socket) -> float:
    """Return the diameter of the sleeve's lip, its widest place, mm."""
    return place.opening + 2 * place.reach


def choose_lip(old: OldCup, new: CupJob, place: Socket) -> Socket:
    """Return the thickest lip under the old lugs with which the new tweeter clears the grille; if none, `place`."""
    tenths = range(round(10 * place.thickness), round(10 * LEAST_THICK) - 1, -1)
    for thick in (place.thickness, *(k / 10 for k in tenths if k / 10 < place.thickness)):
        tried = replace(place, thickness=thick)
        if all(one.verdict is Verdict.PASS for one in _clear(old, new, tried)):
            return tried
    return place


def _clear(old: OldCup, new: CupJob, place: Socket) -> Iterator[Finding]:
    """Yield the clearances of the new tweeter on the sleeve's lip, to the grille and to the room's end."""
    plan = old.plan
    lifted = replace(
        plan.seat,
        frame=plan.seat.frame.lifted(place.thickness),
        flange=new.speaker.flange.outline().turned(-plan.seat.turn),
    )
    for gap in cup_gaps(new, replace(plan, seat=lifted)):
        front = gap.code == "clear.grille"
        if front or (gap.code == "clear.room" and gap.between[0] == TWEETER):
            told = gap.finding("take a new cup")
            yield replace(told, what=f"{new.side}: {told.what}")
