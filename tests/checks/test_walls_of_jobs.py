"""Every ring of the profiles, drawn by the mesh kernel: no alarm, and plan and mesh tell the same walls."""

from __future__ import annotations

from pathlib import Path

import pytest

from mounts.checks.mesh.walls import wall_findings
from mounts.findings.codes import BOUNDS
from mounts.findings.compare import AGREE
from mounts.findings.report import Verdict
from mounts.kernels import mesh
from mounts.kinds.kind import kind_of
from mounts.kinds.ring.values import RingPlan
from mounts.load.resolve.job import load_job
from tests.scale.perturbed import jobs_of

NEAR = 1.5  # times a limit
JOBS = sorted(Path(__file__).parents[2].glob("profiles/jobs/*.yaml"))


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_a_ring_of_the_profiles_raises_no_alarm(path: Path) -> None:
    for job in load_job(path):
        kind = kind_of(job)
        plan = kind.plan(job)
        if not isinstance(plan, RingPlan):  # cut from sheet
            continue
        found = wall_findings(mesh.build(kind.shape(plan).recipe), plan.walls)
        assert [one for one in found if one.verdict is not Verdict.PASS] == []
        shown = [one for one in found if None not in (one.measured, one.closed_form, one.limit)]
        assert len(shown) > 20
        for one in shown:
            off = one.measured - one.closed_form  # type: ignore[operator]
            near = one.measured < NEAR * one.limit  # type: ignore[operator]
            assert off > -AGREE, one.what
            assert off < AGREE or one.code in BOUNDS, one.what
            assert abs(off) <= 0.02 or not near, one.what


@pytest.mark.parametrize("number", [5, 13, 27, 29])  # nuts' rooms aslant to face and holes, a leaning bore, no room
def test_every_wall_of_a_random_cup_is_on_its_mesh(number: int) -> None:
    job = jobs_of(f"cup-{number}")[0]
    kind = kind_of(job)
    plan = kind.plan(job)
    found = wall_findings(mesh.build(kind.shape(plan).recipe, 360), plan.walls)
    assert [one.what for one in found if one.measured is None or one.code == "wall.disagreement"] == []
