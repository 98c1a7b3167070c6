"""Greatest depth of a tweeter in a cup whose seat is as near the grille as it can be."""

from __future__ import annotations

from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.seat import reach_behind
from mounts.kinds.room import SpeakerRoom
from mounts.load.models.job_kinds import CupJob


def cup_room(level: CupJob, job: CupJob) -> SpeakerRoom:
    """Return the room for a body as wide as the job's tweeter."""
    frame = plan_cup(job).seat.frame
    left = job.panel.room - job.limits.fixed - reach_behind(job, frame)
    depth = int(10 * (job.speaker.depth + left / frame.z[2])) / 10
    return SpeakerRoom(job.aim.tilt, frame.origin[2], depths=((job.speaker.cutout.least, (depth, "room")),))
