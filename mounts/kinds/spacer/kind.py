"""Entry of the spacer in the table of kinds.

Cautions of a spacer, and the readings that were not taken.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.cautions import BATTERY, FIRST, fume_cautions, material_cautions, nearby_cautions
from mounts.kinds.kind import Kind
from mounts.kinds.review import Review
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.plan import device_frame, plan_spacer, spacer_pose
from mounts.kinds.spacer.shape import draw_spacer, draw_spacer_check, surroundings
from mounts.kinds.spacer.values import SpacerPlan

FUSE = "A port that carries power needs a fuse of its own at the source, and its cable kept off edges and moving parts."
THREAD = "The sleeve is closed: thread the cable through it before its plug is made off, or give slit: true."
SPRING = "Spring a slit sleeve open no wider than the cable, with eye protection: printed plastic breaks sharp."
ORDER = (
    "Sleeve first, device last: the sleeve goes over the cable and into the panel, then the device into the sleeve, "
    "where it backs ribs and bump."
)
WATCH = (
    "A device that comes loose can slide under a pedal: pull at plug and sleeve, and again after the first hot days."
)
LOOSE = "A device that comes loose can slide under a pedal: pull at it, and again after the first hot days."


def spacer_cautions(job: SpacerJob) -> tuple[str, ...]:
    """Return the cautions that concern a spacer, the most important first."""
    watch = WATCH if job.device.cable is not None else LOOSE
    return (FIRST, BATTERY, *nearby_cautions(job.port.nearby), *_work(job), *material_cautions(job), watch)


def _work(job: SpacerJob) -> Iterator[str]:
    if job.slit is not None:
        yield ORDER
    if job.slit == "slit":
        yield SPRING
    if job.slit is None and job.device.cable is not None:
        yield THREAD
    if job.device.cable is not None:
        yield FUSE
    yield from fume_cautions(job)


def spacer_unread(job: SpacerJob) -> tuple[str, ...]:
    """Return the paths of the readings that a check would have used, had they been taken."""
    given = {
        "port.panel": job.port.panel,
        "port.room": job.port.room,
        "port.place": job.port.place,
        "device.length": job.device.length,
        "device.plug_force": job.device.plug_force,
        "device.pull_force": job.device.pull_force,
        **({"device.cable": job.device.cable} if job.slit else {}),
    }
    return tuple(path for path, value in given.items() if value is None)


def _review() -> Review[SpacerJob, SpacerPlan]:
    from mounts.kinds.spacer.review import SPACER

    return SPACER


SPACER = Kind(
    job=SpacerJob,
    name="Spacer",
    plan=plan_spacer,
    shape=draw_spacer,
    surroundings=surroundings,
    axis=device_frame,
    cautions=spacer_cautions,
    unread=spacer_unread,
    review=_review,
    pose=spacer_pose,
    slice=draw_spacer_check,
)
