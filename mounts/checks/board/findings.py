"""All findings on a board, cut or printed, and on the foot under one that is cut.

Heat of the place and of the devices on the board and on the devices.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mounts.checks.board.bending import bending_findings
from mounts.checks.board.devices import stand_findings
from mounts.checks.board.loads import foot_load_findings, load_findings
from mounts.checks.board.screws import foot_screw_findings, screw_findings
from mounts.checks.heat import climate_findings, heat_finding
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import wall_findings
from mounts.checks.printing.findings import printing_findings
from mounts.checks.printing.patches import Surface
from mounts.checks.ring.findings import edge_finding
from mounts.checks.ring.holes import WantedHole, hole_findings, read_in_mesh
from mounts.checks.ring.readback import exact_hole_findings
from mounts.findings.compare import Said, at_least, at_most, state
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.frames import PANEL
from mounts.geometry.ties import most_of
from mounts.kernels.part import Part
from mounts.kinds.board.job import BoardJob, FootJob, PlacedDevice
from mounts.kinds.board.plan import board_pose, plan_board
from mounts.kinds.board.plate import CHAMFER, EDGE
from mounts.kinds.board.values import SCREW_HOLE, BoardPlan, FootPlan
from mounts.lengths import Units
from mounts.load.models.device import Device

DRIVEN = 45.0  # °C of the air in a vehicle that is driven in summer: common practice, no source
SHEDS = 10.0  # W/(m² K) that a box sheds by rising air and radiation together: common practice, no source
CABLE = 2.0  # mm, least radius on an edge that a cable lies on: common practice, no source


def heat_findings(job: BoardJob) -> Iterator[Finding]:
    """Yield the material in its place and under its warmest device, and each device in its place."""
    if job.place is not None:
        yield from climate_findings(job.material, job.place, job.limits)
    warm = [placed for placed in job.devices if placed.device.loss_w is not None]
    if warm:
        yield _under(job, most_of(warm, key=lambda placed: case_temperature(placed.device)))
    if job.place is not None:
        for placed in job.devices:
            if placed.device.ambient is not None:
                yield _device(job, placed, placed.device.ambient)


def case_temperature(device: Device) -> float:
    """Return the temperature of a device's case playing loud in a driven vehicle, °C: its loss over its surface."""
    outline = (device.body or device.outline).outline()
    area = (outline.area + outline.length * device.height) * 1e-6
    return DRIVEN + (device.loss_w or 0.0) / (SHEDS * area)


def _under(job: BoardJob, placed: PlacedDevice) -> Finding:
    what = f"temperature of {job.material.name} under {placed.name} while it plays loud"
    value = case_temperature(placed.device)
    source = f"its loss over its surface at 10 W/(m² K) and 45 °C; {PRACTICE}"
    advice = "stand it off on spacers or take a material that bears more"
    return at_most("heat.under", value, job.material.service, what, missed=Verdict.WARN, source=source, advice=advice)


def _device(job: BoardJob, placed: PlacedDevice, ambient: float) -> Finding:
    assert job.place is not None
    what = f"temperature that {placed.name} bears in a {job.place} parked in the sun"
    limit = job.limits.temperature(job.place)
    said: Said = {
        "case": placed.name,
        "source": "the device's file; derived from published cabin temperatures",
        "advice": "let the place cool before it plays, or it may switch itself off",
    }
    return at_least("heat.device", ambient, limit, what, missed=Verdict.WARN, **said)


def board_findings(job: BoardJob, plan: BoardPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a board."""
    found = [*stand_findings(job, plan), *_holes(part, _wanted(plan)), *screw_findings(job, plan)]
    found += [*load_findings(job, plan, part), *bending_findings(job, plan), *heat_findings(job)]
    found += [
        *_passages(plan, job.units),
        *_wrap(job, plan),
        *_by_hand(plan, job.units),
        *wall_findings(part, plan.walls, skin=Skin.of(part), units=job.units),
    ]
    if job.make == "print":
        found += printing_findings(part, job.printer, board_pose(plan), units=job.units)
    return (*found, board_edges(plan, job.units))


def foot_findings(job: FootJob, plan: FootPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on the foot under a board that is cut; its loads are the whole board's."""
    board = plan_board(job.board)
    found = [*foot_screw_findings(job, board), *foot_load_findings(job, board)]
    found += _holes(part, (WantedHole(SCREW_HOLE, PANEL, (0.0, 0.0), plan.hole),))
    if job.board.place is not None:
        found.append(heat_finding(job.material, job.board.place, job.limits))
    return (
        *found,
        *wall_findings(part, plan.walls, skin=Skin.of(part), units=job.units),
        *printing_findings(part, job.printer, units=job.units),
    )


def _holes(part: Part, wanted: tuple[WantedHole, ...]) -> Iterator[Finding]:
    yield from hole_findings(read_in_mesh(Surface(part), [PANEL]), wanted, "mesh")
    yield from exact_hole_findings(part, None, [PANEL], wanted)


def _wanted(plan: BoardPlan) -> tuple[WantedHole, ...]:
    """Return every round hole of a board."""
    found = [WantedHole(spot.through, PANEL, spot.at, spot.hole) for spot in plan.spots]
    found += [WantedHole(s.insert, PANEL, s.at, s.pocket[0]) for s in plan.spots if s.pocket]
    found += [WantedHole(foot.screw, PANEL, foot.at, foot.hole) for foot in plan.feet if foot.hole]
    return tuple(found)


def _passages(plan: BoardPlan, units: Units) -> Iterator[Finding]:
    """Yield the radius of the passages' edges: as drawn where it is printed, an instruction where it is cut."""
    if not plan.slots:
        return
    radius, at = plan.slots[0].radius, (*plan.slots[0].outline.spans[0].start, plan.top)
    what = "radius of the passages' edges"
    if plan.make == "cut":
        advice = (
            f"round both edges of every passage by hand to {units(max(radius, CABLE))}, before a cable goes through"
        )
        what = f"{what}, by hand"
        yield state("passage.edge", Verdict.DO, what, radius, CABLE, at=at, source=PRACTICE, advice=advice)
    else:
        advice = f"give edge: {units.key(CABLE, up=True)}, or a thicker board, or put a grommet into it"
        said: Said = {"at": at, "source": PRACTICE, "advice": advice}
        yield at_least("passage.edge", radius, CABLE, what, missed=Verdict.WARN, **said)


def _wrap(job: BoardJob, plan: BoardPlan) -> Iterator[Finding]:
    """Yield the feet that would stand on carpet that is folded back below."""
    if job.wrap is None or plan.fold is None:
        return
    over = [foot for foot in plan.feet if plan.fold.depth(foot.at) < foot.diameter / 2]
    yield at_least(
        "wrap.fold",
        min(plan.fold.depth(foot.at) - foot.diameter / 2 for foot in plan.feet),
        0.0,
        "feet to the carpet folded back below",
        missed=Verdict.DO,
        at=(*over[0].at, plan.bottom) if over else None,
        source=PRACTICE,
        advice=f"cut the carpet out round {', '.join(foot.name for foot in over)}, or fold less",
    )


def _by_hand(plan: BoardPlan, units: Units) -> Iterator[Finding]:
    """Yield the countersinks, which no flat cut makes."""
    sunk = [foot for foot in plan.feet if foot.sunk]
    if sunk:
        what = f"countersink the feet's holes {units(sunk[0].head)} wide from above, by hand"
        advice = "without it the heads stand under devices and carpet"
        yield state("flat.recess", Verdict.DO, what, source="the screw's file", advice=advice)


def board_edges(plan: BoardPlan, units: Units = Units.MM) -> Finding:
    """Return whether the edges that a hand meets are broken."""
    width = min(EDGE, CHAMFER) if plan.make == "print" else 0.0
    return replace(
        edge_finding([("all edges of the sheet", width)], units), what="width of the broken edges of the board"
    )
