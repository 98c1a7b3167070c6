"""What is said of a demo job does not hang on the last digits of its input: a slice always, all of it where asked for.

`MOUNTS_SCALE=1 pytest tests/scale` takes every demo job twenty times, which is half an hour; so does, with builds,
`python -m tests.scale.perturbed --build`; `--preview` is several times as quick.
"""

from __future__ import annotations

import ctypes
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
PROGRAM = """
import sys
from tests.scale.perturbed import usual
from tests.scale.test_perturbed import dispatched, openblas

said = [usual("linnet-front-both", "linnet-kick-points"), usual("linnet-sail-tweeter-press", check=True)]
sys.stdout.buffer.write("\\n".join([" ".join(dispatched("found")), openblas(), *said]).encode())
"""  # what numpy and OpenBLAS run on; jobs that are searched and surveyed; a pressed one, with its part's checks


def dispatched(*which: str) -> list[str]:
    """Return numpy's names of the instructions that are "found" or "not found"; they differ between its versions."""
    extensions = np.show_config("dicts")["SIMD Extensions"]
    return [name for each in which for name in extensions.get(each, [])]


def openblas() -> str:
    """Return for which processor OpenBLAS computes, and on how many threads; empty where numpy has another BLAS."""
    lines = Path("/proc/self/maps").read_text().splitlines() if Path("/proc/self/maps").exists() else []
    path = next((line.split()[-1] for line in lines if "libscipy_openblas64_" in line), "")
    if not path:
        return ""
    library = ctypes.CDLL(path)
    core = library.scipy_openblas_get_corename64_
    core.restype = ctypes.c_char_p
    return f"{core().decode()} {library.scipy_openblas_get_num_threads64_()}"


@pytest.mark.parametrize("name", ["linnet-port-slit", "linnet-dash-tweeter-press"])
def test_noise_and_order_change_nothing_that_is_said(name: str) -> None:
    assert list(differences(name, 2)) == []


@pytest.mark.parametrize("name", ["linnet-bulkhead-trace", "cup-29"])  # holes as wide as needed, equal overhangs
def test_noise_changes_nothing_that_is_said_of_what_the_mesh_kernel_makes(name: str) -> None:
    assert list(differences(name, 2, how="preview")) == []


def test_noise_changes_no_choice_of_a_search() -> None:
    (job,) = parts(load_job(JOBS / "linnet-front-both.yaml"))
    usual = chosen(job, None)
    assert any("gives" in line for line in usual)
    assert [chosen(job, np.random.default_rng(seed)) for seed in (1, 2)] == [usual, usual]


def test_another_processor_chooses_the_same() -> None:
    """As far as one machine can be another: numpy and OpenBLAS without their newer instructions, one thread for two."""
    threads = str(min(2, os.cpu_count() or 1))
    usually = {"OPENBLAS_NUM_THREADS": threads}
    lowered = {
        "OPENBLAS_CORETYPE": "Nehalem",
        "NPY_DISABLE_CPU_FEATURES": " ".join(dispatched("found", "not found")),
        "OPENBLAS_NUM_THREADS": "1",
    }
    (_, blas, usual), (found, low_blas, low) = (
        subprocess.run(
            [sys.executable, "-c", PROGRAM],
            env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
            capture_output=True,
            check=True,
            cwd=ROOT,
        )
        .stdout.decode()
        .split("\n", 2)
        for environment in (usually, lowered)
    )
    assert not found
    assert not blas or (blas.split()[1], low_blas) == (threads, "Nehalem 1")
    assert usual == low
    assert "gives" in usual
    assert "wall.cup" in usual


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
