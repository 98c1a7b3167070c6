"""Heads of a staked cup: their volume, their bearing, the room for the iron, and whether the cup goes on at all."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.staking import SOURCE, head_volume
from mounts.findings.compare import at_least, at_most, in_band
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.kinds.cup.values import CupPlan, Stake
from mounts.lengths import Units
from mounts.load.models.job_kinds import CupJob
from mounts.load.models.pins import Pin

FULL = (1.0, 1.25)  # of the standard head's volume: less leaves the cavity unfilled, more runs out as flash
WIDE = (1.5, 2.0)  # head, in pin diameters
BEARS = 0.3  # mm a side of plate that a head bears on at least


def stake_findings(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Yield all findings on the pins of a cup."""
    yield _goes_on(job, plan)
    for stake in plan.stakes:
        pin = job.panel.pins[stake.name]
        yield from _volume(job, stake, pin)
        yield _width(stake, pin)
        yield _bearing(stake)
        yield _iron(job, stake)
        if stake.cut > 0:
            yield _cut(stake, pin, job.units)


def _goes_on(job: CupJob, plan: CupPlan) -> Finding:
    holds = {stake.role: stake.name for stake in plan.stakes}
    what = f"chance that it goes on: located at {holds['locator']}, slot at {holds['slot']}"
    source = "fixed fasteners of ASME Y14.5 appendix B as a probability, every pin off by the same error"
    advice = "measure the pins again, more finely"
    return at_least("fit.pins", plan.chance, job.sure, what, source=source, advice=advice, margin_sd=plan.sd)


def _volume(job: CupJob, stake: Stake, pin: Pin) -> Iterator[Finding]:
    """Yield the protruding volume against that of the standard head; a misread pin length changes it."""
    share = pin.section * stake.protrudes / head_volume(stake.wanted, pin)
    sd = pin.section * job.uncertainty("holes") / head_volume(stake.wanted, pin)
    short = (
        f"the pin gives a head {job.units(stake.head.height, 1)} high instead of "
        f"{job.units(stake.wanted.height, 1)}; form it flatter"
    )
    long = "cut the pin, or cut off the flash"
    yield in_band(
        "stake.volume",
        share,
        FULL,
        f"plastic for the head of pin {stake.name}: {stake.head.form}, {job.units(stake.head.diameter, 1)} across, "
        f"{job.units(stake.head.height, 1)} high",
        missed=Verdict.WARN,
        at=(*stake.at, -stake.seat),
        source=SOURCE,
        advice=long if share > 1 else short,
        margin_sd=sd,
    )


def _width(stake: Stake, pin: Pin) -> Finding:
    ratio = stake.head.diameter / pin.diameter
    what, advice = f"head of pin {stake.name} in pin diameters", f"take a ratio from {WIDE[0]:g} to {WIDE[1]:g}"
    return in_band(
        "stake.head", ratio, WIDE, what, missed=Verdict.WARN, at=(*stake.at, -stake.seat), source=SOURCE, advice=advice
    )


def _bearing(stake: Stake) -> Finding:
    """Return the plate under the head beside its hole, least at the slot's ends."""
    what = f"head {stake.name} on the plate beside its hole, a side"
    at = (*stake.at, -stake.seat)
    advice = "take a wider head, or measure the pins more finely so that holes are smaller"
    return at_least(
        "stake.bears", (stake.head.diameter - stake.length) / 2, BEARS, what, at=at, source=PRACTICE, advice=advice
    )


def _iron(job: CupJob, stake: Stake) -> Finding:
    """Return the room for the iron's tip in its well, which is open to the back so that it comes in straight."""
    what = f"tip or head to the wall of well {stake.name}"
    value = (stake.well - max(job.staking.tip, stake.head.diameter)) / 2
    limit = job.limits.tip_gap
    at = (*stake.at, -stake.seat)
    advice = "take a smaller tip"
    return at_least("stake.iron", value, limit, what, missed=Verdict.WARN, at=at, source=PRACTICE, advice=advice)


def _cut(stake: Stake, pin: Pin, units: Units) -> Finding:
    what = f"pin {stake.name} is longer than its head needs"
    at = (*stake.at, -stake.seat)
    advice = f"cut it to {units(pin.height - stake.cut, 1)} before it is staked"
    return at_most(
        "stake.cut", pin.height, pin.height - stake.cut, what, missed=Verdict.DO, at=at, source=SOURCE, advice=advice
    )
