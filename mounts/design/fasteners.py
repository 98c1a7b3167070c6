"""What a fastener asks of the plastic round it: hole, bearing face, tool path, room for what stands proud.

Sizes of screws, washers, nuts and inserts are the library's; the allowances are the job's limits.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import cos, radians

from mounts.load.models.hardware import ClipNut, Insert, PanelItem, Pilot, RivetNut, SpeakerItem, Through, WellNut
from mounts.load.models.jobbase import PanelFixing
from mounts.load.models.limits import Limits

COVER = 0.5  # mm of bearing that stays on the narrow side, wherever the screw stands in its hole: common practice
BOLT = 1.0  # mm by which a through bolt's hole is wider where its item says nothing


@dataclass(frozen=True, slots=True)
class Fastening:
    """One panel screw in the base.

    Attributes:
        hole: diameter through the base.
        washer: diameter that bears on the base, of the washer or of the bare head.
        stack: height of washer and head together.
        path: diameter of the tool path.
        disc: diameter of the base round the hole, for its distance to the edge.
        sink: diameter of the countersink for a countersunk head, 0 for a head that stands on the base.
        proud: (diameter, height) of the hardware that stands on the face, None when nothing does.
    """

    hole: float
    washer: float
    stack: float
    path: float
    disc: float
    sink: float
    proud: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Pocket:
    """What one speaker screw needs: a hole `hole` wide and `depth` deep with `wall` round it.

    For a through bolt `depth` is 0 and `nut` holds (room across, nut height).
    """

    hole: float
    depth: float
    wall: float
    nut: tuple[float, float] | None = None


def thread_diameter(thread: str) -> float:
    """Outside diameter of a thread from its designation: "M5" is 5, "ST4.2" is 4.2 (nominal), mm."""
    found = re.search(r"\d+(\.\d+)?", thread)
    assert found, thread
    return float(found.group())


def fastening(fixing: PanelFixing, limits: Limits, hole: float, growth: float) -> Fastening:
    """A panel fixing's sizes.

    Args:
        fixing: hardware, screw and washer.
        limits: allowances.
        hole: diameter of the hole in the mount as it comes out.
        growth: added to the hole's diameter so that it comes out true on this printer, mm.
    """
    screw, washer = fixing.screw, fixing.washer
    sunk = screw.head == "countersunk"
    bears = washer.outside if washer else screw.head_diameter
    return Fastening(
        hole=hole + growth,
        washer=bears,
        stack=0.0 if sunk else screw.head_height + (washer.thickness if washer else 0.0),
        path=max(bears, screw.head_diameter) + max(limits.tool_path, hole - thread_diameter(screw.thread)),
        disc=max(2 * limits.edge * (hole + growth), bears + limits.wall_least),
        sink=screw.head_diameter if sunk else 0.0,
        proud=_proud(fixing.hardware),
    )


def pocket(item: SpeakerItem, limits: Limits, growth: float) -> Pocket:
    """What a speaker screw's hardware needs in the seat; diameters in mm."""
    if isinstance(item, Insert):
        return Pocket(item.hole + growth, item.length + item.over, item.wall)
    if isinstance(item, Pilot):
        return Pocket(item.hole + growth, item.engagement + item.diameter / 2, item.wall)
    across_corners = item.nut_across / cos(radians(30))
    room = across_corners + limits.tool_path
    hole = item.hole or item.nominal + BOLT
    return Pocket(hole + growth, 0.0, limits.wall_least, (room, item.nut_height))


def widest_borne(fixing: PanelFixing) -> float:
    """Widest hole that washer or head covers by COVER all round, screw and washer each at its hole's edge.

    A countersunk head stands in its cone, of which COVER has to stay round the hole.
    """
    screw, washer = fixing.screw, fixing.washer
    thread = thread_diameter(screw.thread)
    if screw.head == "countersunk":
        return screw.head_diameter - 2 * COVER
    across, slack = (washer.outside, (washer.inside - thread) / 2) if washer else (screw.head_diameter, 0.0)
    return (across + thread) / 2 - slack - COVER


def washer_for(fixing: PanelFixing, hole: float) -> float:
    """Least width of a washer, with the hole of the one there or without slack, that covers a hole of a diameter."""
    thread = thread_diameter(fixing.screw.thread)
    slack = (fixing.washer.inside - thread) / 2 if fixing.washer else 0.0
    return 2 * (hole + slack + COVER) - thread


def _proud(item: PanelItem) -> tuple[float, float] | None:
    """Diameter and height of what stands on the face."""
    if isinstance(item, RivetNut | WellNut) and item.flange_height > 0:
        return (item.flange, item.flange_height)
    if isinstance(item, ClipNut) and item.stands_proud > 0:
        return (2 * item.reach, item.stands_proud)
    return None


def needed_hole(item: PanelItem) -> float | None:
    """Panel hole that the hardware needs, mm; None when it takes what is there."""
    if isinstance(item, Through):
        return item.nominal
    return getattr(item, "hole", None)
