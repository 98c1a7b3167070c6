"""Requirements of a lap on a ring: its screws, the room for their heads, its length."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from mounts.design.fasteners import thread_diameter
from mounts.design.fits import resolve
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.fits import Fits
from mounts.load.models.hardware import Screw
from mounts.load.models.job_kinds import RingJob
from mounts.load.models.spacer_file import FitWord

FIT: FitWord = "slide"  # how the tongues go together
USUAL = 30.0  # mm: about what a tongue is long and broad
CLEAR = 0.4  # mm: the hole in the upper tongue is wider than its screw, a medium clearance hole of ISO 273 for M3
HEAD = 0.5  # mm, room for the head wider than the head


@dataclass(frozen=True, slots=True)
class LapNeeds:
    """Requirements of a lap, from the job alone.

    Attributes:
        screw: that holds it.
        thread, wall: pocket in the lower tongue, and least material round it.
        deep: least depth of the pocket.
        engages: least thread that must hold.
        most: thread that there can be; infinite for one that the screw forms.
        clear, head: diameters in the upper tongue.
        gap: on every face.
    """

    screw: Screw
    thread: float
    wall: float
    deep: float
    engages: float
    most: float
    clear: float
    head: float
    gap: float


@dataclass(frozen=True, slots=True)
class LapSite:
    """A whole ring and the requirements of its laps."""

    job: RingJob
    plan: RingPlan
    needs: LapNeeds


def needs_of(job: RingJob) -> LapNeeds | None:
    """Return the requirements of a job's laps; None where it has nothing to screw them with."""
    fixing = job.fix_halves
    if fixing is None or fixing.screw is None:
        return None
    growth = job.printer.growth(job.material.name)
    item, need = fixing.hardware, fixing.hardware.pocket(job.limits, growth)
    thread = item.thread_in(inf)
    return LapNeeds(
        screw=fixing.screw,
        thread=need.hole,
        wall=max(need.wall, job.limits.speaker_land),
        deep=need.depth if item.hot else 0.0,
        engages=thread.engages,
        most=thread.long,
        clear=thread_diameter(item.thread) + CLEAR + growth,
        head=fixing.screw.head_diameter + HEAD + growth,
        gap=resolve(FIT, USUAL, Fits(), job.printer).clearance / 2,
    )


def length_of(site: LapSite, count: int) -> float:
    """Return the length of a lap between tongue ends, mm: edge distances of the holes and the heads' pitch."""
    needs, limits = site.needs, site.job.limits
    return (count - 1) * pitch_of(site) + 2 * limits.edge * needs.clear + needs.gap


def pitch_of(site: LapSite) -> float:
    """Return the distance between the screws of a lap with two, mm."""
    return site.needs.head + site.job.limits.wall_least
