"""How many threads the kernels take."""

from __future__ import annotations

import os

from manifold3d import Manifold

from mounts.kernels.cad import func

FINE = 200  # chords of a ball that is large enough for the mesh kernel to share out the work


def one_thread() -> None:
    """Keeps both kernels to the thread that asks for them, in this process, from now on."""
    func.setThreads(1)  # 0 would mean one for each core
    if not hasattr(os, "sched_setaffinity"):
        return
    cores = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {min(cores)})  # the mesh kernel counts cores once, when it first has work for several
    try:
        (Manifold.cube((1.0, 1.0, 1.0)) - Manifold.sphere(0.6, FINE)).volume()
    finally:
        os.sched_setaffinity(0, cores)
