"""Random doors: `fits` never says no where `build` says yes to the job that `start` writes, or to what it offers."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
import yaml

from mounts.checks.ring.findings import planned_findings
from mounts.choosing.choices import try_at
from mounts.choosing.start import StartRequest, _usual, _write
from mounts.choosing.trial import Workshop, find_place, trial_job
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.kinds.kind import TRIED, kind_of
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library
from tests.scale.doors import PROFILES
from tests.scale.workshop import drawn

LONG = os.environ.get("MOUNTS_SCALE") == "1"
SEED = 1
DOORS = range(300) if LONG else (1,)
TILT = 8.0  # degrees, of every second door; the others are level


def is_built(job: RingJob) -> bool:
    """Return whether a job's plan can be drawn and breaks no limit."""
    try:
        plan = plan_ring(job)
    except InputError:
        return False
    return all(one.verdict is not Verdict.FAIL for one in planned_findings(job, plan))


def door(folder: Path, number: int) -> Library:
    """A library with the panel and the speaker of a random job, and what ships."""
    library = folder / "profiles"
    shutil.copytree(PROFILES, library)
    tree = drawn("ring", SEED, number)
    for kind in ("panel", "speaker"):
        file = library / f"{kind}s" / "random.yaml"
        file.write_text(yaml.safe_dump({"kind": kind, "name": "random", **tree[kind]}), "utf-8")
    return Library(library)


@pytest.mark.parametrize("number", DOORS)
def test_fits_says_no_only_where_build_does(tmp_path: Path, number: int) -> None:
    library, tilt = door(tmp_path, number), TILT * (number % 2)
    try:
        place = find_place(library, "random", None)
        level = trial_job(library, place, "random", Workshop())
    except InputError as error:
        pytest.skip(str(error))
    if try_at(level, tilt, place.toward).passes:
        return
    file = library.root / "jobs" / "started.yaml"
    asked = StartRequest(place, "random", Workshop(), file, tilt)
    (job,) = load_from(library, file, _write(*_usual(library, asked)))
    assert isinstance(job, RingJob)
    change = kind_of(job).review().change(job, TRIED)
    assert not is_built(job)
    assert change is None or not is_built(change.job)
