"""The press: strain in the cup, forces, and what heat, cold and time leave; and what keeps the tweeter then."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi, radians

from mounts.design.loads import IN_SHEAR, REPEATED, STAYS, lasting_strength, shock
from mounts.design.pressfit import (
    FRICTION,
    ROOM,
    RibbedRing,
    at_temperature,
    hoop_stress,
    snap_strain,
)
from mounts.findings.report import Finding, Verdict
from mounts.geometry.ties import at_least, at_most
from mounts.kinds.cup.seat import once_strain, rib_rings
from mounts.kinds.cup.values import CupPlan, Press
from mounts.load.models.resolved import CupJob

LAME = "Lamé's thick cylinder under the ribs' mean pressure; press and shrink fits in textbooks on machine elements"
RING = "ring under equal radial loads (Roark), ribs flattened at the plastic's strength; friction 0.25, no source"
Rings = tuple[RibbedRing, RibbedRing]
BY_HAND = 200.0  # N: more is pushed in with a clamp
COLD, HOT = -20.0, 80.0  # °C


def press_findings(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Everything about a pressed tweeter; nothing for another retention."""
    press = plan.seat.press
    if press is None:
        return
    rings = rib_rings(job, press.body)
    yield from _strain(job, press, rings)
    yield from _forces(job, press, rings)
    yield from _kept(job, plan, press)


def _strain(job: CupJob, press: Press, rings: Rings) -> Iterator[Finding]:
    limit = job.limits.press_strain_pct
    strain = 100 * max(ring.strain(press.fit) for ring in rings)
    borne = at_most(strain, limit)
    yield Finding(
        code="press.strain",
        verdict=Verdict.PASS if borne else Verdict.WARN,
        what="strain that the press leaves in the cup",
        closed_form=strain,
        limit=limit,
        unit="%",
        source=f"styrenics and PC crack in years above it (snap-fit design guides); {RING}",
        advice="" if borne else "press less: leave interference out, and the largest that lasts is taken",
    )
    stress = max(_hoop(press, ring) for ring in rings)
    lasting = lasting_strength(job.material.strength_mpa, job.material.modulus_mpa)
    yield Finding(
        code="press.hoop",
        verdict=Verdict.PASS if at_most(stress, lasting) else Verdict.WARN,
        what="hoop stress in the cup",
        closed_form=stress,
        limit=lasting,
        unit="MPa",
        source=LAME,
        advice="" if stress <= lasting else "press less, or take a thicker wall",
    )
    shrunk = at_temperature(press.fit, press.body, COLD, job.material.expansion)
    cold = 100 * max(ring.strain(shrunk) for ring in rings)
    once = 100 * once_strain(job.material)
    yield Finding(
        code="press.cold",
        verdict=Verdict.PASS if at_most(cold, once) else Verdict.FAIL,
        what=f"strain in the cup at {COLD:g} °C, where it shrinks on the tweeter",
        closed_form=cold,
        limit=once,
        unit="%",
        source="70 % of the strain at yield (a resin maker's design note)",
        advice="" if cold <= once else "press less",
    )


def _hoop(press: Press, ring: RibbedRing) -> float:
    """Hoop stress by Lamé under the ribs' mean pressure, MPa."""
    pressing = press.ribs * ring.force(press.fit) / (pi * press.body * ring.length)
    return hoop_stress(pressing, ring.inside, ring.outside)


def _forces(job: CupJob, press: Press, rings: Rings) -> Iterator[Finding]:
    push = max(ring.holds(press.fit) for ring in rings)
    yield Finding(
        code="press.in",
        verdict=Verdict.PASS if at_most(push, BY_HAND) else Verdict.WARN,
        what="force that pushes the tweeter in",
        closed_form=push,
        limit=BY_HAND,
        unit="N",
        source=f"what two thumbs give, common practice; {RING}",
        advice="" if push <= BY_HAND else "press it in with a clamp and a soft block, or give fewer ribs",
    )
    for hot in (ROOM, COLD, HOT):
        fit = at_temperature(press.fit, press.body, hot, job.material.expansion)
        yield _out(f"pull-out force at {hot:g} °C, new", _least(rings, fit))
    for hot in (ROOM, HOT):
        fit = at_temperature(STAYS * press.fit, press.body, hot, job.material.expansion)
        yield _out(f"pull-out force at {hot:g} °C, once it has been hot", _least(rings, fit))


def _least(rings: Rings, fit: float) -> float:
    """The least that the ribs hold, N."""
    return min(ring.holds(fit) for ring in rings)


def _out(what: str, force: float) -> Finding:
    """A force that is told without a limit: lip or lugs keep what the press lets go."""
    source = f"half of a press is left once it has been hot, common practice; friction {FRICTION:g}"
    return Finding(code="press.out", verdict=Verdict.PASS, what=what, closed_form=force, unit="N", source=source)


def _kept(job: CupJob, plan: CupPlan, press: Press) -> Iterator[Finding]:
    wide = 2 * plan.seat.room.box[2]
    word = "lugs" if press.lugs else "lip"
    snap = 100 * snap_strain(press.over, wide, job.limits.cup_wall, press.lugs)
    once = 100 * once_strain(job.material)
    yield Finding(
        code="press.snap",
        verdict=Verdict.PASS if at_most(snap, once) else Verdict.WARN,
        what=f"strain when the flange is pushed past the {word}",
        closed_form=snap,
        limit=once,
        unit="%",
        source="70 % of the strain at yield, once (a resin maker's design note); Roark, circular rings",
        advice="" if snap <= once else "warm the cup in hot water first, or take a plastic that yields more",
    )
    if job.speaker.mass is None:
        return
    sheared = max(press.lugs, 1) * radians(press.width) * press.past.box[2] * (press.thick + press.slope / 2)
    strength = job.material.strength_mpa * job.material.across_layers * REPEATED * IN_SHEAR
    need, hold = shock(job.speaker.mass, job.limits.slam), sheared * strength
    yield Finding(
        code="press.keep",
        verdict=Verdict.PASS if at_least(hold, need) else Verdict.FAIL,
        what=f"what the {word} hold against a slam" if press.lugs else f"what the {word} holds against a slam",
        closed_form=hold,
        limit=need,
        unit="N",
        source=f"shear across layers, again and again; shock of {job.limits.slam:g} m/s² (ISO 16750-3)",
        advice="" if hold >= need else "take retention: flange",
    )
