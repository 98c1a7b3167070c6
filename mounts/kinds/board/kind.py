"""Entries of the board and of its printed foot in the table of kinds.

Cautions of a board and of its foot, and the readings that were not taken.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.geometry.ties import decimals
from mounts.kinds.board.feet import draw_foot, plan_foot
from mounts.kinds.board.job import BoardJob, FootJob
from mounts.kinds.board.plan import board_pose, plan_board
from mounts.kinds.board.shape import board_frame, draw_board, foot_frame, foot_surroundings, surroundings
from mounts.kinds.board.values import BoardPlan, FootPlan
from mounts.kinds.cautions import BATTERY, FIRST, fume_cautions, nearby_cautions
from mounts.kinds.kind import Kind
from mounts.kinds.review import Review

FUSE = (
    "Fuse: the supply cable has its own, sized to the cable, as close to the battery as the maker says; fit the fuse "
    "last, after a look for chafed cables."
)
FLOOR = (
    "Nothing is screwed through the floor: fuel, brake and high-voltage lines and the battery lie under it. That is "
    "why the feet are glued."
)
CRASH = (
    "Devices of {mass} kg that come loose in a crash fly: in the cabin have the board fixed to the body as its "
    "maker and local rules ask, by licensed people; glue alone is for places that it cannot fly out of."
)
WEIGHED = "A board that comes loose in a crash flies; weigh its devices, and fix it as local rules ask."
GLUE = (
    "Glue: degrease, roughen the feet, load nothing until it has cured, then pull at each foot; try the lining first, "
    "since some let go of their own backing."
)
BURN = "Carpet, sheet and plastic inside the cabin must not burn faster than local rules allow (FMVSS 302, ISO 3795)."
DUST = "Sawing and routing: eye protection, dust mask, hearing protection; deburr before a cable comes near."
HOT = "An amplifier's case burns after an hour at full level: keep its air free and bags off it."


def board_cautions(job: BoardJob) -> tuple[str, ...]:
    """Return the cautions that concern a board, the most important first."""
    return (FIRST, BATTERY, *nearby_cautions(job.nearby), *_work(job))


def foot_cautions(job: FootJob) -> tuple[str, ...]:
    """Return the cautions that concern its foot; those of the whole stand with the board."""
    return (FIRST, GLUE, *fume_cautions(job))


def _work(job: BoardJob) -> Iterator[str]:
    masses = [placed.device.mass for placed in job.devices]
    yield FUSE
    yield FLOOR
    known = [mass for mass in masses if mass is not None]
    yield CRASH.format(mass=decimals(sum(known), 1)) if len(known) == len(masses) else WEIGHED
    yield GLUE
    yield BURN
    if job.make == "cut":
        yield DUST
    if any(placed.device.loss_w for placed in job.devices):
        yield HOT
    yield from fume_cautions(job)
    yield from dict.fromkeys(placed.fix.hardware.caution for placed in job.devices if placed.fix.hardware.caution)


def board_unread(job: BoardJob) -> tuple[str, ...]:
    """Return the paths of the readings that a check would have used, had they been taken."""
    given: dict[str, object] = {"room": job.room, "place": job.place}
    for placed in job.devices:
        of = f"devices.{placed.name}.device"
        given |= {f"{of}.{key}": getattr(placed.device, key) for key in ("mass", "air", "loss_w", "ambient")}
        given[f"{of}.plugs"] = placed.device.plugs or None
    return tuple(path for path, value in given.items() if value is None)


def foot_unread(job: FootJob) -> tuple[str, ...]:
    """Return the paths of the readings of a foot that were not taken."""
    return () if job.board.place is not None else ("place",)


def _board_review() -> Review[BoardJob, BoardPlan]:
    from mounts.kinds.board.review import BOARD

    return BOARD


def _foot_review() -> Review[FootJob, FootPlan]:
    from mounts.kinds.board.review import FOOT

    return FOOT


BOARD = Kind(
    job=BoardJob,
    name="Board",
    plan=plan_board,
    shape=draw_board,
    surroundings=surroundings,
    axis=board_frame,
    cautions=board_cautions,
    unread=board_unread,
    review=_board_review,
    pose=board_pose,
)
FOOT = Kind(
    job=FootJob,
    name="Foot",
    plan=plan_foot,
    shape=draw_foot,
    surroundings=foot_surroundings,
    axis=foot_frame,
    cautions=foot_cautions,
    unread=foot_unread,
    review=_foot_review,
)
