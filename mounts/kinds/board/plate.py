"""Plate of a board: its outline, its edges, and the slots for cables in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, radians, sin

from mounts.errors import InputError
from mounts.geometry.clearance import inset_outline
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, oblong, offset_outline
from mounts.kinds.board.values import Level, Slot, Stand
from mounts.load.models.board_file import Passage
from mounts.load.models.job_kinds import BoardJob

EDGE = 0.6  # mm, broken edge below, which is up when it is printed
CHAMFER = 0.4  # mm, first-layer chamfer of the top, which lies on the bed
USUAL = 3.0  # mm, radius on a passage's edges that spares a cable's jacket: common practice, no source
SHARE = 0.4  # of the thickness that the usual radius takes at most
STEPS = 6  # facets in a quarter of a rounded edge: 15 degrees each, within 0.03 of a radius of 3
PAST = 1.0  # mm that a cutter overshoots
LEAST_STRAIGHT = 0.2  # mm of a passage's wall that stays upright between its two edges


def finished_outline(job: BoardJob, stands: Sequence[Stand]) -> Outline:
    """Return the finished board's outline: the job's, or the least one round the devices with a margin."""
    if job.outline is not None:
        return job.outline.outline()
    return offset_outline(hull([stand.outline for stand in stands]), job.margin)


def bare_outline(job: BoardJob, finished: Outline) -> Outline:
    """Return the outline of the board itself, smaller all round by the carpet and its glue.

    Raises:
        InputError: where nothing would be left.
    """
    try:
        return inset_outline(finished, wrap_thickness(job)) if job.wrap else finished
    except ValueError:
        what = (
            f"the carpet takes {job.units(wrap_thickness(job))} a side, more than the outline's "
            "corners allow; round them more"
        )
        raise InputError(job.problem("wrap.thickness", what)) from None


def wrap_thickness(job: BoardJob) -> float:
    """Return what carpet and glue take up, mm a side."""
    return job.wrap.thickness + job.wrap.glue if job.wrap else 0.0


def plate_levels(job: BoardJob, outline: Outline, bottom: float, top: float) -> tuple[Level, ...]:
    """Return the levels of the plate; a printed one has broken edges.

    Raises:
        InputError: where a corner is too sharp for them.
    """
    if job.make == "cut":
        return ((bottom, outline), (top, outline))
    try:
        return (
            (bottom, inset_outline(outline, EDGE)),
            (bottom + EDGE, outline),
            (top - CHAMFER, outline),
            (top, inset_outline(outline, CHAMFER)),
        )
    except ValueError:
        what = f"its corners are too sharp for broken edges of {job.units(EDGE)}; round them more"
        raise InputError(job.problem("outline", what)) from None


def slots_of(job: BoardJob, bottom: float, top: float) -> Iterator[Slot]:
    """Yield the cable passages, wider by what a carpet that goes through them takes up."""
    radius = edge_radius(job)
    for name, asked in job.passages.items():
        outline = offset_outline(_asked(asked), wrap_thickness(job))
        levels = _rounded(outline, radius, bottom, top) if job.make == "print" else _upright(outline, bottom, top)
        yield Slot(f"passage {name}", outline, radius, levels)


def edge_radius(job: BoardJob) -> float:
    """Return the radius on the edges of every passage, mm.

    Raises:
        InputError: where two such edges do not fit into the board's thickness.
    """
    most = (job.thickness - LEAST_STRAIGHT) / 2
    if job.edge is not None and job.edge > most:
        what = (
            f"two edges of {job.units(job.edge)} do not fit into {job.units(job.thickness)}; the "
            f"most is {job.units(most, 1)}"
        )
        raise InputError(job.problem("edge", what))
    return job.edge if job.edge is not None else min(USUAL, SHARE * job.thickness)


def _asked(passage: Passage) -> Outline:
    return oblong(*passage.slot).turned(-passage.turn).moved(*passage.at)


def _upright(outline: Outline, bottom: float, top: float) -> tuple[Level, ...]:
    return ((bottom - PAST, outline), (top + PAST, outline))


def _rounded(outline: Outline, radius: float, bottom: float, top: float) -> tuple[Level, ...]:
    """Return the levels of a slot with rounded edges.

    Below, which is up in print, the edge is a whole quarter circle; above it is the part of one that leaves the bed at
    45°, so that nothing overhangs.
    """
    quarter = [radians(90 * k / STEPS) for k in range(STEPS + 1)]
    below = [(bottom + radius * (1 - sin(a)), radius * (1 - cos(a))) for a in reversed(quarter)]
    above = [(top - radius * (1 - sin(a)), radius * (1 - cos(a))) for a in quarter if a <= radians(45) + 1e-9]
    height, wide = above[-1]
    widest = wide + top - height
    ends = (bottom - PAST, radius), (top, widest), (top + PAST, widest)
    return tuple((z, offset_outline(outline, by)) for z, by in (ends[0], *below, *above, *ends[1:]))
