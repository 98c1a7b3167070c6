"""Stakes of a cup: which pins locate it, how large the holes are, how thick the plate is under each head."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import atan2, cos, degrees, dist, sin

import numpy as np

from mounts.design.chance import Errors, Slot, add_printer, chance, raise_share, same_errors
from mounts.errors import InputError, Problem
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, Point, circle, oblong
from mounts.geometry.ties import keeps, least_of, most_of, reaches
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.values import RATIOS, Form, Stake, formed_head, needed_protrusion, seat_under, standard_head
from mounts.load.models.pins import Pin

LINE = 3.0  # mm: three pins or more that stray less than this from a line lie on it
FINER = (0.3, 0.25, 0.2, 0.15, 0.1, 0.05, 0.02)  # mm, measuring uncertainties to ask for
STEP = 0.05  # mm, in which gaps are tried
ROUND_WELL = 1.6  # mm of plate round a well
OVERHANGS = 0.7  # mm that a printer lays into the air: less than two lines
OPEN = 40.0  # mm: wells are open to the outside this far


@dataclass(frozen=True, slots=True)
class PinPattern:
    """Play of the pins in their holes.

    Attributes:
        locator, slot: names of the pins that place the part.
        gaps: of each pin, a side; across at the slot.
        way: free way along the slot, each side.
    """

    locator: str
    slot: str
    gaps: Mapping[str, float]
    way: float


@dataclass(frozen=True, slots=True)
class PinHead:
    """One pin's head: form and ratio, plate under it, length that protrudes and length to cut off."""

    form: Form
    ratio: float
    seat: float
    protrudes: float
    cut: float


def pin_errors(job: CupJob, read: float | None = None) -> Errors:
    """Return the errors between pins and holes, all pins read to one standard deviation: the job's own, or another."""
    read = job.uncertainty("holes") if read is None else read
    return add_printer(same_errors(len(job.panel.points), read), job.printer, job.material)


def stake_chance(stakes: Sequence[Stake], errors: Errors) -> float:
    """Return the chance that a plate goes on all its pins at once, 0 to 1."""
    placing = {one.role: one for one in stakes}
    way = slot_along(placing["locator"].at, placing["slot"].at, placing["slot"].way)
    slots = [way if one.role == "slot" else None for one in stakes]
    return chance([one.at for one in stakes], [one.gap for one in stakes], errors, slots)


def slot_along(locator: Point, slot: Point, way: float) -> Slot:
    """Return a slot at a pin along the line from another one, with a free way each side, mm."""
    apart = dist(locator, slot)
    return ((slot[0] - locator[0]) / apart, (slot[1] - locator[1]) / apart, way)


def refuse_line(job: CupJob) -> None:
    """Refuse three or more pins on one line, about which the plate would rock."""
    points = np.array(list(job.panel.points.values()))
    if len(points) < 3:
        return
    away = points - points.mean(axis=0)
    across = np.linalg.svd(away)[2][1]
    off = float(np.abs(away @ across).max())
    if off < LINE:
        names = ", ".join(job.panel.pins)
        what = (
            f"pins {names} lie within {job.units(off, 1)} of one line, about which the plate "
            f"rocks; one {job.units(LINE)} off is needed"
        )
        raise InputError(job.problem("panel.pins", f"{what}: measure again, or stake two of them only"))


def pin_heads(job: CupJob) -> dict[str, PinHead]:
    """Return every pin's head, as wide as the pin's length allows."""
    found = {name: _head(job, name, pin) for name, pin in job.panel.pins.items()}
    plate = min(max(one.seat for one in found.values()), job.limits.plate_most)
    return {name: _cut_to(one, plate, job.panel.pins[name]) for name, one in found.items()}


def _head(job: CupJob, name: str, pin: Pin) -> PinHead:
    form: Form = job.staking.head or ("hollow" if pin.form == "hollow" else "dome")
    if form == "hollow" and pin.form != "hollow":
        what = f"pin {name} is {pin.form}, so it has no hollow head; give staking: dome or flat"
        raise InputError(job.problem("staking.head", what))
    least, layer = job.limits.plate_least, job.printer.layer
    ratios = RATIOS if job.staking.ratio is None else (job.staking.ratio,)
    for ratio in ratios:
        seat = seat_under(pin, needed_protrusion(pin, form, ratio), layer)
        if reaches(seat, least):
            return PinHead(form, ratio, seat, pin.height - seat, 0.0)
    ratio = ratios[-1]
    need = needed_protrusion(pin, form, ratio)
    what = (
        f"pin {name} stands {job.units(pin.height)}; a plate of {job.units(least)} and a {form} "
        f"head {ratio:g} pin diameters wide need"
    )
    shorter = f"{what} {job.units(least + need, 1)}"
    if form == "dome" and job.staking.ratio is None:
        shorter += ": heat-stake it no further, screw into it, or give limits: {plate_least: …}"
    elif job.staking.ratio is not None and ratio > RATIOS[-1]:
        shorter += f"; at {RATIOS[-1]:g} {job.units(least + needed_protrusion(pin, form, RATIOS[-1]), 1)}"
    raise InputError(job.problem(f"panel.pins.{name}.height", shorter))


def _cut_to(one: PinHead, plate: float, pin: Pin) -> PinHead:
    """Return the head on a plate no thicker than the others'; what then stands out too far is cut off."""
    if keeps(one.seat, plate):
        return one
    cut = one.seat - plate
    return replace(one, seat=plate, protrudes=pin.height - plate - cut, cut=cut)


def pin_pattern(job: CupJob, seats: dict[str, PinHead]) -> PinPattern:
    """Return locator, slot and gaps such that the part goes on with the chance that was asked for."""
    points = job.panel.points
    locator, slot = most_of(combinations(points, 2), lambda pair: dist(points[pair[0]], points[pair[1]]))
    least, errors = job.limits.pin_gap, pin_errors(job)
    rooms = {n: (one.ratio - 1) * job.panel.pins[n].diameter / 2 - job.limits.head_over for n, one in seats.items()}
    tight = least_of(rooms, key=lambda name: rooms[name])
    if not reaches(room := rooms[tight], least):
        left = f"a gap of {job.units(room, 2)}" if room >= 0.005 else "no gap"
        what = f"the head of pin {tight} covers {left} round it, and {job.units(least)} is needed"
        most = f"head_over: {job.units(max(0.0, job.limits.head_over + room - least), 2)} would do"
        raise InputError(job.problem("limits.head_over", f"{what}; {most}"))
    holes = StakeHoles(points, locator, slot, least, rooms)
    gaps = [least + STEP * k for k in range(int((max(rooms.values()) - least) / STEP + 1e-6) + 1)]
    for gap in gaps:
        if holes.chance(gap, errors) >= raise_share(job.sure):
            return PinPattern(locator, slot, holes.gaps(gap), holes.way(gap))
    raise InputError(_too_far_spread(job, holes, gaps[-1]))


@dataclass(frozen=True, slots=True)
class StakeHoles:
    """Pin holes by name. Two pins place the part with `least` a side: one round about, the other across its slot.

    No hole is larger than its head covers: `rooms` a side.
    """

    points: Mapping[str, Point]
    locator: str
    slot: str
    least: float
    rooms: Mapping[str, float]

    def gaps(self, gap: float) -> dict[str, float]:
        """Return the gap of each pin, across, with `gap` mm wanted at those that do not place the part."""
        placing = (self.locator, self.slot)
        return {n: self.least if n in placing else min(gap, self.rooms[n]) for n in self.points}

    def way(self, gap: float) -> float:
        """Return the free way along the slot, mm each side."""
        return max(min(gap, self.rooms[self.slot]) - self.least, 0.0)

    def chance(self, gap: float, errors: Errors) -> float:
        """Return the share of cases with `gap` mm a side along the slot and at all other pins, printer calibrated."""
        way = slot_along(self.points[self.locator], self.points[self.slot], self.way(gap))
        ways = tuple(way if name == self.slot else None for name in self.points)
        gaps = tuple(self.gaps(gap).values())
        return chance(tuple(self.points.values()), gaps, errors.calibrated, ways, sizes=True)


def _too_far_spread(job: CupJob, holes: StakeHoles, gap: float) -> Problem:
    """Return why the holes cannot be large enough, and how well the pins would have to be measured."""
    read, enough = job.uncertainty("holes"), raise_share(job.sure)
    have = holes.chance(gap, pin_errors(job))
    finer = [sd for sd in FINER if sd < read and holes.chance(gap, pin_errors(job, sd)) >= enough]
    less = next((pct for pct in range(int(100 * have), 1, -1) if raise_share(pct / 100) <= have), 1)
    covered = job.panel.pins[holes.slot].diameter + 2 * min(gap, holes.rooms[holes.slot])
    what = (
        f"pins read to {job.units(read)} spread more than the slot at {holes.slot} can take: a head covers "
        f"{job.units(covered, 1)} of it, and so it goes on in {100 * have:.0f} %, "
        f"where {100 * job.sure:g} % are asked for"
    )
    how = f"measure to {job.units(finer[0])} (read_with: {{holes: {finer[0]:g}}})" if finer else "measure again"
    return job.problem("sure", f"{what}; {how}, or give sure: {less / 100:g}")


def stakes(job: CupJob, seats: dict[str, PinHead], held: PinPattern, middle: Point) -> tuple[Stake, ...]:
    """Return every pin in the plate.

    Args:
        job: for pins, tip and limits.
        seats: their heads.
        held: how they sit in their holes.
        middle: of the cup, from which wells open outward.
    """
    return tuple(_stake(job, name, seats[name], held, middle) for name in job.panel.pins)


def _stake(job: CupJob, name: str, seat: PinHead, held: PinPattern, middle: Point) -> Stake:
    pin = job.panel.pins[name]
    growth = job.printer.growth(job.material.name, pin.diameter)
    role = {held.locator: "locator", held.slot: "slot"}.get(name, "clearance")
    gap = held.gaps[name]
    width, way = pin.diameter + 2 * gap + growth, held.way if role == "slot" else 0.0
    head = formed_head(pin, seat.form, seat.ratio, seat.protrudes)
    well = max(head.diameter, job.staking.tip) + 2 * job.limits.tip_gap
    return Stake(
        name=name,
        at=pin.at,
        role=role,
        hole=_hole(job, name, width, way, held),
        width=width,
        gap=gap,
        way=way,
        seat=seat.seat,
        protrudes=seat.protrudes,
        cut=seat.cut,
        head=head,
        wanted=standard_head(pin, seat.form, seat.ratio),
        well=well,
        relief=_relief(pin.at, well, middle),
        corner=_corner(pin.at, well, middle),
    )


def _hole(job: CupJob, name: str, width: float, way: float, held: PinPattern) -> Outline:
    at = job.panel.pins[name].at
    if way <= 0:
        return circle(width, at)
    a, b = job.panel.pins[held.locator].at, job.panel.pins[held.slot].at
    return oblong(width + 2 * way, width).turned(degrees(atan2(b[1] - a[1], b[0] - a[0]))).moved(*at)


def _corner(at: Point, well: float, middle: Point) -> tuple[Point, float]:
    """Return the plate's corner outside a well, so blunt that only a line or two overhang between the well's sides."""
    radius = (well**2 / 4 + OVERHANGS**2) / (2 * OVERHANGS)
    inward, away = radius - well / 2 - ROUND_WELL, dist(at, middle)
    share = 1 - inward / away if away > inward > 0 else 1.0
    return ((middle[0] + share * (at[0] - middle[0]), middle[1] + share * (at[1] - middle[1])), 2 * radius)


def _relief(at: Point, well: float, middle: Point) -> Outline:
    turn = atan2(at[1] - middle[1], at[0] - middle[0])
    away = (at[0] + OPEN * cos(turn), at[1] + OPEN * sin(turn))
    return hull([circle(well, at), circle(well, away)])
