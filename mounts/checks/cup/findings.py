"""All findings on a printed cup.

Readback of a finished cup: its pin holes, ribs and seat in the mesh against the plan.

Heads of a staked cup: their volume, their bearing, the room for the iron, and whether the cup goes on at all.

Load of a slammed door on pins, heads, plate and screws.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from math import acos, degrees, dist

import numpy as np

from mounts.checks.assembly import assemble, disagreements, measure_gaps
from mounts.checks.chances import HELPS, FitChance, Remedy, clear_findings, compute_fit
from mounts.checks.cup.press import press_findings
from mounts.checks.heat import heat_finding
from mounts.checks.listening import listening_findings
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import wall_findings
from mounts.checks.printing.findings import growth_finding, printing_findings
from mounts.checks.printing.patches import RoundHole, Surface, find_flats, find_round_holes
from mounts.design.loads import IN_LINE, REPEATED, shear_off, shock, worst_tensions
from mounts.findings.compare import Said, at_least, at_most, in_band, state, within
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Vector
from mounts.geometry.ties import first_most, least_of
from mounts.identity import REAR_FACE, ROOM_END, Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.cup.clearances import cup_gaps
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.plan import cup_pose
from mounts.kinds.cup.shape import surroundings
from mounts.kinds.cup.stakes import pin_errors, stake_chance
from mounts.kinds.cup.values import SOURCE, CupPlan, Stake, head_volume
from mounts.kinds.cup.way import FLANGE_WAY, OPENING_WAY, PLUG_WAY, way_envelopes
from mounts.lengths import Units
from mounts.load.models.pins import Pin

WITH_CUP = "put the tweeter into its cup before that is staked; it comes out only with it, as the work steps say"
OFF, LEAN = 0.05, 0.1  # mm and degrees that a value may be off its plan
SIZE_SOURCE = "a twentieth of a millimetre, a tenth of a degree: half a printer's error"
SEEN = 5.0  # mm²: a smaller flat is no seat
FULL = (1.0, 1.25)  # of the standard head's volume: less leaves the cavity unfilled, more runs out as flash
WIDE = (1.5, 2.0)  # head, in pin diameters
BEARS = 0.3  # mm a side of plate that a head bears on at least
# MPa: a moulded pin of unknown plastic, weaker than the values usually given for PP and ABS; common practice, no source
PIN = 20.0
SLAM = "shock of {:g} m/s² (ISO 16750-3, doors and flaps), 1.77 for an undamped part"
ALONE = "clear.body-bore"  # between the ribs, which bite into the body as they should


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
        yield state("hole.lost", Verdict.FAIL, f"place of {hole}", case=hole.id, source=SIZE_SOURCE, advice=advice)
        return
    bore = least_of(mine, key=lambda one: abs(one.diameter - width))
    said: Said = {"at": (*at, 0.0), "case": hole.id, "source": SIZE_SOURCE, "advice": "do not print it"}
    yield within("hole.diameter", bore.diameter, width, OFF, f"diameter of {hole}", **said)
    yield at_most("hole.place", 0.0, OFF, f"place of {hole}", measured=dist(bore.at, at), **said)


def _seat(plan: CupPlan, surface: Surface) -> Iterator[Finding]:
    """Yield tilt and height of the flat that the flange lies on."""
    frame = plan.seat.frame
    near = [flat for flat in find_flats(surface, SEEN) if _leans(flat.normal, frame.z) < 5.0]
    seats = [flat for flat in near if abs(float(frame.into(flat.middle)[2])) < 0.5]
    if not seats:
        advice = "the mesh has no flat for the flange; do not print it"
        yield state("seat.lost", Verdict.FAIL, "seat of the tweeter", source=SIZE_SOURCE, advice=advice)
        return
    seat = least_of(seats, key=lambda flat: _leans(flat.normal, frame.z))
    off, lean = abs(float(frame.into(seat.middle)[2])), _leans(seat.normal, frame.z)
    said: Said = {"at": seat.middle, "source": SIZE_SOURCE, "advice": "do not print it"}
    yield within("seat.height", off, 0.0, OFF, "height of the seat off its plane", **said)
    yield within("seat.tilt", lean, 0.0, LEAN, "tilt of the seat off its plan", **said)


def _leans(normal: tuple[float, float, float], axis: tuple[float, float, float]) -> float:
    along = sum(a * b for a, b in zip(normal, axis, strict=True))
    return degrees(acos(min(1.0, max(-1.0, along))))


def stake_findings(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Yield all findings on the pins of a cup."""
    yield _pins_fit(job, plan)
    for stake in plan.stakes:
        pin = job.panel.pins[stake.name]
        yield from _volume(job, stake, pin)
        yield _width(stake, pin)
        yield _bearing(stake)
        yield _iron(job, stake)
        if stake.cut > 0:
            yield _cut(stake, pin, job.units)


def _pins_fit(job: CupJob, plan: CupPlan) -> Finding:
    fit = _fit_chance(job, plan)
    holds = {stake.role: stake.name for stake in plan.stakes}
    what = f"chance that it goes on: located at {holds['locator']}, slot at {holds['slot']}"
    source = "fixed fasteners of ASME Y14.5 appendix B as a probability, every pin off by the same error"
    return state(
        "fit.pins",
        fit.verdict(job.sure),
        what,
        100 * fit.printed,
        100 * job.sure,
        source=source,
        advice=_finer(job, fit, 1.0).what,
        margin_sd=job.uncertainty("holes"),
    )


def _fit_chance(job: CupJob, plan: CupPlan) -> FitChance:
    return compute_fit(pin_errors(job), partial(stake_chance, plan.stakes))


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
        f"volume of pin {stake.name} to its head: {stake.head.form}, {job.units(stake.head.diameter, 1)} across, "
        f"{job.units(stake.head.height, 1)} high",
        missed=Verdict.WARN,
        at=(*stake.at, -stake.seat),
        case=stake.name,
        source=SOURCE,
        advice=long if share > 1 else short,
        margin_sd=sd,
    )


def _width(stake: Stake, pin: Pin) -> Finding:
    ratio = stake.head.diameter / pin.diameter
    what, advice = f"width of head {stake.name} in pin diameters", f"take a ratio from {WIDE[0]:g} to {WIDE[1]:g}"
    said: Said = {"at": (*stake.at, -stake.seat), "case": stake.name, "source": SOURCE, "advice": advice}
    return in_band("stake.head", ratio, WIDE, what, missed=Verdict.WARN, **said)


def _bearing(stake: Stake) -> Finding:
    """Return the plate under the head beside its hole, least at the slot's ends."""
    what = f"bearing of head {stake.name} beside its hole, a side"
    advice = "take a wider head, or measure the pins more finely so that holes are smaller"
    said: Said = {"at": (*stake.at, -stake.seat), "case": stake.name, "source": PRACTICE, "advice": advice}
    return at_least("stake.bears", (stake.head.diameter - stake.length) / 2, BEARS, what, **said)


def _iron(job: CupJob, stake: Stake) -> Finding:
    """Return the room for the iron's tip in its well, which is open to the back so that it comes in straight."""
    what = f"tip or head to the wall of well {stake.name}"
    value = (stake.well - max(job.staking.tip, stake.head.diameter)) / 2
    advice = "take a smaller tip"
    said: Said = {"at": (*stake.at, -stake.seat), "case": stake.name, "source": PRACTICE, "advice": advice}
    return at_least("stake.iron", value, job.limits.tip_gap, what, missed=Verdict.WARN, **said)


def _cut(stake: Stake, pin: Pin, units: Units) -> Finding:
    what = f"length of pin {stake.name}"
    advice = f"cut it to {units(pin.height - stake.cut, 1)} before it is staked"
    said: Said = {"at": (*stake.at, -stake.seat), "case": stake.name, "source": SOURCE, "advice": advice}
    return at_most("stake.cut", pin.height, pin.height - stake.cut, what, missed=Verdict.DO, **said)


def load_findings(job: CupJob, plan: CupPlan, part: Part) -> Iterator[Finding]:
    """Yield pins in tension, plate sheared under the heads, screws in the seat; nothing without a mass."""
    if job.speaker.mass is None:
        return
    own = part.volume * 1e-9 * job.material.density
    force = shock(job.speaker.mass + own, job.limits.slam)
    tensions = _tensions(plan, _middle(job, plan, part, own), force)
    source = SLAM.format(job.limits.slam)
    worst = first_most(tensions)
    stake, tension = plan.stakes[worst], float(tensions[worst])
    pin = job.panel.pins[stake.name]
    stress, borne = tension / pin.section, PIN * REPEATED
    yield at_most(
        "load.pin",
        stress,
        borne,
        f"door slam: pull on pin {stake.name}",
        at=(*stake.at, -stake.seat),
        source=f"{source}; a moulded pin bears {PIN:g} MPa once, no source",
        advice="use more of the pins, or a lighter tweeter",
    )
    strength = job.material.strength_mpa * job.material.across_layers * REPEATED
    yield at_least(
        "load.plate",
        shear_off(stake.head.diameter, stake.seat, strength),
        tension,
        f"door slam: strength of the plate under head {stake.name}",
        at=(*stake.at, -stake.seat),
        source=f"{source}; shear across layers, again and again",
        advice="take a wider head or a thicker plate",
    )
    yield from _screws(job, plan, strength, source)


def _middle(job: CupJob, plan: CupPlan, part: Part, own: float) -> Vector:
    """Return the centre of mass of tweeter and cup; the tweeter's is half way down its depth."""
    assert job.speaker.mass is not None
    tweeter = plan.seat.frame.out((0.0, 0.0, -job.speaker.depth / 2))
    x, y, z = (job.speaker.mass * tweeter + own * part.centroid) / (job.speaker.mass + own)
    return (float(x), float(y), float(z))


def _tensions(plan: CupPlan, at: Vector, force: float) -> np.ndarray:
    """Return the greatest tension in each pin over all directions of the force, (n,) N."""
    points = np.array([stake.at for stake in plan.stakes])
    away = points - points.mean(axis=0)
    straight = len(points) == 2 or np.linalg.svd(away)[1][-1] ** 2 <= len(points) * IN_LINE**2
    lever = None
    if straight:
        across = np.linalg.svd(away)[2][-1]
        rim = np.array(plan.outline.points(0.05)) @ across - points.mean(axis=0) @ across
        lever = float(min(rim.max(), -rim.min()))
    return worst_tensions(points, at, force, lever)


def _screws(job: CupJob, plan: CupPlan, strength: float, source: str) -> Iterator[Finding]:
    """Yield the pull-out of the flange's screws from the seat."""
    if not plan.seat.screws or job.fix_speaker is None or job.speaker.mass is None:
        return
    item = job.fix_speaker.hardware
    depth = plan.seat.screws[0].depth
    grip = item.grip(depth, item.thread_in(depth).engages)
    if grip is None:
        return
    yield at_least(
        "load.screw",
        shear_off(grip.across, grip.long, strength),
        shock(job.speaker.mass, job.limits.slam) / len(plan.seat.screws),
        "door slam: hold of each screw of the flange",
        source=f"{source}; the plastic sheared off round the thread",
        advice="take longer or thicker screws",
    )


def cup_findings(job: CupJob, plan: CupPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a printed cup.

    Args:
        job: what was measured and wanted.
        plan: of the cup.
        part: in the panel frame, with the recipe's names on its features.
    """
    return (
        *_fit(job, plan, part),
        growth_finding(job.printer, job.material, job.printer.growth(job.material.name)),
        *stake_findings(job, plan),
        *press_findings(job, plan),
        *cup_readback(plan, part),
        *load_findings(job, plan, part),
        *_comes_out(job, plan),
        *_seen(job, plan),
        *listening_findings(job, plan.seat.frame),
        *([heat_finding(job.material, job.panel.place, job.limits)] if job.panel.place else []),
        *wall_findings(part, plan.walls, skin=Skin.of(part), units=job.units),
        *printing_findings(part, job.printer, cup_pose(plan), labels=plan.labels, units=job.units),
    )


def planned_cup_findings(job: CupJob, plan: CupPlan) -> tuple[Finding, ...]:
    """Return the findings on a cup's clearances, and on the walls that it misses, by its plan alone."""
    walls = (wall.finding() for wall in plan.walls if not wall.is_enough)
    return (*(gap.finding(_advice(job, plan, gap)) for gap in cup_gaps(job, plan)), *walls)


def _fit(job: CupJob, plan: CupPlan, part: Part) -> tuple[Finding, ...]:
    """Return the clearances of the virtual assembly."""
    gaps = tuple(cup_gaps(job, plan))
    apart = [gap for gap in gaps if gap.code != ALONE]
    found = measure_gaps(assemble(part, (*surroundings(job, plan), *way_envelopes(job, plan))), apart)
    told = [*found, *(gap for gap in gaps if gap.code == ALONE)]
    fit = _fit_chance(job, plan)
    chances = clear_findings(gaps, partial(_rests, job), job.sure, fit, partial(_finer, job, fit))
    return (*(gap.finding(_advice(job, plan, gap)) for gap in told), *disagreements(found), *chances)


def _rests(job: CupJob, gap: Gap) -> Mapping[Ident, float]:
    """Return the readings that a gap rests on, one of its own each; the rear face is the face and is never off."""
    read = gap.between[1]
    label = "the room behind" if read == ROOM_END else f"the {read}"
    return {replace(read, label=label): gap.sd} if gap.sd and read != REAR_FACE else {}


def _finer(job: CupJob, fit: FitChance, clear: float) -> Remedy:
    if fit.calibrated > fit.printed + HELPS:
        return fit.calibrate(job, clear)
    return Remedy("measure the pins again, more finely", 1.0)


def _advice(job: CupJob, plan: CupPlan, gap: Gap) -> str:
    """Return the nearest value that would keep a clearance."""
    missing = gap.wanted - gap.gap
    height = plan.seat.frame.origin[2]
    if gap.code == "clear.grille":
        return f"take height: {job.units.key(height - missing, up=False)}, or best"
    if gap.code == "clear.room":
        up = f"take height: {job.units.key(height + missing, up=True)}" if job.height != "best" else "take less tilt"
        return f"{up}, or a tweeter {job.units.at_least(missing)} less deep"
    if gap.code == "clear.standing":
        return f"cut it down by {job.units.at_least(missing)}, or move the seat away with seat_offset"
    if gap.between == (FLANGE_WAY, OPENING_WAY):
        return f"{WITH_CUP}; a flange {job.units.at_least(2 * missing)} narrower could come out there"
    if gap.between[0] == PLUG_WAY:
        return "put the plugs on from behind once the tweeter is in, and see that its bare tags pass"
    return f"{job.units.at_least(missing)} more is needed"


def _comes_out(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Yield that a tweeter behind a grille that does not come off is there for as long as the cup."""
    grille = job.panel.grille
    if grille is not None and grille.cover == "fixed":
        what = "the tweeter's way out through the grille, which is fixed"
        yield state("way.tweeter", Verdict.WARN, what, source=PRACTICE, advice=WITH_CUP)


def _seen(job: CupJob, plan: CupPlan) -> Iterator[Finding]:
    """Yield the share of the dome that the grille's aperture shows along the tweeter's axis."""
    grille, piston, front = job.panel.grille, job.speaker.piston_diameter, job.speaker.front
    if grille is None or piston is None or front is None:
        return
    ring = (np.arange(20) + 0.5) ** 0.5 / 20**0.5 * piston / 2
    turn = np.radians(np.arange(0, 360, 5))
    x, y = (np.outer(ring, wave(turn)).ravel() for wave in (np.cos, np.sin))
    dome = plan.seat.frame.out(np.column_stack([x, y, np.full(len(x), front.height)]))
    axis = np.asarray(plan.seat.frame.z)
    passes = dome + ((grille.height - dome[:, 2]) / axis[2])[:, None] * axis
    shown = 100 * float((depths(grille.outline(), passes[:, :2] - np.asarray(grille.at)) > 0).mean())
    what = "share of the dome that the grille shows along the tweeter's axis"
    advice = "move the seat against the tilt with seat_offset, or tilt less"
    yield at_least("sound.seen", shown, job.limits.seen_pct, what, missed=Verdict.WARN, source=PRACTICE, advice=advice)
