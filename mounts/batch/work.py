"""What a worker does: one part, from its job to its files as bytes. It writes nothing itself."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mounts.batch.bundle import Bundle, bundled
from mounts.errors import MountsError
from mounts.load.models.resolved import AnyJob
from mounts.write.output import Wish


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a part was not made: what was asked for cannot be drawn, or a kernel failed."""

    why: str


def made(job: AnyJob, wish: Wish) -> Bundle | Refusal:
    """One side of a job with its checks and files."""
    from mounts import pipeline  # noqa: PLC0415
    from mounts.write.output import files_of  # noqa: PLC0415
    from mounts.write.stl import posed  # noqa: PLC0415

    try:
        whole = pipeline.make(job)
        files = files_of(whole, wish)
    except MountsError as error:
        return Refusal(str(error))
    report = replace(whole.report, files=tuple(files))
    solid = (posed(whole.part.vertices, report.pose), whole.part.triangles) if job.make == "print" else None
    return bundled(job.name, report, files, solid)


def prepared() -> None:
    """Makes a new worker ready: its kernel keeps to one thread, since there are as many workers as cores."""
    from mounts.kernels.brep_threads import one_thread  # noqa: PLC0415

    one_thread()
