"""A slice of the random jobs through load and plan: nothing crashes, and what became of each is what was kept.

Rings whose aim or height is to be found are left to `python -m tests.scale.doors`: a search takes seconds.
"""

from __future__ import annotations

import pytest

from mounts.checks.mesh.walls import wall_findings
from mounts.kernels import mesh
from mounts.kinds.kind import parts, plan
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library
from tests.scale.doors import PROFILES, kept_lines, line_of, outcomes, text_of

SEED = 1
SLICE = {"ring": 24, "cup": 8, "spacer": 8, "board": 6}  # numbers drawn; 10 of the 24 rings leave nothing to a search
# what crashes today, each with its error: mend the program, then take it out here
CRASHES: dict[str, str] = {}
# rings whose plan and mesh showed two walls: a flared bore beside a hole's foot; a tower that leans out beyond the
# base's edge, between bore and outside and beside a screw; a tool path that merely touches the tower
DISAGREED = (38, 45, 191, 197)


@pytest.mark.parametrize("kind", SLICE)
def test_random_jobs_are_planned_or_refused_as_they_were(kind: str) -> None:
    found = {f"{one.kind} {one.number}": one for one in outcomes(kind, SEED, SLICE[kind], given=True)}
    crashed = {name: one.why for name, one in found.items() if one.how in ("crashed", "hung")}
    assert crashed == {name: why for name, why in CRASHES.items() if name in found}
    kept = kept_lines(kind, SEED)
    now = [line_of(one) for one in found.values()]
    changed = [f"{was}  ->  {is_now}" for was, is_now in zip(kept, now, strict=True) if was != is_now]
    assert changed == [], "python -m tests.scale.doors --given --write keeps what was changed on purpose"


@pytest.mark.parametrize("number", DISAGREED)
def test_plan_and_mesh_show_the_same_walls_of_odd_rings(number: int) -> None:
    library = Library(PROFILES)
    job = parts(load_from(library, PROFILES / "jobs" / f"ring-{number}.yaml", text_of("ring", SEED, number)))[0]
    planned = plan(job)
    found = wall_findings(mesh.build(planned.draw().recipe, 192), planned.plan.walls)
    assert [one.what for one in found if one.code == "wall.disagreement"] == []
