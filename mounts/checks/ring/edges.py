"""Broken edges of a ring that a hand meets, by the plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from mounts.findings.compare import at_least
from mounts.findings.report import Finding, Verdict
from mounts.kinds.ring.values import RingPlan
from mounts.lengths import Units

LEAST = 0.3  # mm: what a broken edge needs to be felt as one, the low end of a first layer's chamfer (print guides)
SHEET = (("all edges of the sheet", 0.0),)  # a ring that is cut has no other
BY_HAND = 0.5  # mm, what a deburring tool takes


def edge_finding(touched: Iterable[tuple[str, float]], units: Units = Units.MM) -> Finding:
    """Return the least broken of the edges that a hand meets; an unbroken one is an instruction."""
    width, edge = min((width, edge) for edge, width in touched)
    what, source = f"broken edges, least at {edge}", "print guides: a first-layer chamfer is 0.3 to 0.5"
    return at_least(
        "edges",
        width,
        LEAST,
        what,
        missed=Verdict.DO,
        source=source,
        advice=f"break {edge} by hand, {units(BY_HAND)} wide",
    )


def touched_edges(plan: RingPlan) -> Iterator[tuple[str, float]]:
    """Yield the name of each edge that a hand meets, and how wide it is broken, mm."""
    yield "the base's upper edge", plan.base.edge
    yield "the base's first layer", plan.base.chamfer
    if plan.collar:
        yield "the collar's rim", 0.0
    elif plan.seat.let_in is not None:
        yield "the rim round the flange", plan.seat.edge
        yield "the inner edge of the rim round the flange", 0.0
    else:
        yield "the seat's edge", plan.seat.edge
