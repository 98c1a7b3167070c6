"""Review of a finished board and of its foot: their checks, and what their papers are made of."""

from __future__ import annotations

from mounts.checks.board.findings import board_findings, foot_findings
from mounts.kinds.board import papers
from mounts.kinds.board.papers import board_steps, foot_steps
from mounts.kinds.review import Papers, Review

BOARD = Review(
    findings=board_findings,
    papers=Papers(
        title=papers.title,
        seen=papers.SEEN,
        steps=board_steps,
        hardware=papers.hardware,
        tools=papers.tools,
        calipers=papers.calipers,
        record=papers.record,
    ),
)
FOOT = Review(
    findings=foot_findings,
    papers=Papers(
        title=papers.foot_title,
        seen=papers.FOOT_SEEN,
        steps=foot_steps,
        hardware=papers.foot_hardware,
        tools=papers.foot_tools,
        calipers=papers.foot_calipers,
        record=papers.foot_record,
    ),
)
