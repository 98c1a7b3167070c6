"""Every ring of the profiles, drawn by the mesh kernel: no alarm, and plan and mesh tell the same near the limits."""

from __future__ import annotations

from pathlib import Path

import pytest

from mounts.checks.mesh.walls import MATTERS, wall_findings
from mounts.findings.report import Verdict
from mounts.kernels import mesh
from mounts.kinds.ring.values import RingPlan
from mounts.kinds.table import KINDS
from mounts.load.job import load_job

JOBS = sorted(Path(__file__).parents[2].glob("profiles/jobs/*.yaml"))


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_a_ring_of_the_profiles_raises_no_alarm(path: Path) -> None:
    for job in load_job(path):
        kind = KINDS[job.kind, job.make]
        plan = kind.plan(job)
        if not isinstance(plan, RingPlan):  # cut from sheet
            continue
        found = wall_findings(mesh.build(kind.shape(plan).recipe), plan.walls)
        alarms = [one for one in found if one.verdict is not Verdict.PASS or one.code == "wall.disagreement"]
        assert alarms == []
        shown = [one for one in found if None not in (one.measured, one.closed_form, one.limit)]
        assert len(shown) > 20
        near = [one for one in shown if one.measured < MATTERS * one.limit]  # type: ignore[operator]
        assert near
        for one in near:
            assert one.measured == pytest.approx(one.closed_form, abs=0.02), one.what
