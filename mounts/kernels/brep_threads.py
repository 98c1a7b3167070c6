"""How many threads the B-rep kernel takes."""

from __future__ import annotations


def one_thread() -> None:
    """Keeps the kernel's booleans to the thread that asks for them, in this process, from now on."""
    from OCP.OSD import OSD_ThreadPool  # noqa: PLC0415

    OSD_ThreadPool.DefaultPool_s().Init(0)
