"""Screws of a board: those of its devices through ears, carpet and board, and those of its feet."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from mounts.checks.fastening.joints import PlacedJoint, choose_length
from mounts.checks.fastening.screws import length_findings
from mounts.design.fasteners import Joint, thread_diameter
from mounts.findings.compare import Said, at_least, at_most
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.frames import PANEL
from mounts.kinds.board.feet import plan_foot
from mounts.kinds.board.job import BoardJob, FootJob, PlacedDevice
from mounts.kinds.board.plate import head_of
from mounts.kinds.board.values import BoardPlan, Stand
from mounts.lengths import Units

LINING = 1.0  # mm that a screw's end keeps from the floor lining
SLACK = 0.2  # mm that a screw is narrower than the hole it passes, at least


def screw_findings(job: BoardJob, plan: BoardPlan) -> Iterator[Finding]:
    """Yield lengths and engagement, ends above the floor, and heads on their ears, for each device."""
    for placed, stand in zip(job.devices, plan.stands, strict=True):
        held = device_joints(job, plan, placed, stand)
        yield from _short_thread(placed, held, job.units)
        yield from length_findings("device", held, placed.fix.screw, units=job.units)
        yield from _ends(plan, placed, held, job.units)
        yield _head(placed, job.units)


def device_joints(job: BoardJob, plan: BoardPlan, placed: PlacedDevice, stand: Stand) -> tuple[PlacedJoint, ...]:
    """Return every screw of a device from under its head; carpet under the ears counts at full thickness."""
    joint, holds = _joint(job, plan, placed)
    spots = [spot for spot in plan.spots if spot.device == placed.name]
    return tuple(PlacedJoint(spot.name, (*spot.at, stand.ears), PANEL.z, joint, holds) for spot in spots)


def _joint(job: BoardJob, plan: BoardPlan, placed: PlacedDevice) -> tuple[Joint, str]:
    item, over = placed.fix.hardware, placed.device.ears + (job.wrap.thickness if job.wrap else 0.0)
    room = over + plan.thickness + plan.bottom - LINING
    found = item.thread_in(plan.thickness, from_behind=True)  # an insert is set from below, flush with the underside
    return Joint(over + found.begins, min(found.engages, found.long), found.long, room), found.source


def foot_joints(job: FootJob, plan: BoardPlan) -> tuple[PlacedJoint, ...]:
    """Return every screw from above through the board into its foot; carpet is punched out under the head."""
    board = job.board
    assert board.fix_feet is not None
    item, foot = board.fix_feet.hardware, plan_foot(job)
    found = item.thread_in(foot.depth)
    joint = Joint(plan.thickness, found.engages, found.long, plan.thickness + foot.depth)
    return tuple(PlacedJoint(one.name, (*one.at, plan.top), PANEL.z, joint, found.source) for one in plan.feet)


def foot_screw_findings(job: FootJob, plan: BoardPlan) -> Iterator[Finding]:
    """Yield length and engagement of the feet's screws; a countersunk head is an instruction."""
    assert job.board.fix_feet is not None
    yield from length_findings("foot", foot_joints(job, plan), job.board.fix_feet.screw, units=job.units)


def _short_thread(placed: PlacedDevice, held: tuple[PlacedJoint, ...], units: Units) -> Iterator[Finding]:
    """Yield a finding on a pilot with less board than it needs thread."""
    item = placed.fix.hardware
    need = item.thread_in(inf)
    if not held or held[0].joint.thread >= need.engages:
        return
    what = f"thread of {item.name} in the board, {placed.name}"
    advice = f"take a board {units(need.engages)} thick, a smaller screw, or through bolts"
    said: Said = {"at": held[0].head, "case": f"{placed.name} thread", "source": need.source, "advice": advice}
    yield at_least("screw.device", held[0].joint.thread, need.engages, what, **said)


def _ends(plan: BoardPlan, placed: PlacedDevice, held: tuple[PlacedJoint, ...], units: Units) -> Iterator[Finding]:
    """Yield the clearance of the screws' ends below the board to the floor lining."""
    length = choose_length(held[0], placed.fix.screw) if held else None
    if length is None:
        return
    low = held[0].tip(length)[2]
    what = f"ends of {placed.name}'s screws to the floor lining"
    advice = f"take feet {units.at_least(LINING - low)} higher"
    said: Said = {"at": held[0].tip(length), "case": placed.name, "source": PRACTICE, "advice": advice}
    yield at_least("screw.below", low, LINING, what, **said)


def _head(placed: PlacedDevice, units: Units) -> Finding:
    """Return whether the device's holes pass the screw and hold its head."""
    passes, thread = placed.device.holes.passes, thread_diameter(placed.fix.hardware.thread)
    head = head_of(placed.fix)
    what = f"width of {placed.name}'s holes for {thread:g} screws with heads of {units(head)}"
    slips: Said = {"case": placed.name, "source": PRACTICE, "advice": "put a washer under the head"}
    jams: Said = {"case": placed.name, "source": PRACTICE, "advice": "take a thinner screw"}
    falls = at_most("screw.ear", passes, head - SLACK, what, **slips)
    goes = at_least("screw.ear", passes, thread + SLACK, what, **jams)
    return falls if goes.verdict is Verdict.PASS and falls.verdict is Verdict.FAIL else goes


def screw_overhang(job: BoardJob, plan: BoardPlan) -> float:
    """Return how far the longest screw's end stands out below the board, mm."""
    most = 0.0
    for placed, stand in zip(job.devices, plan.stands, strict=True):
        held = device_joints(job, plan, placed, stand)
        length = choose_length(held[0], placed.fix.screw) if held else None
        if length is not None:
            most = max(most, plan.bottom - held[0].tip(length)[2])
    return most
