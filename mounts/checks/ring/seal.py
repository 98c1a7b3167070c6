"""Gaskets: how far each is squeezed, and how evenly the foam lies against the trim."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.findings.report import Finding, Verdict
from mounts.geometry.planes import rim_point
from mounts.geometry.ties import at_least, at_most
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.resolved import Job

MAKER = "enclosure-gasket maker: target 40 %, most 50 %, least 10 to 15 % of the free thickness"
FOAM = "closed-cell foam takes a set; compression is quoted at 25 % (ASTM D1056)"
MOST, LEAST = 50.0, 15.0  # per cent


def squeezes(job: Job, plan: RingPlan) -> Iterator[Finding]:
    """Squeeze of the base's and the speaker's gasket, set by groove and hard stops."""
    base, speaker = job.gaskets.base, job.gaskets.speaker
    if base is not None and plan.base.seal is not None:
        yield _squeeze("base gasket", 100 * (1 - plan.base.seal.depth / base.thickness))
    if speaker is not None and plan.seat.lift:
        yield _squeeze("speaker gasket", 100 * (1 - plan.seat.lift / speaker.thickness))


def foam_against_trim(job: Job, plan: RingPlan) -> Iterator[Finding]:
    """The foam between collar and trim where the trim lies nearest and furthest from its own plane."""
    foam, front = job.gaskets.trim, job.panel.in_front
    if plan.collar is None or foam is None or front is None or front.trim is None:
        return
    rim = job.panel.trim_rim
    plane = plan.collar.rim
    heights = []
    for clock, height in front.trim.at_clock.items():
        x, y = rim_point(rim, clock)
        point = (x + front.trim.at[0], y + front.trim.at[1], height)
        heights.append(float(plane.into(point)[2]))
    squeezed = [100 * (1 - height / foam.thickness) for height in heights]
    least, most = job.limits.foam_least_pct, job.limits.foam_most_pct
    for word, value, limit, good in (
        ("most", max(squeezed), most, at_most(max(squeezed), most)),
        ("least", min(squeezed), least, at_least(min(squeezed), least)),
    ):
        need = foam.thickness * abs(value - limit) / 100
        yield Finding(
            code="seal.foam",
            verdict=Verdict.PASS if good else Verdict.WARN,
            what=f"foam to the trim, {word} squeeze",
            closed_form=value,
            limit=limit,
            unit="%",
            source=FOAM,
            advice="" if good else f"the trim is {need:.1f} uneven there; take thicker foam, or read the trim again",
            margin_sd=100 * job.uncertainty("in_front") / foam.thickness,
        )


def _squeeze(what: str, value: float) -> Finding:
    good = at_least(value, LEAST) and at_most(value, MOST)
    return Finding(
        code="seal.squeeze",
        verdict=Verdict.PASS if good else Verdict.FAIL,
        what=f"squeeze of the {what}",
        closed_form=value,
        limit=MOST if value > (LEAST + MOST) / 2 else LEAST,
        unit="%",
        source=MAKER,
        advice="" if good else "set limits: {squeeze_pct: 40}",
    )
