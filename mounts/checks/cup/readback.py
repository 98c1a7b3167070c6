"""Readback of a finished cup: its pin holes, ribs and seat in the mesh against the plan."""

from __future__ import annotations

from collections.abc import Iterator
from math import acos, degrees, dist

from mounts.checks.printing.patches import RoundHole, Surface, find_flats, find_round_holes
from mounts.findings.compare import Said, at_most, state, within
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import PANEL
from mounts.geometry.ties import least_of
from mounts.identity import Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.cup.values import CupPlan

OFF, LEAN = 0.05, 0.1  # mm and degrees that a value may be off its plan
SOURCE = "a twentieth of a millimetre, a tenth of a degree: half a printer's error"
SEEN = 5.0  # mm²: a smaller flat is no seat


def cup_readback(plan: CupPlan, part: Part) -> Iterator[Finding]:
    """Yield the holes and the seat of the mesh against the plan."""
    surface = Surface(part)
    found = find_round_holes(surface, PANEL)
    for stake in plan.stakes:
        if stake.way == 0:
            yield from _hole(Ident(Role.HOLE, stake.name), stake.at, stake.width, found)
    yield from _seat(plan, surface)


def _hole(hole: Ident, at: tuple[float, float], width: float, found: tuple[RoundHole, ...]) -> Iterator[Finding]:
    mine = [bore for bore in found if bore.feature == hole]
    if not mine:
        advice = "the mesh has no such hole; do not print it"
        yield state("hole.lost", Verdict.FAIL, f"{hole} goes round", source=SOURCE, advice=advice)
        return
    bore = least_of(mine, key=lambda one: abs(one.diameter - width))
    said: Said = {"at": (*at, 0.0), "source": SOURCE, "advice": "do not print it"}
    yield within("hole.diameter", bore.diameter, width, OFF, f"diameter of {hole}", **said)
    yield at_most("hole.place", 0.0, OFF, f"place of {hole}", measured=dist(bore.at, at), **said)


def _seat(plan: CupPlan, surface: Surface) -> Iterator[Finding]:
    """Yield tilt and height of the flat that the flange lies on."""
    frame = plan.seat.frame
    near = [flat for flat in find_flats(surface, SEEN) if _leans(flat.normal, frame.z) < 5.0]
    seats = [flat for flat in near if abs(float(frame.into(flat.middle)[2])) < 0.5]
    if not seats:
        advice = "the mesh has no flat for the flange; do not print it"
        yield state("seat.lost", Verdict.FAIL, "seat of the tweeter", source=SOURCE, advice=advice)
        return
    seat = least_of(seats, key=lambda flat: _leans(flat.normal, frame.z))
    off, lean = abs(float(frame.into(seat.middle)[2])), _leans(seat.normal, frame.z)
    said: Said = {"at": seat.middle, "source": SOURCE, "advice": "do not print it"}
    yield within("seat.height", off, 0.0, OFF, "seat off its plane", **said)
    yield within("seat.tilt", lean, 0.0, LEAN, "seat off its tilt", **said)


def _leans(normal: tuple[float, float, float], axis: tuple[float, float, float]) -> float:
    along = sum(a * b for a, b in zip(normal, axis, strict=True))
    return degrees(acos(min(1.0, max(-1.0, along))))
