"""Room that the former speaker has proven, where nothing better was measured."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.findings.compare import at_most
from mounts.findings.report import Finding, Verdict
from mounts.kinds.ring.clearances import speaker_reach
from mounts.kinds.ring.values import RingSeat
from mounts.load.models.job_kinds import RingJob

SOURCE = "the speaker that was there had this room; common practice, no source"


def proven_findings(job: RingJob, seat: RingSeat) -> Iterator[Finding]:
    """Yield the new speaker's depth and front against the old one's, where glass or trim was not measured."""
    original, behind, front = job.panel.original, job.panel.behind, job.panel.in_front
    if original is None:
        return
    deep, high = speaker_reach(job, seat)
    if original.depth is not None and (behind is None or behind.glass is None):
        yield _within(
            "proven.depth",
            "depth behind the face",
            deep,
            original.depth,
            "the glass at every clock",
        )
    if original.front is not None and (front is None or front.trim is None):
        yield _within(
            "proven.front",
            "height before the face",
            high,
            original.front,
            "the trim with clay",
        )


def _within(code: str, what: str, value: float, proven: float, reading: str) -> Finding:
    advice = f"measure {reading}, or take another height"
    what = f"{what}, against the speaker that was there"
    return at_most(code, value, proven, what, missed=Verdict.WARN, source=SOURCE, advice=advice)
