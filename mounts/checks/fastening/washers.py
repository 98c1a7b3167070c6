"""Bearing of a panel screw's washer, or of its bare head, on the base, and the room for it."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.fastening.joints import places
from mounts.design.fasteners import COVER, thread_diameter
from mounts.findings.compare import at_least
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.findings.wording import enough
from mounts.identity import Ident, Role
from mounts.kinds.ring.values import FixingPlace, Ring
from mounts.load.models.job_kinds import RingJob


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
    wider = f"take a {what} {enough(2 * (COVER - covers))} wider"
    yield _bears("screw.washer", f"bearing of the {what} round the hole", covers, wider, place)
    if washer:
        bears = (screw.head_diameter - washer.inside) / 2 - slack
        narrower = f"take a washer with a hole {enough(COVER - bears)} narrower"  # which also centres it
        yield _bears("screw.head", "bearing of the head on its washer", bears, narrower, place)
    if place.path is not None:
        yield _washer_room(place, what, (place.path - across) / 2 + slack - play)


def _bears(code: str, what: str, width: float, advice: str, place: FixingPlace) -> Finding:
    at = (*place.at, place.seat)
    return at_least(code, width, COVER, f"{what}, least width", at=at, source=PRACTICE, advice=advice)


def _washer_room(place: FixingPlace, what: str, room: float) -> Finding:
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
        advice=f"take limits: {{tool_path: …}} {enough(-2 * room)} greater",
    )
