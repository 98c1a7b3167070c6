"""Bending of the board between its feet: sag for years, and stress and swing in a shock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import dist

import numpy as np

from mounts.checks.board.loads import SHOCK, board_body, whole_body
from mounts.checks.board.screws import screw_overhang
from mounts.checks.fastening.loads import lever_of
from mounts.design.loads import REPEATED, bolt_tensions, half_sine
from mounts.design.plate import BentPlate, Grip, Patch, Slab, bend_plate, rigidity
from mounts.findings.compare import at_most
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.outline import circle
from mounts.geometry.ties import most_of
from mounts.identity import FLOOR, Role, called
from mounts.kinds.board.job import BoardJob
from mounts.kinds.board.values import BoardPlan

GRAVITY = 9.81  # m/s²
CREEP = 3.0  # times as far as at first after years in the warmth: common practice, no source
SPAN = 300.0  # a span over this is as far as a shelf may sag and not be seen to (common practice)
PULSE_MS = 6.0  # of the shock, ISO 16750-3
PLATE = "thin plate on its feet by finite elements"


@dataclass(frozen=True, slots=True)
class BoardSection:
    """Section of the board 1 mm wide: share of a solid one's stiffness, and its section modulus, mm²."""

    share: float
    modulus: float


def bending_findings(job: BoardJob, plan: BoardPlan) -> Iterator[Finding]:
    """Yield sag, stress and what strikes the floor; nothing where a device's mass was not measured."""
    if whole_body(job, plan) is None:
        return
    section = board_section(job)
    cases = bend_board(job, plan, section)
    sags = most_of(cases, key=lambda one: one.sag)
    yield _sag(plan, sags)
    shocks = [job.limits.shock * half_sine(one.frequency_hz, PULSE_MS) for one in cases]
    worst = most_of(zip(cases, shocks, strict=True), key=lambda one: one[0].moment * one[1])
    yield _stress(job, plan, worst, section)
    yield _below(job, plan, max(one.sag * by for one, by in zip(cases, shocks, strict=True)))


def bend_board(job: BoardJob, plan: BoardPlan, section: BoardSection) -> tuple[BentPlate, BentPlate]:
    """Return the board bent by 1 m/s², with each device hanging on its screws, and pressing with its footprint."""
    solid = rigidity(job.material.modulus_mpa, plan.thickness, job.material.poisson)
    mass = board_body(job, plan).mass / plan.outline.area
    cuts = tuple(slot.outline for slot in plan.slots)
    slab = Slab(plan.outline, cuts, solid * section.share, job.material.poisson, mass)
    return bend_plate(slab, foot_grips(plan), _hanging(job, plan), _pressing(job, plan))  # type: ignore[return-value]


def board_section(job: BoardJob) -> BoardSection:
    """Return the board's section: a sheet is solid, a printed core as stiff as its infill is dense."""
    core = 0.0
    if job.make == "print":
        core = max(0.0, 1 - 2 * job.printer.top_bottom * job.printer.layer / job.thickness)
    share = 1 - (1 - job.printer.infill_pct / 100) * core**3
    return BoardSection(share, share * job.thickness**2 / 6)


def foot_grips(plan: BoardPlan) -> tuple[Grip, ...]:
    """Return what holds the board at each foot: the foot, or the head of its screw spread through the sheet."""
    return tuple((foot.at, foot.head + plan.thickness if foot.hole else foot.diameter) for foot in plan.feet)


def _pressing(job: BoardJob, plan: BoardPlan) -> list[Patch]:
    stands = zip(job.devices, plan.stands, strict=True)
    return [Patch(stand.outline, placed.device.mass or 0.0) for placed, stand in stands]


def _hanging(job: BoardJob, plan: BoardPlan) -> list[Patch]:
    """Return each device's mass shared among its screws, under their heads spread through half the board."""
    found = []
    for placed, stand in zip(job.devices, plan.stands, strict=True):
        spots = [spot for spot in plan.spots if spot.device == placed.name]
        points = np.array([spot.at for spot in spots])
        shares = bolt_tensions(points, (*stand.at, 0.0), (0.0, 0.0, 1.0), lever_of(points, stand.outline))
        across = spots[0].path - job.limits.tool_path + plan.thickness
        found += [
            Patch(circle(across, spot.at), (placed.device.mass or 0.0) * float(share))
            for spot, share in zip(spots, shares, strict=True)
        ]
    return found


def _sag(plan: BoardPlan, found: BentPlate) -> Finding:
    span = max(min(dist(one.at, other.at) for other in plan.feet if other is not one) for one in plan.feet)
    sag, limit = GRAVITY * found.sag * CREEP, span / SPAN
    what = "sag of the board between its feet after years"
    source = f"{PLATE}; three times as at first, and a 300th of the span: {PRACTICE}"
    advice = f"take a board {(sag / limit) ** (1 / 3):.2f} times as thick, or another foot"
    return at_most("load.sag", sag, limit, what, missed=Verdict.WARN, source=source, advice=advice)


def _stress(job: BoardJob, plan: BoardPlan, worst: tuple[BentPlate, float], section: BoardSection) -> Finding:
    found, by = worst
    stress, limit = by * found.moment / section.modulus, job.material.strength_mpa * REPEATED
    what = f"shock: bending of the board, which swings at {found.frequency_hz:.0f} Hz"
    source = f"{SHOCK.replace(', dynamic factor 1.77', ', half-sine of 6 ms')}; {PLATE}; repeated 0.6"
    advice = f"take a board {(stress / limit) ** 0.5:.2f} times as thick, or another foot near there"
    return at_most("load.board", stress, limit, what, at=(*found.at, plan.top), source=source, advice=advice)


def _below(job: BoardJob, plan: BoardPlan, swing: float) -> Finding:
    """Return the clearance of the board's underside, with the screws' ends, at the shock's greatest swing."""
    found = Gap(
        code="clear.floor",
        between=(called(Role.PART, "board and screws' ends in a shock"), FLOOR),
        gap=plan.bottom - screw_overhang(job, plan) - swing,
        wanted=0.0,
        least=-plan.bottom,
        source=PLATE,
        at=(0.0, 0.0, plan.bottom),
    )
    return found.finding(f"it strikes the floor; take feet {job.units.at_least(-found.gap)} higher")
