"""Import of the CAD kernel, in this one place, and translation of its errors into ours.

It is OCCT as cadquery brings it. Importing this module costs about a second, so only modules that work on solids import
it, and these are imported when a solid is wanted.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from mounts.errors import KernelError

BALL_CHORDS = 200  # of a ball that is large enough for the mesh kernel to share out the work


@contextmanager
def _pause_collector() -> Iterator[None]:
    """Pause garbage collection: the import makes nothing but what stays, and is a fifth faster without."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def missing_library(error: ImportError) -> KernelError:
    """Return the error, in one line, for a system that lacks a library that the CAD kernel needs."""
    text = str(error)
    if "libGL" in text or "libX11" in text:
        return KernelError(f"the CAD kernel needs a system library ({text}): sudo apt install libgl1")
    return KernelError(f"the CAD kernel cannot be imported ({text}): pip install cadquery")


try:
    with _pause_collector():
        import cadquery as cq
        import OCP
        import OCP.TopoDS  # whose package adds the names that earlier versions have
        from cadquery import func
except ImportError as error:
    raise missing_library(error) from error


def _silence_printers() -> None:
    """Remove the kernel's message printers: only the command line prints. By raw bindings: cadquery has no verb."""
    messenger = OCP.Message.Message.DefaultMessenger_s()
    for printer in list(messenger.Printers()):
        messenger.RemovePrinter(printer)


_silence_printers()

__all__ = ["OCP", "cq", "func", "kernel_step", "limit_threads", "missing_library"]


@contextmanager
def kernel_step(part: str, step: str, **values: Any) -> Iterator[None]:
    """Turn whatever the CAD kernel raises inside into a `KernelError` that names part, step and values.

    Raises:
        KernelError: if the kernel fails inside.
    """
    try:
        yield
    except KernelError:
        raise
    except Exception as error:
        if not (type(error).__module__.startswith("OCP") or isinstance(error, (ValueError, RuntimeError))):
            raise
        told = ", ".join(f"{name} {value}" for name, value in values.items())
        text = " ".join(str(error).split()) or type(error).__name__
        raise KernelError(f"part {part}, {step}{f' ({told})' if told else ''}: {text}") from error


def limit_threads() -> None:
    """Limit both kernels to the calling thread, in this process, from now on."""
    from manifold3d import Manifold

    func.setThreads(1)  # 0 would mean one for each core
    if not hasattr(os, "sched_setaffinity"):
        return
    cores = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {min(cores)})  # the mesh kernel counts cores once, when it first has work for several
    try:
        (Manifold.cube((1.0, 1.0, 1.0)) - Manifold.sphere(0.6, BALL_CHORDS)).volume()
    finally:
        os.sched_setaffinity(0, cores)
