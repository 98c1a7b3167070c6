"""The aim of every speaker of a kit, and one table of delays for all of them."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.aiming.evaluate import heard_at, side_aim
from mounts.aiming.values import AimReport, SideAim
from mounts.design.listening import arrivals, paths, speed_of_sound
from mounts.errors import InputError
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.resolve.kit import Kit
from mounts.progress import report_stage


@dataclass(frozen=True, slots=True)
class AimedKit:
    """Evaluation of the aim of a kit's speakers.

    Attributes:
        aimed: its sides those of all jobs, each with its own tilt alone; arrivals of all speakers at every seat.
        silent: names of jobs that hold no speaker.
        refused: mounts that cannot be drawn, and why.
    """

    aimed: AimReport
    silent: tuple[str, ...]
    refused: tuple[tuple[str, str], ...]


def side_name(job: SpeakerJob) -> str:
    """Return a mount's name among those of a kit."""
    return f"{job.name} {job.side}"


def evaluate_kit(kit: Kit, temperature: float) -> AimedKit:
    """Return what the aim of every speaker of a kit is worth; its mounts are planned, none is built.

    Args:
        kit: whose jobs are aimed, those that it makes up aside.
        temperature: of the air in the cabin, °C.

    Raises:
        InputError: when no job of it holds a speaker.
    """
    speed = speed_of_sound(temperature)
    silent = dict.fromkeys(part.job.name for part in kit.parts if not isinstance(part.job, SpeakerJob))
    jobs = [part.job for part in kit.parts if isinstance(part.job, SpeakerJob)]
    if not jobs:
        raise InputError(kit.problem("jobs", "none of them holds a speaker, so there is nothing to aim"))
    sides: list[SideAim] = []
    refused: list[tuple[str, str]] = []
    for number, job in enumerate(jobs, start=1):
        report_stage("speaker %d of %d: %s", number, len(jobs), side_name(job))
        try:
            sides.append(side_aim(job, speed))
        except InputError as error:
            refused.append((side_name(job), str(error)))
    ways = [way for side in sides for way in paths(side_name(side.job), *heard_at(side))]
    found = AimReport(kit.name, temperature, speed, tuple(sides), arrivals(ways, temperature))
    return AimedKit(found, tuple(silent), tuple(refused))
