"""Torque of a panel screw on the plastic: bearing stress, and the torque to use.

Bearing of a panel screw's washer, or of its bare head, on the base, and the room for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, pi

from mounts.checks.ring.fastening.joints import places
from mounts.checks.ring.fastening.loads import panel_tensions
from mounts.design.fasteners import COVER, thread_diameter
from mounts.design.loads import STAYS, bearing_area, lasting_strength, preload, torque_for
from mounts.findings.compare import Said, at_least, at_most, state
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.identity import Ident, Role
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import FixingPlace
from mounts.kinds.ring.values import Ring

M5 = 5.0  # mm: limits.torque is for this thread
SOURCE = "the lower of a quarter of the strength (common practice) and 0.5 % strain (snap-fit design guides)"


def washer_findings(job: RingJob, plan: Ring) -> tuple[Finding, ...]:
    """Return whether the washer covers the hole, bears the head and has room; all fixings are alike.

    A countersunk head bears in its cone and needs none of this.
    """
    if job.fix_to_panel.screw.head == "countersunk":
        return ()
    return tuple(_flat_bearing(job, places(job, plan)[0]))


def _flat_bearing(job: RingJob, place: FixingPlace) -> Iterator[Finding]:
    screw, washer = job.fix_to_panel.screw, job.fix_to_panel.washer
    thread = thread_diameter(screw.thread)
    play = (place.hole - thread) / 2
    slack = (washer.inside - thread) / 2 if washer else 0.0
    across, what = (washer.outside, "washer") if washer else (screw.head_diameter, "head")
    covers = (across - place.hole) / 2 - play - slack
    wider = job.units.at_least(2 * (COVER - covers))
    yield _bears("screw.washer", f"bearing of the {what} round the hole", covers, f"take a {what} {wider} wider", place)
    if washer:
        bears = (screw.head_diameter - washer.inside) / 2 - slack
        advice = f"take a washer with a hole {job.units.at_least(COVER - bears)} narrower"
        yield _bears("screw.head", "bearing of the head on its washer", bears, advice, place)
    if place.path is not None:
        yield _washer_room(job, place, what, (place.path - across) / 2 + slack - play)


def _bears(code: str, what: str, width: float, advice: str, place: FixingPlace) -> Finding:
    at = (*place.at, place.seat)
    return at_least(code, width, COVER, f"{what}, least width", at=at, source=PRACTICE, advice=advice)


def _washer_room(job: RingJob, place: FixingPlace, what: str, room: float) -> Finding:
    """Return the room beside the washer when screw and washer stand at the edges of their holes."""
    return at_least(
        "screw.washer-room",
        room,
        0.0,
        f"{what} to the wall of its tool path, screw at the edge of its hole",
        missed=Verdict.WARN,
        at=(*place.at, place.seat),
        between=(Ident(Role.WASHER, "", what), Ident(Role.PATH)),
        source="geometry",
        advice=f"take limits: {{tool_path: …}} {job.units.at_least(-2 * room)} greater",
    )


def clamp_findings(job: RingJob, plan: Ring) -> tuple[Finding, ...]:
    """Return the bearing stress at the torque limit, and the torque to use; all fixings are alike."""
    place = places(job, plan)[0]
    return (_bearing(job, place), _torque(job, plan, place))


def torque_limit(job: RingJob) -> tuple[float, str]:
    """Return the greatest torque that the limits and the nut allow, N·m, and which of them it is.

    The limit on plastic is given for M5 and scales with the thread, so that the preload stays the same.
    """
    plastic = job.limits.torque * thread_diameter(job.fix_to_panel.screw.thread) / M5
    nut: float | None = getattr(job.fix_to_panel.hardware, "torque", None)
    return (nut, job.fix_to_panel.hardware.name) if nut is not None and nut < plastic else (plastic, "the plastic")


def torque_to_use(job: RingJob, place: FixingPlace) -> tuple[float, str]:
    """Return the torque for a panel screw, N·m, and what bounds it: limits, nut, or the bearing stress."""
    most, why = torque_limit(job)
    force = _lasting(job) * bearing_area(place.bears, place.hole)
    bears = torque_for(force, thread_diameter(job.fix_to_panel.screw.thread))
    return (bears, "the plastic under the washer") if bears < most else (most, why)


def _bearing(job: RingJob, place: FixingPlace) -> Finding:
    """Return the stress under washer or head at the torque limit; too much creeps away, or crushes at once."""
    lasting, area = _lasting(job), bearing_area(place.bears, place.hole)
    force = preload(torque_limit(job)[0], thread_diameter(job.fix_to_panel.screw.thread))
    stress = force / area if area > 0 else float("inf")
    wide = ceil(2 * (4 / pi * force / lasting + place.hole**2) ** 0.5) / 2
    torque = torque_to_use(job, place)[0]
    what = f"pressure under washer or head ({job.material.name}, {format_torque(torque_limit(job)[0])} N·m)"
    missed = Verdict.FAIL if stress > job.material.strength_mpa else Verdict.WARN
    at = (*place.at, place.seat)
    advice = f"tighten to no more than {format_torque(torque)} N·m, or take a washer {job.units(wide)} across"
    return at_most("load.bearing", stress, lasting, what, missed=missed, at=at, source=SOURCE, advice=advice)


def _torque(job: RingJob, plan: Ring, place: FixingPlace) -> Finding:
    """Return the torque to use against that at which a slam does not part the joint once the plastic has been hot."""
    use, why = torque_to_use(job, place)
    pulls = panel_tensions(job, plan)
    what = f"torque on the panel screws, bounded by {why}, to what a door slam needs"
    said: Said = {
        "at": (*place.at, place.seat),
        "source": "F = T / (K d), K 0.2; half of a preload on plastic is gone when hot: common practice",
        "advice": "take a larger washer or screw, or more fixings: a slam parts the joint for a moment",
    }
    if pulls is None:
        return state("screw.torque", Verdict.PASS, what, use, **said)
    need = torque_for(float(pulls.max()) / STAYS, thread_diameter(job.fix_to_panel.screw.thread))
    return at_least("screw.torque", use, need, what, missed=Verdict.WARN, **said)


def _lasting(job: RingJob) -> float:
    return lasting_strength(job.material.strength_mpa, job.material.modulus_mpa)


def format_torque(torque: float) -> str:
    """Return a torque rounded down to what a small torque driver shows."""
    return f"{int(torque * 20 + 1e-6) / 20:.2f}".rstrip("0").rstrip(".")
