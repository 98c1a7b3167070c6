"""How many threads the B-rep kernel takes."""

from __future__ import annotations

from mounts.kernels.occ import OCP


def one_thread() -> None:
    """Keeps the kernel's booleans and triangles to the thread that asks for them, in this process, from now on."""
    OCP.OSD.OSD_ThreadPool.DefaultPool_s().Init(1)  # 0 would mean one for each core
