"""Every screw of a ring as a joint: where its head bears, what it passes, what holds its thread.

Panel screws run along the panel's z, speaker screws along the seat's. All lengths are measured from under the head; a
countersunk head counts from its top.
"""

from __future__ import annotations

from math import hypot, inf

from mounts.checks.fastening.joints import PlacedJoint
from mounts.design.fasteners import Joint, thread_diameter
from mounts.geometry.frames import PANEL
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import FixingPlace, RingSeat, SpeakerScrew
from mounts.kinds.ring.values import Ring


def washer_height(job: RingJob) -> float:
    """Return the thickness of the washer under a panel screw's head, mm, 0 without one."""
    return job.fix_to_panel.washer.thickness if job.fix_to_panel.washer else 0.0


def places(job: RingJob, plan: Ring) -> tuple[FixingPlace, ...]:
    """Return the fixings of a ring, printed or cut."""
    return plan.places(job.hole_growth)


def panel_joints(job: RingJob, plan: Ring) -> tuple[PlacedJoint, ...]:
    """Return the screws that hold a ring to its panel; none where the sheet decides and was not measured."""
    thread = job.fix_to_panel.hardware.behind(job.panel.face.thickness)
    if thread is None:
        return ()
    found = []
    for place in places(job, plan):
        top = place.seat + washer_height(job)
        joint = Joint(top - place.face + thread.begins, thread.engages, thread.long, inf)
        found.append(PlacedJoint(place.name, (*place.at, top), PANEL.z, joint, thread.source))
    return tuple(found)


def speaker_joints(job: RingJob, plan: Ring) -> tuple[PlacedJoint, ...]:
    """Return the screws that hold the speaker to a ring."""
    if job.fix_speaker is None:
        return ()
    seat, over = plan.seat, plan.seat.lift + job.speaker.flange.thickness
    found = []
    for screw in seat.screws:
        x, y, z = (float(value) for value in seat.frame.out((*screw.at, over)))
        joint, holds = _speaker_joint(job, plan, screw, over)
        found.append(PlacedJoint(screw.name, (x, y, z), seat.frame.z, joint, holds))
    return tuple(found)


def _speaker_joint(job: RingJob, plan: Ring, screw: SpeakerScrew, over: float) -> tuple[Joint, str]:
    assert job.fix_speaker is not None
    item, seat = job.fix_speaker.hardware, plan.seat
    thread = thread_diameter(item.thread)
    top = over - _ledge(seat, screw)
    depth, room = plan.thread_room(screw), over + screw.depth
    if plan.through or item.passes:
        room = _to_face(job, seat, screw, over, (item.end if plan.through else None) or thread)
    found = item.thread_in(over + depth - top)
    return Joint(top + found.begins, found.engages, found.long, room), found.source


def _ledge(seat: RingSeat, screw: SpeakerScrew) -> float:
    """Return the level of the material at a screw: the ledge beside the gasket's bed of a let-in flange, else 0."""
    beside = seat.gasket is None or seat.gasket.depth(screw.at) <= -screw.hole / 2
    return seat.lift if seat.let_in is not None and beside else 0.0


def _to_face(job: RingJob, seat: RingSeat, screw: SpeakerScrew, over: float, across: float) -> float:
    """Return the length from under the head to the face, for an end `across` wide; inf over the opening."""
    x, y, z = (float(value) for value in seat.frame.out((*screw.at, 0.0)))
    nx, ny, nz = seat.frame.z
    below = (x - nx * z / nz, y - ny * z / nz)
    if job.panel.opening.outline().depth(below) >= across / 2:
        return inf
    return over + z / nz - across / 2 * hypot(nx, ny) / nz
