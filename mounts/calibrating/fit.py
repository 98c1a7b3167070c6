"""Fit of a coupon's readings: what the printer's file should say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from mounts.design.calibration import Estimated, Growth, Length, Scale, fit_growth, fit_scale, middle_step
from mounts.errors import InputError, Problem
from mounts.kinds.coupon.values import CouponPlan, CouponStep
from mounts.load.models.coupon import FELT, CouponReadings
from mounts.load.parse.document import Document

FAR, FAR_PCT = 1.0, 3.0  # mm, and per cent of a size, by which a reading that is none of it differs
UNKNOWN = Estimated(0.0, 0.3)  # shrink in per cent where no bar was read: half of what such plastics may have


@dataclass(frozen=True, slots=True)
class CouponFit:
    """Values fitted to a coupon's readings.

    Attributes:
        scale: scale of lengths, None where bars x and y were not read.
        growth: growth of holes, None where none was read.
        insert: hole growth for insert pockets, None where none was tried.
        fits: clearance as it comes out at which the plug went in, by fit word.
        missing: groups of which nothing was read.
    """

    scale: Scale | None
    growth: Growth | None
    insert: Estimated | None
    fits: dict[str, Estimated]
    missing: tuple[str, ...]

    @property
    def outside(self) -> Estimated | None:
        """Spread of outsides, mm; None where neither rib nor peg was read."""
        return self.scale.outside if self.scale and not {"ribs", "pegs"} <= set(self.missing) else None


def fit_coupon(readings: CouponReadings, plan: CouponPlan, hole: float, document: Document) -> CouponFit:
    """Fit the printer's corrections to the readings, each value with its uncertainty.

    Args:
        readings: readings of the coupon.
        plan: plan of the coupon.
        hole: of the insert that its pockets are for, as its maker asks, mm.
        document: document of the readings, for messages.

    Raises:
        InputError: for a key that the coupon has not, a reading far from what was drawn, fits that do not loosen, or
            a file in which nothing was read.
    """
    problems = [*_implausible_readings(readings, plan, document), *_contradictory_steps(readings, document)]
    groups = ("bars", "ribs", "pegs", "holes", "fits", "inserts")
    missing = tuple(group for group in groups if not any(getattr(readings, group).values()))
    if len(missing) == len(groups):
        problems.append(document.problem((), "nothing was read; write the readings behind their keys"))
    if problems:
        raise InputError(*problems)
    scale = fit_scale(_lengths(readings, plan), readings.caliper)
    shrink = scale.shrink if scale else UNKNOWN
    holes = [(step.size, one) for step in plan.group("holes") for one in readings.holes.get(step.key, ())]
    growth = fit_growth(holes, shrink, readings.caliper)
    outside = scale.outside if scale else Estimated(0.0, 0.1)
    return CouponFit(scale, growth, _insert(readings, plan, hole), _fits(readings, plan, growth, outside), missing)


def _lengths(readings: CouponReadings, plan: CouponPlan) -> list[Length]:
    found = [Length(plan.length, bar.angle, one) for bar in plan.bars for one in readings.bars.get(bar.key, ())]
    found += [Length(s.size, s.angle, one) for s in plan.group("ribs") for one in readings.ribs.get(s.key, ())]
    return found + [Length(s.size, None, one) for s in plan.group("pegs") for one in readings.pegs.get(s.key, ())]


def _fits(
    readings: CouponReadings, plan: CouponPlan, growth: Growth | None, outside: Estimated
) -> dict[str, Estimated]:
    """Return the finished clearance of each fit word: as drawn, less what the hole lost and the plug gained."""
    lost = growth.at(plan.plug) if growth else Estimated(0.0, 0.2)
    steps = plan.group("fits")
    apart = steps[1].size - steps[0].size
    found = {}
    for word in FELT[1:]:
        drawn = [step.size - plan.plug for step in steps if readings.fits.get(step.key) == word]
        if drawn:
            middle = middle_step(drawn, apart, (lost.sd**2 + outside.sd**2) ** 0.5)
            found[word] = Estimated(middle.value - lost.value - outside.value, middle.sd)
    return found


def _insert(readings: CouponReadings, plan: CouponPlan, hole: float) -> Estimated | None:
    """Return the growth of insert pockets: from the good ones, else from between tight and loose."""
    steps = plan.group("inserts")
    said = {word: [s.size for s in steps if readings.inserts.get(s.key) == word] for word in ("tight", "good", "loose")}
    tried = said["good"] or ([max(said["tight"]), min(said["loose"])] if said["tight"] and said["loose"] else [])
    if not tried:
        return None
    middle = middle_step(tried, steps[1].size - steps[0].size)
    return Estimated(middle.value - hole, middle.sd)


def _implausible_readings(readings: CouponReadings, plan: CouponPlan, document: Document) -> Iterator[Problem]:
    """Yield keys that the coupon has not, and readings too far from what was drawn."""
    for group in ("bars", "ribs", "pegs", "holes", "fits", "inserts"):
        sizes = {bar.key: plan.length for bar in plan.bars} if group == "bars" else _sizes(plan.group(group))
        for key, read in getattr(readings, group).items():
            if key not in sizes:
                what = f'the coupon has no "{key}" under {group}; it has {", ".join(sizes)}'
                yield document.problem((group, key), what, key=True)
            elif isinstance(read, tuple):
                most = min(FAR, 0.5 * sizes[key]) if group != "bars" else FAR_PCT / 100 * sizes[key]
                for one in read:
                    if abs(one - sizes[key]) > most:
                        what = f"{one:g} is read where {sizes[key]:g} was drawn; read it again, or write its unit"
                        yield document.problem((group, key), what)


def _sizes(steps: Sequence[CouponStep]) -> dict[str, float]:
    return {step.key: step.size for step in steps}


def _contradictory_steps(readings: CouponReadings, document: Document) -> Iterator[Problem]:
    """Yield fits or inserts that get tighter as the holes get wider."""
    for group, order in (("fits", FELT), ("inserts", ("tight", "good", "loose"))):
        said = sorted(
            (float(key), key, word) for key, word in getattr(readings, group).items() if word and _number(key)
        )
        for (_, one, before), (_, other, word) in pairwise(said):
            if order.index(word) < order.index(before):
                what = f"{other} is {word} and the narrower {one} is {before}; a wider hole cannot be tighter"
                yield document.problem((group, other), what)


def _number(key: str) -> bool:
    return key.replace(".", "", 1).isdigit()
