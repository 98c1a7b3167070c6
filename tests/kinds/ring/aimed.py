"""Jobs whose aim is to be found, and the search for it without the ring that is then drawn."""

from __future__ import annotations

from typing import Any

import numpy as np

from mounts.geometry.frames import Array
from mounts.kinds.ring.aiming.choose import _best_pose, _listeners
from mounts.kinds.ring.aiming.drawn import Solved
from mounts.kinds.ring.base import base_for, fastening_of
from mounts.kinds.ring.job import RingJob
from mounts.load.models.job import AimAngles, Sought
from mounts.load.models.surroundings import AtClock, Behind, InFront, Trim
from tests.kinds.ring.conftest import changed, jobs_of

ANY = Sought((("this_seat", 1.0),), None, None, 60.0, 4.0)
LEVEL = {"toe": 0.0, "lean": 0.0}


def aimed(job: RingJob, **changes: Any) -> RingJob:
    """A job with everything of its pose to be found."""
    return changed(job, **{"sought": ANY, "aim": AimAngles(), "height": "best", "label": None, **changes})


def bare(**changes: Any) -> RingJob:
    """The demo woofer on its door with nothing but a far grille and what is given."""
    job = jobs_of("linnet-woofer")[0]
    empty = {"panel__in_front": InFront(grille=flat(60)), "panel__behind": None, "panel__original": None, "turn": -44.5}
    return aimed(job, **{**empty, **changes})


def trim(heights: Any, across: float = 128.0, at: tuple[float, float] = (0.0, 0.0)) -> Trim:
    """A trim with a round opening."""
    return Trim.model_validate({"at_clock": heights, "opening": {"round": across}, "at": list(at)})


def glass(depths: Any, *things: dict[str, Any]) -> Behind:
    """The window glass and things beside it."""
    return Behind.model_validate({"glass": {"at_clock": depths} if depths else None, "things": things})


def flat(height: float) -> AtClock:
    """The same height everywhere."""
    return AtClock.model_validate(height)


def solved(job: RingJob) -> Solved:
    """The best place before anything is drawn."""
    screw = fastening_of(job)
    return _best_pose(job, screw, base_for(job, screw), _listeners(job))


def place(found: Solved) -> tuple[float, float, float, Array]:
    """Tilt, clock, height and offset."""
    poses = found.problem.freedom.poses(found.numbers[None])
    return float(poses.tilts[0]), float(poses.towards[0]) % 360, float(poses.heights[0]), np.asarray(poses.offsets[0])


def angle(found: Solved) -> float:
    """To the listeners, degrees."""
    return float(found.problem.angle(found.problem.freedom.poses(found.numbers[None]))[0])
