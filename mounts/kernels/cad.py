"""The one place where the CAD kernel is imported, and where its errors become ours.

It is OCCT as cadquery brings it; cadquery's own layer, which costs as long again to import, is not needed for what is
drawn here. Importing this module still costs about a second, so only what works on solids does, and that is itself
imported when a solid is wanted.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from mounts.errors import KernelError


@contextmanager
def _collector_asleep() -> Iterator[None]:
    """No garbage collection meanwhile: the import makes nothing but what stays, and is a fifth faster without."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def missing_library(error: ImportError) -> KernelError:
    """What to tell a person whose system lacks a library that the CAD kernel needs, in one line."""
    text = str(error)
    if "libGL" in text or "libX11" in text:
        return KernelError(f"the CAD kernel needs a system library ({text}): sudo apt install libgl1")
    return KernelError(f"the CAD kernel cannot be imported ({text}): pip install cadquery")


try:
    with _collector_asleep():
        import cadquery as cq
        import OCP
        import OCP.TopoDS  # whose package adds the names that earlier versions have
        from cadquery import func
except ImportError as error:
    raise missing_library(error) from error


def _silenced() -> None:
    """Takes away what the kernel prints with: only the command line prints."""
    messenger = OCP.Message.Message.DefaultMessenger_s()
    for printer in list(messenger.Printers()):
        messenger.RemovePrinter(printer)


_silenced()

__all__ = ["OCP", "cq", "func", "kernel_step", "missing_library"]


@contextmanager
def kernel_step(part: str, step: str, **values: Any) -> Iterator[None]:
    """Whatever the CAD kernel throws inside becomes a KernelError that names part, step and values."""
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
