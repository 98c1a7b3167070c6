"""What is said of a demo job does not hang on the last digits of its input: a slice always, all of it where asked for.

`MOUNTS_SCALE=1 pytest tests/scale` takes every demo job twenty times, which is half an hour; so does, with builds,
`python tests/scale/perturbed.py --build`.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from mounts.kinds.kind import parts
from mounts.load.resolve.job import load_job
from tests.scale.perturbed import JOBS, chosen, differences, names, noisy, shuffled, unsettled

ROOT = Path(__file__).parents[2]
ALL = pytest.mark.skipif(not os.environ.get("MOUNTS_SCALE"), reason="MOUNTS_SCALE=1 asks for all of it")
PLANNED = "import sys; from tests.scale.perturbed import usual; sys.stdout.buffer.write(usual(*sys.argv[1:]).encode())"
JOBS_PLANNED = ("linnet-front-both", "linnet-kick-points", "linnet-sail-tweeter-press")  # searched, surveyed, pressed
LOWERED = {"OPENBLAS_CORETYPE": "Nehalem", "NPY_DISABLE_CPU_FEATURES": "AVX2 FMA3", "OPENBLAS_NUM_THREADS": "1"}


@pytest.mark.parametrize("name", ["linnet-port-slit", "linnet-dash-tweeter-press"])
def test_noise_and_order_change_nothing_that_is_said(name: str) -> None:
    assert list(differences(name, 2)) == []


def test_noise_changes_no_choice_of_a_search() -> None:
    (job,) = parts(load_job(JOBS / "linnet-front-both.yaml"))
    usual = chosen(job, None)
    assert any("gives" in line for line in usual)
    assert [chosen(job, np.random.default_rng(seed)) for seed in (1, 2)] == [usual, usual]


def test_another_processor_chooses_the_same() -> None:
    """As far as one machine can be another: numpy and OpenBLAS without their newer instructions, on one thread."""
    told = [
        subprocess.run(
            [sys.executable, "-c", PLANNED, *JOBS_PLANNED],
            env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
            capture_output=True,
            check=True,
            cwd=ROOT,
        ).stdout.decode()
        for environment in ({}, LOWERED)
    ]
    assert told[0] == told[1]
    assert "gives" in told[0]


def test_what_is_perturbed_is_perturbed() -> None:
    """Else these tests would hold whatever the code did."""
    (job,) = load_job(JOBS / "linnet-port-slit.yaml")[:1]
    rng = np.random.default_rng(1)
    assert noisy(job.port, rng) != job.port
    assert noisy(3, rng) == 3
    assert 0 < abs(noisy(50.0, rng) - 50.0) <= 50e-9
    from mounts import pipeline

    part = pipeline.preview(job)
    other = shuffled(part, rng)
    assert not np.array_equal(part.triangles, other.triangles)
    found = [np.sort(one.vertices[one.triangles].mean(axis=1)[:, 0]) for one in (part, other)]
    assert found[0] == pytest.approx(found[1], abs=1e-6)
    with unsettled(rng):
        pass


@ALL
@pytest.mark.slow
@pytest.mark.parametrize("name", names())
def test_every_demo_job_twenty_times(name: str) -> None:
    assert list(differences(name, 20)) == []
