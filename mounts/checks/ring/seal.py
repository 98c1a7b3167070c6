"""Gaskets of a ring: how far each is squeezed, and how evenly the foam lies against the trim."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.findings.compare import at_least, at_most, in_band
from mounts.findings.report import Finding, Verdict
from mounts.geometry.planes import rim_point
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob

MAKER = "enclosure-gasket maker: target 40 %, most 50 %, least 10 to 15 % of the free thickness"
FOAM = "closed-cell foam takes a set; compression is quoted at 25 % (ASTM D1056)"
MOST, LEAST = 50.0, 15.0  # per cent


def squeeze_findings(job: RingJob, plan: RingPlan) -> Iterator[Finding]:
    """Yield the squeeze of the base's and the speaker's gasket, set by groove and hard stops."""
    base, speaker = job.gaskets.base, job.gaskets.speaker
    if base is not None and plan.base.seal is not None:
        yield _squeeze("base gasket", 100 * (1 - plan.base.seal.depth / base.thickness))
    if speaker is not None and plan.seat.lift:
        yield _squeeze("speaker gasket", 100 * (1 - plan.seat.lift / speaker.thickness))


def foam_findings(job: RingJob, plan: RingPlan) -> Iterator[Finding]:
    """Yield the foam between collar and trim where the trim lies nearest and furthest from its plane."""
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
    for compare, word, value, limit in (
        (at_most, "most", max(squeezed), job.limits.foam_most_pct),
        (at_least, "least", min(squeezed), job.limits.foam_least_pct),
    ):
        need = foam.thickness * abs(value - limit) / 100
        yield compare(
            "seal.foam",
            value,
            limit,
            f"foam to the trim, {word} squeeze",
            missed=Verdict.WARN,
            source=FOAM,
            advice=f"the trim is {job.units(need, 1)} uneven there; take thicker foam, or read the trim again",
            margin_sd=100 * job.uncertainty("in_front") / foam.thickness,
        )


def _squeeze(what: str, value: float) -> Finding:
    advice = "set limits: {squeeze_pct: 40}"
    return in_band("seal.squeeze", value, (LEAST, MOST), f"squeeze of the {what}", source=MAKER, advice=advice)
