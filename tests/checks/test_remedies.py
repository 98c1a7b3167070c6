"""A remedy with a figure gives enough: each is applied as a person would, and the part planned again keeps the wall."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from mounts.kinds.kind import plan
from mounts.load.models.job import Job
from tests.kinds.ring.conftest import changed, jobs_of

Change = Callable[[Any, float], Any]


def narrower_pocket(job: Any, by: float) -> Any:
    return changed(job, fix_speaker__hardware__hole=job.fix_speaker.hardware.hole - by)


def narrower_bore(job: Any, by: float) -> Any:
    return changed(job, limits__bore=job.limits.bore - by)


def narrower_washer_and_head(job: Any, by: float) -> Any:
    fix = job.fix_to_panel
    return changed(
        job,
        fix_to_panel__washer__outside=fix.washer.outside - by,
        fix_to_panel__screw__head_diameter=min(fix.screw.head_diameter, fix.washer.outside - by),
    )


def narrower_flange(job: Any, by: float) -> Any:
    return changed(job, fix_to_panel__hardware__flange=job.fix_to_panel.hardware.flange - by)


def narrower_gasket(job: Any, by: float) -> Any:
    return changed(job, gaskets__base__width=job.gaskets.base.width - by)


CASES: list[tuple[str, str, str, str, Change]] = [  # job, code, what its limit is made of, remedy, change
    ("linnet-woofer", "wall.screw-bore", "fix_speaker__hardware__wall", "pilot ([\\d.]+) narrower", narrower_pocket),
    ("linnet-woofer", "wall.screw-bore", "fix_speaker__hardware__wall", "bore ([\\d.]+) narrower", narrower_bore),
    ("linnet-woofer", "seal.speaker-land", "limits__speaker_land", "pilot ([\\d.]+) narrower", narrower_pocket),
    ("linnet-woofer", "seal.land", "limits__land", "gasket ([\\d.]+) narrower", narrower_gasket),
    ("linnet-woofer", "wall.path-bore", "limits__wall_least", "head ([\\d.]+) narrower", narrower_washer_and_head),
    ("linnet-woofer", "wall.recess-bore", "limits__wall_least", "flange ([\\d.]+) narrower", narrower_flange),
]


@pytest.mark.parametrize(("name", "code", "limit", "said", "change"), CASES)
def test_what_a_wall_s_remedy_gives_is_enough(name: str, code: str, limit: str, said: str, change: Change) -> None:
    """Its limit is raised until the thinnest of the walls misses it by a quarter; less than the remedy would not do."""
    job = jobs_of(name)[-1]
    thinnest = min(wall.thickness for wall in plan(job).plan.walls if wall.code == code)
    job = changed(job, **{limit: thinnest + 0.25})
    worst = min((wall for wall in plan(job).plan.walls if wall.code == code), key=lambda wall: wall.thickness)
    assert not worst.is_enough
    found = re.search(said, worst.advice())
    assert found, worst.advice()
    figure = float(found[1])
    assert keeps(change(job, figure), code), worst.advice()
    assert not keeps(change(job, figure - 0.3), code), "it asks for more than is needed"


def keeps(job: Job, code: str) -> bool:
    return all(wall.is_enough for wall in plan(job).plan.walls if wall.code == code)
