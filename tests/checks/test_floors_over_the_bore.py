"""Floors of speaker pockets that stand over the bore's mouth, where there is no face below them.

Random rings, each once told with a floor that the mesh did not show; the mesh kernel is the second opinion.
"""

from __future__ import annotations

import pytest

from mounts.checks.mesh.walls import wall_findings
from mounts.kernels import mesh
from mounts.kinds.table import kind_of, parts
from tests.scale.doors import PROFILES, Library, load_from, text_of

AGREED = 0.05  # mm, as everywhere between plan and mesh


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
        assert floor.measured == pytest.approx(floor.closed_form, abs=AGREED)
