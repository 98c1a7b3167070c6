"""The finished cup read back: its pin holes, ribs and seat as the mesh shows them, beside the plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import acos, degrees, dist

from mounts.checks.printing.patches import Bore, Surface, bores, flats
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import PANEL
from mounts.geometry.ties import at_most, least_of
from mounts.kernels.part import Part
from mounts.kinds.cup.values import CupPlan

OFF, LEAN = 0.05, 0.1  # mm and degrees that a value may be off its plan
SOURCE = "a twentieth of a millimetre, a tenth of a degree: half a printer's error"
SEEN = 5.0  # mm²: a smaller flat is no seat


def readback(plan: CupPlan, part: Part) -> Iterator[Finding]:
    """What the mesh shows of holes and seat."""
    surface = Surface(part)
    found = bores(surface, PANEL)
    for stake in plan.stakes:
        if stake.way == 0:
            yield from _hole(f"hole {stake.name}", stake.at, stake.width, found)
    yield from _seat(plan, surface)


def _hole(name: str, at: tuple[float, float], width: float, found: tuple[Bore, ...]) -> Iterator[Finding]:
    mine = [bore for bore in found if bore.feature == name]
    if not mine:
        yield Finding(
            code="hole.lost", verdict=Verdict.FAIL, what=f"{name} goes round", source=SOURCE,
            advice="the mesh has no such hole; do not print it",
        )  # fmt: skip
        return
    bore = least_of(mine, key=lambda one: abs(one.diameter - width))
    off = dist(bore.at, at)
    size = Finding(
        code="hole.diameter", verdict=Verdict.PASS, what=f"diameter of {name}", measured=bore.diameter,
        closed_form=width, limit=width - OFF, at=(*at, 0.0), source=SOURCE,
    )  # fmt: skip
    wrong = not at_most(abs(bore.diameter - width), OFF)
    yield replace(size, verdict=Verdict.FAIL, advice="do not print it") if wrong else size
    right = at_most(off, OFF)
    yield Finding(
        code="hole.place", verdict=Verdict.PASS if right else Verdict.FAIL, what=f"place of {name}", measured=off,
        closed_form=0.0, limit=OFF, at=(*at, 0.0), source=SOURCE, advice="" if right else "do not print it",
    )  # fmt: skip


def _seat(plan: CupPlan, surface: Surface) -> Iterator[Finding]:
    """Tilt and height of the flat that the flange lies on."""
    frame = plan.seat.frame
    near = [flat for flat in flats(surface, SEEN) if _leans(flat.normal, frame.z) < 5.0]
    seats = [flat for flat in near if abs(float(frame.into(flat.middle)[2])) < 0.5]
    if not seats:
        yield Finding(
            code="seat.lost", verdict=Verdict.FAIL, what="seat of the tweeter", source=SOURCE,
            advice="the mesh has no flat for the flange; do not print it",
        )  # fmt: skip
        return
    seat = least_of(seats, key=lambda flat: _leans(flat.normal, frame.z))
    off, lean = abs(float(frame.into(seat.middle)[2])), _leans(seat.normal, frame.z)
    for code, what, value, limit, unit in (
        ("seat.height", "seat off its plane", off, OFF, "mm"),
        ("seat.tilt", "seat off its tilt", lean, LEAN, "deg"),
    ):
        verdict = Verdict.PASS if at_most(value, limit) else Verdict.FAIL
        yield Finding(
            code, verdict, what, value, 0.0, limit, unit, seat.middle, source=SOURCE,
            advice="" if value <= limit else "do not print it",
        )  # fmt: skip


def _leans(normal: tuple[float, float, float], axis: tuple[float, float, float]) -> float:
    along = sum(a * b for a, b in zip(normal, axis, strict=True))
    return degrees(acos(min(1.0, max(-1.0, along))))
