"""Parts and plans that several tests make of the same job: each is made once in a run of the tests.

`pipeline.make` is a pure function of its job, so its result is kept under the hash by which kits keep their parts, in a
folder of this run that all its workers share, and read from there afresh each time: no test can alter another's part.
A worker keeps more plans than the four that `draft_ring` keeps for itself, as a test of every demo job needs them.
"""

from __future__ import annotations

import os
import pickle
import tempfile
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from functools import wraps
from pathlib import Path
from typing import Any

from mounts.batch.run import hash_of, to_plain
from mounts.load.models.job import Job

PLANS = 200  # two dozen demo rings, and what tests change of them
FOLDER = "MOUNTS_TESTS_SHARED"  # the environment's name of the folder, which the run's workers inherit


def make_once(make: Callable[..., Any]) -> Callable[..., Any]:
    """Return a function that makes what was not made before in this run, and else reads it."""

    @wraps(make)
    def made(job: Job, which: str = "") -> Any:
        if not type(job).__module__.startswith("mounts."):  # a kind of a test: no pickle finds it again
            return make(job, which)
        kept = Path(os.environ[FOLDER]) / hash_of(to_plain(job))
        if not kept.exists():
            new = make(job, which)
            with tempfile.NamedTemporaryFile(dir=kept.parent, delete=False) as file:
                pickle.dump(replace(new, part=replace(new.part)), file)  # without the mesh that it has drawn of itself
            Path(file.name).replace(kept)  # whole at once, so that no worker reads half of it
        return replace(pickle.loads(kept.read_bytes()), job=job)  # also the first: a solid read again has other edges

    return made


def plan_once(plan: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Return a function that keeps the last PLANS plans, by all of a job, its file and the places in it too."""
    kept: OrderedDict[str, tuple[Any, Any]] = OrderedDict()

    @wraps(plan)
    def planned(job: Any) -> Any:
        key = hash_of(to_plain(job))
        if key not in kept or kept[key][0] != job:
            kept[key] = job, plan(job)
            if len(kept) > PLANS:
                kept.popitem(last=False)
        return kept[key][1]

    return planned
