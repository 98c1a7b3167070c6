"""Devices on a board: air between and over them, plugs, the board's edge, and a straight tool to each screw."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from mounts.findings.compare import at_least
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding
from mounts.geometry.distance import depths, least_clearance, separation
from mounts.geometry.outline import Point
from mounts.geometry.ties import MARGIN, least_of, sort_with_ties
from mounts.identity import Ident, Role
from mounts.kinds.board.job import BoardJob
from mounts.kinds.board.values import ABOVE, BOARD_EDGE, BoardPlan, Spot, Stand
from mounts.load.models.device import Air, Device

TOUCH = 0.0  # mm: devices may touch where nobody asks for air
HEAD_ROOM = 0.5  # mm between a foot's proud screw head and a device over it
MAKER = "the device's file: what its maker asks for"


def stand_findings(job: BoardJob, plan: BoardPlan) -> Iterator[Finding]:
    """Yield all gaps round the devices, and the access to their screws."""
    devices = {placed.name: placed.device for placed in job.devices}
    for one, other in combinations(plan.stands, 2):
        yield _apart(job, one, other, devices)
    for stand in plan.stands:
        yield from _plugs(job, stand, plan)
        yield _edge(job, stand, plan)
        if job.room is not None:
            yield _above(job, stand, devices[stand.name])
    yield from _reached(job, plan)
    yield from _heads(plan)


def _apart(job: BoardJob, one: Stand, other: Stand, devices: dict[str, Device]) -> Finding:
    """Return the air between two devices, against what the one that needs more asks for."""
    wanted = max(_air(devices[stand.name]).sides for stand in (one, other))
    found = Gap(
        code="air.between",
        between=(one.ident, other.ident),
        gap=separation(one.outline, other.outline),
        wanted=wanted,
        least=TOUCH,
        source=MAKER if wanted else PRACTICE,
        at=(*one.at, one.top),
    )
    return found.finding(f"move one of them by {job.units.at_least(found.wanted - found.gap)}")


def _air(device: Device) -> Air:
    return device.air or Air()


def _plugs(job: BoardJob, stand: Stand, plan: BoardPlan) -> Iterator[Finding]:
    """Yield the room for plugs and bent cables to every other device."""
    for number, room in enumerate(stand.plugs):
        others = [other for other in plan.stands if other is not stand]
        if not others:
            continue
        nearest = least_of(others, key=lambda other: separation(room.outline, other.outline))
        found = Gap(
            code="clear.plugs",
            between=(room.ident, nearest.ident),
            gap=separation(room.outline, nearest.outline),
            wanted=0.0,
            least=0.0,
            source="the device's file",
            at=(*stand.at, stand.top),
        )
        advice = f"move one of them by {job.units.at_least(found.wanted - found.gap)}"
        yield replace(found.finding(advice), case=str(number))


def _edge(job: BoardJob, stand: Stand, plan: BoardPlan) -> Finding:
    """Return the distance of a device to the board's edge; beyond it is bumped into, and its ear hangs in the air."""
    found = Gap(
        code="clear.board-edge",
        between=(stand.ident, BOARD_EDGE),
        gap=least_clearance(stand.outline, plan.finished)[0],
        wanted=0.0,
        least=-min(stand.outline.box[2] - stand.outline.box[0], stand.outline.box[3] - stand.outline.box[1]) / 4,
        source=PRACTICE,
        at=(*stand.at, stand.bottom),
    )
    return found.finding(f"make the board {job.units.at_least(-found.gap)} larger there")


def _above(job: BoardJob, stand: Stand, device: Device) -> Finding:
    """Return the air over a device to what is above, as the job's room was read."""
    assert job.room is not None
    found = Gap(
        code="air.above",
        between=(stand.ident, ABOVE),
        gap=job.room - stand.top,
        wanted=_air(device).above,
        least=0.0,
        source=MAKER,
        at=(*stand.at, stand.top),
        reading="room",
    )
    return found.finding(
        f"{job.units.at_least(found.wanted - found.gap)} more room is wanted: lower feet, or another place"
    )


def _reached(job: BoardJob, plan: BoardPlan) -> Iterator[Finding]:
    """Yield the tightest access to a device screw by a straight tool from above, or all that are blocked."""
    found = [(_way(spot, stand), spot, stand) for spot in plan.spots for stand in plan.stands]
    under = [one for one in found if one[0] < -1e-6]
    for room, spot, stand in under or sort_with_ties(found, (lambda one: one[0], MARGIN))[:1]:
        own = spot.device == stand.name
        advice = "its hole lies under its own body; check outline, body and holes" if own else f"move {stand.name}"
        yield at_least(
            "access.device-screws",
            room,
            0.0,
            f"straight tool for {spot.name} to {'its own body' if own else stand.name}",
            at=(*spot.at, stand.ears),
            between=(Ident(Role.TOOL, spot.name), stand.ident),
            source=f"the head and 1 more across; {PRACTICE}",
            advice=advice if own else f"{advice} by {job.units.at_least(-room)}",
        )


def _way(spot: Spot, stand: Stand) -> float:
    """Return the room from a tool's side to a body, mm; its own device counts only if its ears are drawn apart."""
    if spot.device == stand.name and stand.body == stand.outline:
        return float("inf")
    body = stand.body if spot.device == stand.name else stand.outline
    return -float(depths(body, [spot.at])[0]) - spot.path / 2


def _heads(plan: BoardPlan) -> Iterator[Finding]:
    """Yield the foot screws whose proud heads lie under a device."""
    proud = [foot for foot in plan.feet if foot.hole and not foot.sunk]
    pairs = [(_over(foot.at, stand) - foot.head / 2, foot, stand) for foot in proud for stand in plan.stands]
    under = [one for one in pairs if one[0] < HEAD_ROOM - 1e-6]
    for room, foot, stand in under or sort_with_ties(pairs, (lambda one: one[0], MARGIN))[:1]:
        what = f"screw head of {foot.name} to {stand.name}"
        at = (*foot.at, plan.top)
        between = (foot.ident, stand.ident)
        advice = "move the foot or the device, or take countersunk screws for the feet"
        yield at_least(
            "access.foot-screws", room, HEAD_ROOM, what, at=at, between=between, source=PRACTICE, advice=advice
        )


def _over(at: Point, stand: Stand) -> float:
    return -float(depths(stand.outline, [at])[0])
