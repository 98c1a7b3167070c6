"""The heads: what the pins give, what holds under them, how the iron comes in, and whether the cup goes on at all."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.staking import SOURCE, head_volume
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.ties import at_least
from mounts.kinds.cup.values import CupPlan, Stake
from mounts.load.models.pins import Pin
from mounts.load.models.resolved import CupJob

FULL = (1.0, 1.25)  # of the standard head's volume: less leaves the cavity unfilled, more runs out as flash
WIDE = (1.5, 2.0)  # head, in pin diameters
BEARS = 0.3  # mm a side of plate that a head bears on at least


def stake_findings(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Everything about the pins of a cup."""
    yield _goes_on(job, plan)
    for stake in plan.stakes:
        pin = job.panel.pins[stake.name]
        yield from _volume(job, stake, pin)
        yield _width(stake, pin)
        yield _bearing(stake)
        yield _iron(job, stake)
        if stake.cut > 0:
            yield _cut(stake, pin)


def _goes_on(job: CupJob, plan: CupPlan) -> Finding:
    enough = at_least(plan.chance, job.sure)
    holds = {stake.role: stake.name for stake in plan.stakes}
    return Finding(
        code="fit.pins",
        verdict=Verdict.PASS if enough else Verdict.FAIL,
        what=f"chance that it goes on: located at {holds['locator']}, slot at {holds['slot']}",
        closed_form=plan.chance,
        limit=job.sure,
        unit="1",
        source="fixed fasteners of ASME Y14.5 appendix B as a probability, every pin off by the same error",
        advice="" if enough else "measure the pins again, more finely",
        margin_sd=plan.sd,
    )


def _volume(job: CupJob, stake: Stake, pin: Pin) -> Iterator[Finding]:
    """Protruding volume against that of the standard head; a pin read too short or too long changes it."""
    share = pin.section * stake.protrudes / head_volume(stake.wanted, pin)
    right = FULL[0] - 1e-6 <= share <= FULL[1]
    over = share > 1
    sd = pin.section * job.uncertainty("holes") / head_volume(stake.wanted, pin)
    short = f"the pin gives a head {stake.head.height:.1f} high instead of {stake.wanted.height:.1f}; form it flatter"
    long = "cut the pin, or cut off the flash"
    yield Finding(
        code="stake.volume",
        verdict=Verdict.PASS if right else Verdict.WARN,
        what=f"plastic for the head of pin {stake.name}: {stake.head.form}, {stake.head.diameter:.1f} across, "
        f"{stake.head.height:.1f} high",
        closed_form=share,
        limit=FULL[1] if over else FULL[0],
        unit="1",
        at=(*stake.at, -stake.seat),
        source=SOURCE,
        advice="" if right else (long if over else short),
        margin_sd=sd,
    )


def _width(stake: Stake, pin: Pin) -> Finding:
    ratio = stake.head.diameter / pin.diameter
    right = WIDE[0] - 1e-9 <= ratio <= WIDE[1] + 1e-9
    return Finding(
        code="stake.head",
        verdict=Verdict.PASS if right else Verdict.WARN,
        what=f"head of pin {stake.name} in pin diameters",
        closed_form=ratio,
        limit=WIDE[0] if ratio < sum(WIDE) / 2 else WIDE[1],
        unit="1",
        at=(*stake.at, -stake.seat),
        source=SOURCE,
        advice="" if right else f"take a ratio from {WIDE[0]:g} to {WIDE[1]:g}",
    )


def _bearing(stake: Stake) -> Finding:
    """What of the plate is under the head beside its hole, at the slot's ends at least."""
    over = (stake.head.diameter - stake.length) / 2
    right = at_least(over, BEARS)
    return Finding(
        code="stake.bears",
        verdict=Verdict.PASS if right else Verdict.FAIL,
        what=f"head {stake.name} on the plate beside its hole, a side",
        closed_form=over,
        limit=BEARS,
        at=(*stake.at, -stake.seat),
        source=PRACTICE,
        advice="" if right else "take a wider head, or measure the pins more finely so that holes are smaller",
    )


def _iron(job: CupJob, stake: Stake) -> Finding:
    """Room for the iron's tip in its well; the well is open to the back, so that it comes in straight."""
    room = (stake.well - max(job.staking.tip, stake.head.diameter)) / 2
    right = at_least(room, job.limits.tip_gap)
    return Finding(
        code="stake.iron",
        verdict=Verdict.PASS if right else Verdict.WARN,
        what=f"tip or head to the wall of well {stake.name}",
        closed_form=room,
        limit=job.limits.tip_gap,
        at=(*stake.at, -stake.seat),
        source=PRACTICE,
        advice="" if right else "take a smaller tip",
    )


def _cut(stake: Stake, pin: Pin) -> Finding:
    return Finding(
        code="stake.cut",
        verdict=Verdict.WARN,
        what=f"pin {stake.name} is longer than its head needs",
        closed_form=pin.height - stake.cut,
        limit=pin.height,
        at=(*stake.at, -stake.seat),
        source=SOURCE,
        advice=f"cut it to {pin.height - stake.cut:.1f} before it is staked",
    )
