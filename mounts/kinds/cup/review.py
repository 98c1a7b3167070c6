"""Review of a finished cup: its checks, and what its papers are made of."""

from __future__ import annotations

from mounts.checks.cup.findings import cup_findings, planned_cup_findings
from mounts.kinds.cup import papers
from mounts.kinds.cup.sleeve import sleeve_for
from mounts.kinds.cup.steps import cup_steps
from mounts.kinds.review import Papers, Review

CUP = Review(
    findings=cup_findings,
    planned=planned_cup_findings,
    sleeve=sleeve_for,
    papers=Papers(
        title=papers.title,
        steps=cup_steps,
        hardware=papers.hardware,
        tools=papers.tools,
        calipers=papers.calipers,
        record=papers.record,
        stays=papers.stays,
        points=papers.panel_pins,
        front=papers.front,
        back=papers.back,
        heights=papers.heights,
    ),
)
