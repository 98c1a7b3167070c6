"""Strength of a ring in a slam: bent as a girder between its screws, and its tower held by its layers.

wall  __      the tower's wall bends with the base, as far as it is high there and nothing is cut out of it
     |  |
base |__|_______
     |__   _____|  width there, less the gasket groove, holes and recesses
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, ceil, hypot, inf, pi

import numpy as np

from mounts.checks.ring.fastening.joints import places
from mounts.checks.ring.fastening.loads import across_layers, speaker_body, whole_body
from mounts.design.loads import (
    BEND_TO_TWIST,
    REPEATED,
    Bar,
    LoadedRing,
    bent_section,
    loaded_ring,
    section_modulus,
    shock,
    torsion_constant,
)
from mounts.findings.compare import at_most
from mounts.findings.report import Finding, Verdict
from mounts.geometry.distance import depths
from mounts.geometry.frames import Array, Vector
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline
from mounts.geometry.ties import first_most
from mounts.identity import Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Groove
from mounts.kinds.ring.values import Cut, Ring, RingPlan

STEP = 3.0  # degrees from section to section
BASE_LEFT = 0.5  # mm of base beside what is cut into it, so that a section always is one
FRAME = 0.5  # of the bending that a speaker's own pressed frame takes where the ring gives: common practice, no source
SLAM = "ISO 16750-3, doors and flaps, dynamic factor 1.77"


@dataclass(frozen=True, slots=True)
class Cuts:
    """Bounds of a ring's section and what is cut into it, as radii by angle and round holes.

    Attributes:
        angles: of the sections about the opening's centre, radians.
        inner, outer: reach of the bore and of the base there.
        thick: of the base.
        holes: (x, y, diameter, depth from the face), a hole right through as deep as the base.
        grooves: (width, depth) of what runs all round.
    """

    angles: Array
    inner: Array
    outer: Array
    thick: float
    holes: tuple[Cut, ...]
    grooves: tuple[tuple[float, float], ...]


def bending_findings(job: RingJob, plan: Ring, part: Part | None = None) -> tuple[Finding, ...]:
    """Return the bending between the panel screws, and the tower's foot; none without the speaker's mass."""
    planned, finished = whole_body(job, plan), whole_body(job, plan, part)
    if planned is None or finished is None:
        return ()
    per_newton, where = worst_bending(job, plan)
    stress, real = (per_newton * shock(body.mass, job.limits.slam) for body in (planned, finished))
    girder = _bent_ring(job, plan, (stress, real if part is not None else None), where)
    return (girder,) if plan.tower is None else (girder, _foot(job, plan))


def worst_bending(job: RingJob, plan: Ring) -> tuple[float, Vector]:
    """Return the greatest bending stress of the ring on its screws for a pull of 1 N, MPa, and its place."""
    girder, cuts, sections = _girder(job, plan)
    middle = (cuts.inner + cuts.outer) / 2
    moduli = np.array([section_modulus(section) for section in sections])
    stresses = np.abs(girder.bending(cuts.angles)) * middle.mean() / (2 * pi) / moduli
    at = first_most(stresses)
    x, y = middle[at] * np.cos(cuts.angles[at]), middle[at] * np.sin(cuts.angles[at])
    return float(stresses[at]), (float(x), float(y), cuts.thick / 2)


def lap_bending(job: RingJob, plan: RingPlan, angle: float, long: float) -> tuple[float, float]:
    """Return the moment, mm, and the shear on a lap of the ring bent by a pull of 1 N.

    Args:
        job: for the places of the screws.
        plan: of the ring.
        angle: of the lap's middle, degrees counter-clockwise from +x.
        long: the lap along the ring, mm; the greatest moment on it counts.
    """
    girder, cuts, _ = _girder(job, plan)
    middle = float((cuts.inner + cuts.outer).mean()) / 2
    reach = np.radians(angle) + np.array([-1, 0, 1]) * long / 2 / middle
    moment, shear = np.abs(girder.bending(reach)).max(), girder.shear(reach).max()
    return float(moment) * middle / (2 * pi), float(shear) / (2 * pi)


def tower_stress(job: RingJob, plan: Ring) -> float:
    """Return the pull on the layers at the tower's foot for a slam from the worst direction, MPa; 0 without one."""
    body, tower = speaker_body(job, plan), plan.tower
    assert body is not None
    if tower is None:
        return 0.0
    across, wall = 2 * (tower.mouth.area / pi) ** 0.5 + tower.wall, tower.wall
    cut = sum(job.speaker.terminals[k].width + 2 * job.limits.terminals for k in range(len(plan.terminals)))
    whole = max(0.1, 1 - cut / (pi * across))
    force, lever = shock(body.mass, job.limits.slam), abs(body.centre[2] - plan.thickness)
    return hypot(force / (pi * across * wall * whole), force * lever / (pi / 4 * across**2 * wall * whole))


def _girder(job: RingJob, plan: Ring) -> tuple[LoadedRing, Cuts, list[tuple[Bar, ...]]]:
    """Return the ring as a girder on its screws, with its bounds and its sections all round and at each screw."""
    points = np.array([place.at for place in places(job, plan)])
    supports = np.arctan2(points[:, 1], points[:, 0]) % (2 * pi)
    cuts = _cuts(plan, np.sort(np.concatenate([np.radians(np.arange(0.0, 360.0, STEP)), supports])))
    sections = [_section(cuts, k, wall) for k, wall in enumerate(_walls(plan, cuts.angles))]
    bends = np.mean([bent_section(section)[0] for section in sections])
    ratio = BEND_TO_TWIST * bends / np.mean([torsion_constant(section) for section in sections])
    return loaded_ring(supports, float(ratio)), cuts, sections


def _cuts(plan: Ring, angles: Array) -> Cuts:
    grooves = tuple((_width(groove), groove.depth) for groove in plan.grooves)
    reach = (_radii(plan.mouth, angles), _radii(plan.footprint, angles))
    return Cuts(angles, *reach, plan.thickness, plan.cuts, grooves)


def _section(cuts: Cuts, k: int, wall: Bar | None) -> tuple[Bar, ...]:
    """Return the section at the k-th angle: base, wall, and cuts side by side until the base's width is used up."""
    angle, width = float(cuts.angles[k]), max(BASE_LEFT, float(cuts.outer[k] - cuts.inner[k]))
    taken = [(_chord(hole[:2], hole[2], angle), hole[3]) for hole in cuts.holes]
    bars, left = [Bar(width, 0.0, cuts.thick), *([wall] if wall else [])], width - BASE_LEFT
    for wide, deep in sorted([*taken, *cuts.grooves], key=lambda one: -one[1]):
        if min(wide, left) > 0:
            bars.append(Bar(-min(wide, left), 0.0, deep))
            left -= min(wide, left)
    return tuple(bars)


def _walls(plan: Ring, angles: Array) -> list[Bar | None]:
    """Return the tower's wall over the base at each angle, None where none is left."""
    seat, tower = plan.seat, plan.tower
    if tower is None:
        return [None] * len(angles)
    reach = _radii(seat.outline, angles)
    free = reach - _radii(hull([seat.bore, *(relief.outline for relief in plan.terminals)]), angles)
    thin = np.minimum(tower.wall, free if plan.terminals else inf)
    beside = {wall.between[0]: wall.thickness for wall in plan.walls if wall.code == "wall.path-bore"}
    for place in plan.places(0.0):
        near = _near(place.at, place.path or 0.0, angles)
        thin = np.where(near, np.minimum(thin, beside.get(Ident(Role.PATH, place.name), inf)), thin)
    lean = (seat.frame.z[0] * np.cos(angles) + seat.frame.z[1] * np.sin(angles)) / seat.frame.z[2]
    high = seat.frame.origin[2] - reach * lean - seat.edge
    low = np.full(len(angles), plan.thickness)
    if plan.wire:
        x, y, z = (float(value) for value in plan.wire.frame.out((0.0, 0.0, float(reach.min()))))
        low = np.where(_near((x, y), plan.wire.diameter, angles), z + plan.wire.diameter / 2, low)
    return [
        Bar(float(t), float(a), float(b)) if t > 0 and b > a else None for t, a, b in zip(thin, low, high, strict=True)
    ]


def _radii(outline: Outline, angles: Array) -> Array:
    """Return the reach of a convex outline from the origin at each angle."""
    points = np.array(outline.points(0.02, least=24))
    found = np.arctan2(points[:, 1], points[:, 0])
    order = np.argsort(found)
    radii: Array = np.interp(angles, found[order], np.hypot(*points[order].T), period=2 * pi)
    return radii


def _chord(at: tuple[float, float], diameter: float, angle: float) -> float:
    """Return how much of a ray from the origin lies in a round hole."""
    ahead, aside = at[0] * np.cos(angle) + at[1] * np.sin(angle), at[1] * np.cos(angle) - at[0] * np.sin(angle)
    return 2 * max(0.0, diameter**2 / 4 - float(aside) ** 2) ** 0.5 if ahead > 0 else 0.0


def _near(at: tuple[float, float], diameter: float, angles: Array) -> Array:
    """Return which rays from the origin meet a disc."""
    reach = asin(min(1.0, diameter / 2 / hypot(*at)))
    off: Array = np.abs((angles - np.arctan2(at[1], at[0]) + pi) % (2 * pi) - pi) < reach
    return off


def _width(groove: Groove) -> float:
    assert groove.inside is not None
    return float(depths(groove.outside, groove.inside.points(0.1, least=8)).min())


def _bent_ring(job: RingJob, plan: Ring, found: tuple[float, float | None], at: Vector) -> Finding:
    """Return the bending on the panel screws; up to what the speaker's own frame may take it only warns."""
    planned, measured = found
    stress, limit = planned if measured is None else measured, job.material.strength_mpa * REPEATED
    return at_most(
        "load.ring",
        planned,
        limit,
        "door slam: bending of the ring between its panel screws",
        measured=measured,
        missed=Verdict.FAIL if stress * (1 - FRAME) > limit else Verdict.WARN,
        at=at,
        source=f"{SLAM}; bow girder on its screws, the speaker's frame left out; repeated 0.6",
        advice=lambda: _thicker(job, plan, stress / limit),
    )


def _thicker(job: RingJob, plan: Ring, times: float) -> str:
    """Return the nearest thickness, in half millimetres, at which the ring is stiff enough, as advice."""
    thick = plan.thickness
    others, wanted = "more fixings, or a stronger material", worst_bending(job, plan)[0] / times
    for need in np.arange(ceil(2 * thick + 1e-6) / 2, 2 * thick, 0.5):
        if worst_bending(job, plan.thickened(float(need)))[0] <= wanted:
            return f"take a base {job.units(need)} thick, as {plan.thickness_key(need, job.units)}, or {others}"
    return f"take {others}"


def _foot(job: RingJob, plan: Ring) -> Finding:
    what = "door slam: pull on the tower's foot, across its layers"
    limit = job.material.strength_mpa * REPEATED * across_layers(job)
    source = f"{SLAM}; thin tube, pulled and bent; repeated 0.6, across layers {job.material.across_layers:g}"
    advice = "take a thicker wall, as limits: {wall: …}, or a stronger material"
    return at_most("load.ring", tower_stress(job, plan), limit, what, case="foot", source=source, advice=advice)
