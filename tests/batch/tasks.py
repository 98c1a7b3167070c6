"""Stand-ins for the work of a batch, for workers of their own: one part each, as told by the job's name."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

from mounts.batch.bundle import Bundle, pack_bundle
from mounts.batch.crew import Refusal
from mounts.findings.report import PartReport


def work(job, wish) -> Bundle | Refusal:
    """A part of one file, or what the job's notes ask for instead: `die`, `hang`, `raise`, `refuse`, or `once FILE`."""
    word, _, rest = job.notes.partition(" ")
    if word == "die":
        os.kill(os.getpid(), signal.SIGKILL)
    if word == "hang":
        time.sleep(600)
    if word == "raise":
        raise RuntimeError("the stand-in gave up")
    if word == "refuse":
        return Refusal("it cannot be drawn")
    if word == "once" and not Path(rest).exists():  # the first worker that takes it dies
        Path(rest).write_text("was here", encoding="utf-8")
        os.kill(os.getpid(), signal.SIGKILL)
    stl = f"{job.side or 'part'}.stl"
    return pack_bundle(job.name, PartReport(job.side, (), files=(stl,)), {stl: f"{job.name} {job.side}".encode()}, None)


def threads(*_):
    """How many threads the kernels and numpy take in a worker: those that OCCT tells, and those that do something."""
    import numpy as np
    from manifold3d import Manifold

    from mounts.kernels.cad import OCP

    before = {place.name for place in Path("/proc/self/task").iterdir()}
    (Manifold.sphere(1.0, 400) - Manifold.sphere(1.0, 400).translate((0.5, 0.1, 0.2))).volume()
    np.linalg.svd(np.random.default_rng(1).normal(size=(300, 300)))
    after = {place.name for place in Path("/proc/self/task").iterdir()}
    return OCP.OSD.OSD_ThreadPool.DefaultPool_s().NbThreads(), len(after - before)
