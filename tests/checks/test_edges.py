"""Edges that a hand meets, just broken enough and just not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mounts.checks.ring.findings import SHEET, edge_finding, touched_edges
from mounts.findings.report import Verdict
from mounts.kinds.ring.plan import plan_ring
from tests.kinds.ring.conftest import jobs_of


@pytest.mark.parametrize(("holder", "edge"), [("base", "edge"), ("base", "chamfer"), ("seat", "edge")])
@pytest.mark.parametrize(("width", "verdict"), [(0.31, Verdict.PASS), (0.29, Verdict.DO)])
def test_each_edge_of_the_demo_counts(holder, edge, width, verdict):
    plan = plan_ring(jobs_of("linnet-woofer")[0])
    assert edge_finding(touched_edges(plan)).verdict is Verdict.PASS
    found = edge_finding(touched_edges(replace(plan, **{holder: replace(getattr(plan, holder), **{edge: width})})))
    assert (found.code, found.verdict, found.closed_form, found.limit) == ("edges", verdict, width, 0.3)


@pytest.mark.parametrize(
    ("name", "edge"),
    [
        ("linnet-front-collar", "the collar's rim"),
        ("linnet-front-flush", "the inner edge of the rim round the flange"),
        ("linnet-front-sheet", "all edges of the sheet"),
    ],
)
def test_what_is_not_broken_is_an_instruction(name, edge):
    job = jobs_of(name)[0]
    found = edge_finding(SHEET if job.make == "cut" else touched_edges(plan_ring(job)))
    assert (found.verdict, found.closed_form) == (Verdict.DO, 0.0)
    assert found.advice == f"break {edge} by hand, 0.5 wide"
