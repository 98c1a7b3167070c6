"""Review of a finished spacer: its checks, and what its papers are made of."""

from __future__ import annotations

from mounts.checks.spacer.findings import spacer_findings
from mounts.kinds.review import Papers, Review
from mounts.kinds.spacer import papers
from mounts.kinds.spacer.papers import spacer_steps

SPACER = Review(
    findings=spacer_findings,
    papers=Papers(
        title=papers.title,
        steps=spacer_steps,
        hardware=papers.hardware,
        tools=papers.tools,
        calipers=papers.calipers,
        record=papers.record,
        front=papers.front,
        around=papers.around,
        cut_at=papers.cut_at,
        heights=papers.heights,
    ),
)
