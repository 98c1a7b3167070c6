"""Press fit of a cup: strain, forces, what heat, cold and time leave, and what then keeps the tweeter."""

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
from mounts.findings.compare import at_least, at_most, state
from mounts.findings.report import Finding, Verdict
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.seat import once_strain, rib_rings
from mounts.kinds.cup.values import CupPlan, Press

LAME = "Lamé's thick cylinder under the ribs' mean pressure; press and shrink fits in textbooks on machine elements"
RING = "ring under equal radial loads (Roark), ribs flattened at the plastic's strength; friction 0.25, no source"
Rings = tuple[RibbedRing, RibbedRing]
BY_HAND = 200.0  # N: more is pushed in with a clamp
COLD, HOT = -20.0, 80.0  # °C


def press_findings(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Yield all findings on a pressed tweeter; nothing for another retention."""
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
    what = "strain that the press leaves in the cup"
    source = f"styrenics and PC crack in years above it (snap-fit design guides); {RING}"
    advice = "press less: leave interference out, and the largest that lasts is taken"
    yield at_most("press.strain", strain, limit, what, missed=Verdict.WARN, source=source, advice=advice)
    stress = max(_hoop(press, ring) for ring in rings)
    lasting = lasting_strength(job.material.strength_mpa, job.material.modulus_mpa)
    what, advice = "hoop stress in the cup", "press less, or take a thicker wall"
    yield at_most("press.hoop", stress, lasting, what, missed=Verdict.WARN, source=LAME, advice=advice)
    shrunk = at_temperature(press.fit, press.body, COLD, job.material.expansion)
    cold = 100 * max(ring.strain(shrunk) for ring in rings)
    once = 100 * once_strain(job.material)
    what = f"strain in the cup at {COLD:g} °C, where it shrinks on the tweeter"
    source = "70 % of the strain at yield (a resin maker's design note)"
    yield at_most("press.cold", cold, once, what, source=source, advice="press less")


def _hoop(press: Press, ring: RibbedRing) -> float:
    """Return the hoop stress by Lamé under the ribs' mean pressure, MPa."""
    pressing = press.ribs * ring.force(press.fit) / (pi * press.body * ring.length)
    return hoop_stress(pressing, ring.inside, ring.outside)


def _forces(job: CupJob, press: Press, rings: Rings) -> Iterator[Finding]:
    push = max(ring.holds(press.fit) for ring in rings)
    what = "force to push the tweeter in"
    source = f"what two thumbs give, common practice; {RING}"
    advice = "press it in with a clamp and a soft block, or give fewer ribs"
    yield at_most("press.in", push, BY_HAND, what, missed=Verdict.WARN, source=source, advice=advice)
    for hot in (ROOM, COLD, HOT):
        fit = at_temperature(press.fit, press.body, hot, job.material.expansion)
        yield _out(f"{hot:g} °C, new", _least(rings, fit))
    for hot in (ROOM, HOT):
        fit = at_temperature(STAYS * press.fit, press.body, hot, job.material.expansion)
        yield _out(f"{hot:g} °C, once it has been hot", _least(rings, fit))


def _least(rings: Rings, fit: float) -> float:
    """Return the least force that the ribs hold, N."""
    return min(ring.holds(fit) for ring in rings)


def _out(when: str, force: float) -> Finding:
    """Return a force without a limit: lip or lugs keep what the press lets go."""
    source = f"half of a press is left once it has been hot, common practice; friction {FRICTION:g}"
    return state("press.out", Verdict.PASS, f"pull-out force at {when}", force, case=when, source=source)


def _kept(job: CupJob, plan: CupPlan, press: Press) -> Iterator[Finding]:
    wide = 2 * plan.seat.room.box[2]
    word = "lugs" if press.lugs else "lip"
    snap = 100 * snap_strain(press.over, wide, job.limits.cup_wall, press.lugs)
    once = 100 * once_strain(job.material)
    what = f"strain when the flange is pushed past the {word}"
    source = "70 % of the strain at yield, once (a resin maker's design note); Roark, circular rings"
    advice = "warm the cup in hot water first, or take a plastic that yields more"
    yield at_most("press.snap", snap, once, what, missed=Verdict.WARN, source=source, advice=advice)
    if job.speaker.mass is None:
        return
    sheared = max(press.lugs, 1) * radians(press.width) * press.past.box[2] * (press.thick + press.slope / 2)
    strength = job.material.strength_mpa * job.material.across_layers * REPEATED * IN_SHEAR
    yield at_least(
        "press.keep",
        sheared * strength,
        shock(job.speaker.mass, job.limits.slam),
        f"door slam: hold of the {word}",
        source=f"shear across layers, again and again; shock of {job.limits.slam:g} m/s² (ISO 16750-3)",
        advice="take retention: flange",
    )
