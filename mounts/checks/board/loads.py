"""Shock at the floor: on the devices' screws, on the glue under the feet, and on what joins feet and board.

Each mass sits at half its height. The shock comes from any direction, amplified 1.77 times for an undamped part.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi

import numpy as np

from mounts.checks.board.screws import device_joints, foot_joints
from mounts.checks.fastening.joints import PlacedJoint
from mounts.checks.fastening.loads import Link, PointMass, drawn_link, grip_link, lever_of, load_finding
from mounts.design.fasteners import thread_diameter
from mounts.design.loads import REPEATED, shear_off, shock, worst_shears, worst_tensions
from mounts.findings.compare import at_most
from mounts.findings.report import Finding
from mounts.geometry.frames import Array
from mounts.geometry.ties import first_most, least_of
from mounts.identity import FLOOR, Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.board.job import BoardJob, FootJob, PlacedDevice
from mounts.kinds.board.values import BoardPlan, Spot, Stand
from mounts.load.models.workshop import Material

SHOCK = "ISO 16750-3, rigid points on the body, from any direction, dynamic factor 1.77"
GLUE = "common practice, no source: the floor lining's own layers part first"


@dataclass(frozen=True, slots=True)
class Pulls:
    """Forces of a shock at each foot: greatest pull away from the floor and push along it, (n,) N each."""

    pull: Array
    shear: Array


def whole_body(job: BoardJob, plan: BoardPlan, part: Part | None = None) -> PointMass | None:
    """Return board and devices as one body; None where a device's mass was not measured."""
    if any(placed.device.mass is None for placed in job.devices):
        return None
    bodies = [board_body(job, plan, part)]
    for placed, stand in zip(job.devices, plan.stands, strict=True):
        assert placed.device.mass is not None
        bodies.append(PointMass(placed.device.mass, (*stand.at, (stand.bottom + stand.top) / 2)))
    mass = sum(body.mass for body in bodies)
    x, y, z = (sum(body.mass * body.centre[k] for body in bodies) / mass for k in range(3))
    return PointMass(mass, (x, y, z))


def board_body(job: BoardJob, plan: BoardPlan, part: Part | None = None) -> PointMass:
    """Return the board as a solid body: of the finished part, or by its outline."""
    density = job.material.density * 1e-9
    if part is not None:
        x, y, z = (float(value) for value in part.centroid)
        return PointMass(part.volume * density, (x, y, z))
    centre = (*plan.outline.middle, (plan.bottom + plan.top) / 2)
    return PointMass(plan.outline.area * plan.thickness * density, centre)


def foot_pulls(job: BoardJob, plan: BoardPlan, body: PointMass, height: float = 0.0) -> Pulls:
    """Return the forces at each foot, at a height over the floor lining."""
    points, force = np.array([foot.at for foot in plan.feet]), shock(body.mass, job.limits.shock)
    x, y, z = body.centre
    pull = worst_tensions(points, (x, y, z - height), force, lever_of(points, plan.outline))
    return Pulls(pull, worst_shears(points, (x, y), force))


def load_findings(job: BoardJob, plan: BoardPlan, part: Part) -> Iterator[Finding]:
    """Yield the devices on their screws, and all of it on the glue."""
    for placed, stand in zip(job.devices, plan.stands, strict=True):
        if placed.device.mass is not None:
            yield from _device_screws(job, plan, placed, stand)
    planned, finished = whole_body(job, plan), whole_body(job, plan, part)
    if planned is not None and finished is not None:
        yield _glue(job, plan, planned, finished)
        if job.make == "print":
            yield _root(job, plan, finished)


def _device_screws(job: BoardJob, plan: BoardPlan, placed: PlacedDevice, stand: Stand) -> Iterator[Finding]:
    """Yield the device screw with the greatest pull in a shock, against what fails first."""
    spots = [spot for spot in plan.spots if spot.device == placed.name]
    assert placed.device.mass is not None
    height = (stand.bottom + stand.top) / 2 - plan.top
    points = np.array([spot.at for spot in spots])
    force = shock(placed.device.mass, job.limits.shock)
    pulls = worst_tensions(points, (*stand.at, height), force, lever_of(points, stand.outline))
    worst = first_most(pulls)
    held = device_joints(job, plan, placed, stand)[worst]
    link = _link(job, placed, held, spots[worst], plan)
    pulled = (
        "shock: pull",
        Ident(Role.HARDWARE, spots[worst].through.name, f"screw {spots[worst].name}"),
        float(pulls[worst]),
        None,
    )
    advice = "take larger screws, a thicker board, or through bolts"
    yield load_finding("load.device-screws", pulled, link, held.head, advice, source=SHOCK)


def _link(job: BoardJob, placed: PlacedDevice, held: PlacedJoint, spot: Spot, plan: BoardPlan) -> Link:
    item, strength = placed.fix.hardware, job.material.strength_mpa * REPEATED
    weak = strength * across_layers_of(job.material, job.make)
    if item.drawn is not None:
        what, across = item.drawn
        over = plan.thickness - (spot.pocket[1] if spot.pocket else 0.0)
        return drawn_link(what, (across, spot.hole - job.hole_growth), over, (strength, weak))
    grip = item.grip(held.joint.thread, held.joint.engages)
    assert grip is not None
    return grip_link(grip, weak, job.material)


def across_layers_of(material: Material, make: str) -> float:
    """Return the strength across layers as a share of that along them; 1 for a sheet, which has none."""
    return material.across_layers if make == "print" else 1.0


def _glue(job: BoardJob, plan: BoardPlan, planned: PointMass, finished: PointMass) -> Finding:
    """Return pull and shear of the worst foot's glue against its strength, combined as an ellipse."""
    shares = [_glue_shares(job, plan, body) for body in (planned, finished)]
    worst = first_most(shares[1])
    used, foot = float(shares[1][worst]), plan.feet[worst]
    wider = foot.diameter * used**0.5
    advice = f"take feet {job.units(wider, 0)} across, or more of them"
    advice = f"{advice}; or fix the board to the body, by the maker's instructions"
    return at_most(
        "load.glue",
        float(shares[0][worst]),
        1.0,
        f"shock: load on the glue under {foot.name}, of what it bears",
        measured=used,
        at=(*foot.at, 0.0),
        between=(foot.ident, FLOOR),
        source=f"{SHOCK}; {job.glue.source or GLUE}",
        advice=advice,
    )


def _glue_shares(job: BoardJob, plan: BoardPlan, body: PointMass) -> Array:
    pulls = foot_pulls(job, plan, body)
    areas = np.array([pi / 4 * foot.diameter**2 for foot in plan.feet])
    shares: Array = np.hypot(pulls.pull / areas / job.glue.pull_mpa, pulls.shear / areas / job.glue.shear_mpa)
    return shares


def _root(job: BoardJob, plan: BoardPlan, body: PointMass) -> Finding:
    """Return the stress where a printed foot leaves the board, pulled and bent across its layers."""
    pulls = foot_pulls(job, plan, body, plan.bottom)
    stresses = []
    for foot, pull, shear in zip(plan.feet, pulls.pull, pulls.shear, strict=True):
        bending = shear * plan.bottom / (pi / 32 * foot.diameter**3)
        stresses.append(pull / (pi / 4 * foot.diameter**2) + bending)
    worst, limit = first_most(stresses), job.material.strength_mpa * job.material.across_layers * REPEATED
    what = f"shock: bending at the root of {plan.feet[worst].name}"
    at = (*plan.feet[worst].at, plan.bottom)
    source = f"{SHOCK}; across layers, repeated 0.6"
    advice = "take wider or lower feet"
    return at_most("load.foot", float(stresses[worst]), limit, what, at=at, source=source, advice=advice)


def foot_load_findings(job: FootJob, plan: BoardPlan) -> Iterator[Finding]:
    """Yield the screw from a cut board to its foot, against the thread and the head through the board."""
    board = job.board
    body = whole_body(board, plan)
    if body is None or board.fix_feet is None:
        return
    pulls = foot_pulls(board, plan, body, plan.bottom)
    worst = first_most(np.hypot(pulls.pull, pulls.shear))
    held, foot = foot_joints(job, plan)[worst], plan.feet[worst]
    link = least_of(_foot_links(job, held, plan), key=lambda one: one.bears)
    pulled = ("shock: pull", Ident(Role.HARDWARE, foot.name, f"screw of {foot.name}"), float(pulls.pull[worst]), None)
    advice = "take larger screws for the feet, or more feet"
    yield load_finding("load.foot-screws", pulled, link, held.head, advice, source=SHOCK)


def _foot_links(job: FootJob, held: PlacedJoint, plan: BoardPlan) -> Iterator[Link]:
    assert job.board.fix_feet is not None
    item = job.board.fix_feet.hardware
    weak = job.material.strength_mpa * REPEATED * job.material.across_layers
    grip = item.grip(held.joint.thread, held.joint.engages)
    if grip is not None:
        yield grip_link(grip, weak, job.material)
    foot = plan.feet[0]
    around = thread_diameter(item.thread) if foot.sunk else foot.head
    board = shear_off(around, plan.thickness, job.board.material.strength_mpa * REPEATED)
    yield Link("head through the board", board, "π d t σ / √3")
