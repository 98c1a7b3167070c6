"""Displacement of a ring's holes by the material's shrinkage, while nobody has measured or corrected it."""

from __future__ import annotations

from itertools import combinations
from math import hypot

from mounts.checks.fastening.joints import places
from mounts.design.fasteners import thread_diameter
from mounts.findings.compare import ROUNDING, state
from mounts.findings.report import Finding, Verdict
from mounts.identity import Ident, Role
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob
from mounts.load.models.workshop import Shrink

UNKNOWN = Shrink(least=0.1, most=0.8, source="common practice for filaments")  # of a material whose file gives none
SHARE = 0.5  # of the play in a hole that shrink may take; the rest is for measuring and printing


def shrink_finding(job: RingJob, plan: RingPlan) -> Finding:
    """Return what shrinkage takes from the play of the two fixings furthest apart; a warning while unknown."""
    around = places(job, plan)
    play = around[0].hole - thread_diameter(job.fix_to_panel.screw.thread)
    span, pair = max(
        (hypot(a.at[0] - b.at[0], a.at[1] - b.at[1]), (a.name, b.name)) for a, b in combinations(around, 2)
    )
    known = job.printer.slicer_corrects or job.material.name in job.printer.shrink_pct
    usual = job.material.shrink_pct or UNKNOWN
    shrink = job.printer.shrink(job.material.name) if known else usual.most
    off = span * abs(shrink) / 100
    verdict = _verdict(off, play) if known else Verdict.WARN
    how = (
        f"{shrink:g} % by the printer's file" if known else f"not measured, usually {usual.least:g} to {usual.most:g} %"
    )
    source = "the printer's file" if known else usual.source
    if job.printer.slicer_corrects:
        how = "the slicer corrects it"
    return state(
        "shrink",
        verdict,
        f"shrink of {job.material.name} from fixing {pair[0]} to {pair[1]}, {how}",
        off,
        SHARE * play,
        between=(Ident(Role.HOLE, pair[0]), Ident(Role.HOLE, pair[1])),
        source=f"half of the play in the holes; shrink: {source}",
        advice=lambda: _advice(job, shrink if known else None),
    )


def _verdict(off: float, play: float) -> Verdict:
    if off <= SHARE * play + ROUNDING:
        return Verdict.PASS
    return Verdict.WARN if off <= play + ROUNDING else Verdict.FAIL


def _advice(job: RingJob, shrink: float | None) -> str:
    name, printer = job.material.name, job.printer.name
    if shrink is None:
        return (
            f"print the coupon (mounts coupon {printer} --material {name}), or measure a bar and write "
            f"shrink_pct: {{{name}: …}} into {printer}; or set the slicer to it and write slicer_corrects: true"
        )
    return f"scale by {100 / (1 - shrink / 100):.2f} % in the slicer, and write slicer_corrects: true into {printer}"
