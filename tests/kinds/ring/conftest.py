"""Jobs to plan: the library's own, and changed copies of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from mounts.kinds.ring.job import RingJob
from mounts.load.resolve.job import load_job

PROFILES = Path(__file__).parents[3] / "profiles"
JOBS = sorted(
    path.stem for path in (PROFILES / "jobs").glob("*.yaml") if "kind: ring" in path.read_text("utf-8").splitlines()
)


def jobs_of(name: str) -> tuple[RingJob, ...]:
    """The jobs of a file in the library, one a side."""
    return load_job(PROFILES / "jobs" / f"{name}.yaml")


def changed(job: RingJob, **changes: Any) -> RingJob:
    """A job with some values changed; `panel__place="dash"` reaches into its models."""
    for path, value in changes.items():
        job = _with(job, path.split("__"), value)
    return job


def _with(holder: Any, path: list[str], value: Any) -> Any:
    name, *rest = path
    inner = _with(getattr(holder, name), rest, value) if rest else value
    return (
        holder.model_copy(update={name: inner}) if hasattr(holder, "model_copy") else replace(holder, **{name: inner})
    )


@pytest.fixture(scope="session")
def front() -> RingJob:
    """The demo woofer on the front door, left side."""
    return jobs_of("linnet-woofer")[0]


@pytest.fixture(scope="session")
def front_right() -> RingJob:
    """The same, right side."""
    return jobs_of("linnet-woofer")[1]


@pytest.fixture(scope="session")
def change() -> Callable[..., RingJob]:
    """`changed`, as a fixture."""
    return changed


@pytest.fixture(scope="session")
def jobs() -> Callable[[str], tuple[RingJob, ...]]:
    """`jobs_of`, as a fixture."""
    return jobs_of


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "job_name" in metafunc.fixturenames:
        metafunc.parametrize("job_name", JOBS)
