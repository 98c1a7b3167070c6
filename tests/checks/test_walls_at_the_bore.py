"""Walls that end at the lower edge of the bore: floors of pockets over its mouth, and a bead's room that cuts it off.

Random rings, each once told with a floor that the mesh did not show; the mesh kernel is the second opinion.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from mounts.checks.mesh.walls import wall_findings
from mounts.findings.compare import AGREE
from mounts.kernels import mesh
from mounts.kinds.kind import kind_of, parts
from mounts.load.resolve.job import load_job
from tests.scale.doors import PROFILES, Library, load_from, text_of


@pytest.mark.parametrize("number", [44, 127])
def test_plan_and_mesh_agree_on_each_floor(number: int) -> None:
    library = Library(PROFILES)
    job = parts(load_from(library, library.root / "jobs" / f"ring-{number}.yaml", text_of("ring", 1, number)))[0]
    kind = kind_of(job)
    plan = kind.plan(job)
    part = mesh.build(kind.shape(plan).recipe)
    floors = [one for one in wall_findings(part, plan.walls) if one.code == "wall.floor"]
    assert len(floors) >= 3
    for floor in floors:
        assert floor.measured == pytest.approx(floor.closed_form, abs=AGREE)


def test_walls_over_a_raised_bead_begin_where_the_bore_begins(tmp_path: Path) -> None:
    """A bead's room across the whole opening cuts the flared bore's lower edge off: nothing is nearest there."""
    text = (PROFILES / "jobs" / "linnet-cargo-glass.yaml").read_text("utf-8")
    job = tmp_path / "linnet-cargo-glass.yaml"
    job.write_text(re.sub(r"(?m)^speaker: .*", "speaker: demo-woofer-130", text), "utf-8")
    loaded = parts(load_job(job, (PROFILES,)))[0]
    plan = kind_of(loaded).plan(loaded)
    found = wall_findings(mesh.build(kind_of(loaded).shape(plan).recipe, 192), plan.walls)
    assert [one.what for one in found if one.code == "wall.disagreement"] == []
    for code in ("wall.floor", "wall.recess-bore", "wall.groove-bore"):
        measured = [one for one in found if one.code == code]
        assert measured
        for one in measured:
            assert one.measured == pytest.approx(one.closed_form, abs=AGREE)
