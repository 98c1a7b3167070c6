"""Plate of a board: its outline, its edges, and the slots for cables in it.

Devices in their places on the board, and the holes that their screws need in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, radians, sin

from mounts.design.fasteners import thread_diameter
from mounts.errors import InputError
from mounts.geometry.distance import inset_outline
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, Point, oblong, offset_outline, rectangle
from mounts.identity import Ident, Role
from mounts.kinds.board.file import Passage
from mounts.kinds.board.job import BoardJob, PlacedDevice
from mounts.kinds.board.values import Level, PlugRoom, Slot, Spot, Stand
from mounts.load.models.device import Plugs
from mounts.load.models.hardware import BOLT
from mounts.load.models.job import SpeakerFixing

SHARP = 0.5  # mm, corner radius of a room for plugs
LEAST_OVER = 1.0  # mm of plastic over an insert, under which nothing would hold it down
EDGE = 0.6  # mm, broken edge below, which is up when it is printed
CHAMFER = 0.4  # mm, first-layer chamfer of the top, which lies on the bed
USUAL = 3.0  # mm, radius on a passage's edges that spares a cable's jacket: common practice, no source
SHARE = 0.4  # of the thickness that the usual radius takes at most
STEPS = 6  # facets in a quarter of a rounded edge: 15 degrees each, within 0.03 of a radius of 3
PAST = 1.0  # mm that a cutter overshoots
LEAST_STRAIGHT = 0.2  # mm of a passage's wall that stays upright between its two edges


def stand_of(job: BoardJob, placed: PlacedDevice, top: float) -> Stand:
    """Return a device in its place; `top` is the z of the face that it stands on."""
    device = placed.device
    outline = device.outline.outline()
    body = device.body.outline() if device.body else outline
    return Stand(
        name=placed.name,
        at=placed.at,
        outline=_placed(outline, placed),
        body=_placed(body, placed),
        bottom=top,
        top=top + device.height,
        ears=top + device.ears,
        plugs=tuple(
            PlugRoom(
                Ident(Role.DEVICE, f"{placed.name}.plugs", f"plugs of {placed.name}"),
                _placed(_beside(outline, p), placed),
            )
            for p in device.plugs
        ),
    )


def spots_of(job: BoardJob, placed: PlacedDevice) -> Iterator[Spot]:
    """Yield the holes for a device's screws.

    Raises:
        InputError: where an insert finds no room in the board's thickness.
    """
    hole, pocket, disc = _hole(job, placed.fix)
    for name, at in placed.device.holes.at.items():
        yield Spot(
            name=f"{placed.name} {name}",
            device=placed.name,
            at=_point(at, placed),
            hole=hole,
            pocket=pocket,
            path=head_of(placed.fix) + job.limits.tool_path,
            disc=disc,
        )


def head_of(fix: SpeakerFixing) -> float:
    """Return the diameter of a screw's head, mm; without one in the library twice its thread's (common practice)."""
    return fix.screw.head_diameter if fix.screw else 2 * thread_diameter(fix.hardware.thread)


def _hole(job: BoardJob, fix: SpeakerFixing) -> tuple[float, tuple[float, float] | None, float]:
    """Return the hole through the board, the pocket (diameter, depth) for an insert, and the disc that they need."""
    item, growth = fix.hardware, job.hole_growth
    need = item.pocket(job.limits, growth)
    disc = need.nut[0] if need.nut else need.hole - growth + 2 * need.wall
    if not item.hot:
        # carpet that creeps into a bolt's hole drags at it: the hole gives it room
        return need.hole + (BOLT if job.wrap and item.passes else 0.0), None, disc
    if need.depth + LEAST_OVER > job.thickness:
        least = (
            f"{item.name} needs a board of {job.units(need.depth + job.limits.floor, 1)}; it is "
            f"{job.units(job.thickness)}"
        )
        raise InputError(job.problem("thickness", f"{least}: take that, a shorter insert, or through bolts"))
    return thread_diameter(item.thread) + BOLT + growth, (need.hole, need.depth), disc


def _beside(outline: Outline, plugs: Plugs) -> Outline:
    """Return the room for plugs in the device's frame, drawn at 12:00 and turned to its side."""
    edge = outline.support(90.0 - plugs.side)
    at_top = rectangle(plugs.width, plugs.reach, SHARP).moved(plugs.offset, edge + plugs.reach / 2)
    return at_top.turned(-plugs.side)


def _placed(outline: Outline, placed: PlacedDevice) -> Outline:
    return outline.turned(-placed.turn).moved(*placed.at)


def _point(at: Point, placed: PlacedDevice) -> Point:
    c, s = cos(radians(placed.turn)), sin(radians(placed.turn))
    return (placed.at[0] + at[0] * c + at[1] * s, placed.at[1] - at[0] * s + at[1] * c)


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
