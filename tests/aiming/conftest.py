"""Demo jobs aimed at once: their own tilt, and flat."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from mounts.aiming.evaluate import evaluate_aim
from mounts.aiming.values import AimReport
from mounts.load.resolve.job import load_job

JOBS = Path(__file__).parents[2] / "profiles" / "jobs"


@cache
def _aimed(name: str) -> AimReport:
    return evaluate_aim(load_job(JOBS / f"{name}.yaml")[:1], 20.0, 0.0)


@pytest.fixture
def demo() -> Callable[[str], AimReport]:
    """The aim of a demo job's first side, by the job's name."""
    return _aimed
