"""Devices in their places on the board, and the holes that their screws need in it."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, radians, sin

from mounts.design.fasteners import thread_diameter
from mounts.errors import InputError
from mounts.geometry.outline import Outline, Point, rectangle
from mounts.identity import Ident, Role
from mounts.kinds.board.values import PlugRoom, Spot, Stand
from mounts.load.models.device import Plugs
from mounts.load.models.hardware import BOLT
from mounts.load.models.job import SpeakerFixing
from mounts.load.models.job_kinds import BoardJob, PlacedDevice

SHARP = 0.5  # mm, corner radius of a room for plugs
LEAST_OVER = 1.0  # mm of plastic over an insert, under which nothing would hold it down


def growth_of(job: BoardJob) -> float:
    """Return what is added to a round hole so that it comes out true on the printer, mm."""
    return job.printer.growth(job.material.name) if job.make == "print" else 0.0


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
    item, growth = fix.hardware, growth_of(job)
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
