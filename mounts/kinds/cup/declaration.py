"""Declaration of the cup: how its jobs are loaded, one a side, and what plans them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from mounts.errors import Problem
from mounts.kinds.cup.file import CupFile
from mounts.kinds.cup.job import CupJob
from mounts.kinds.registry import WORKSHOP, Declaration
from mounts.load.models.job import SpeakerFixing
from mounts.load.models.job_file import FixSpeaker
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.parse.document import Document
from mounts.load.resolve.contradictions import repeated_sides
from mounts.load.resolve.fasteners import Fasteners
from mounts.load.resolve.request import JobRequest
from mounts.load.resolve.sides import SidePanel, directions_of_side

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def cup_jobs(asked: JobRequest) -> tuple[CupJob, ...]:
    """Return one cup a side; raise InputError with every problem found."""
    fasteners = Fasteners(asked.library, asked.document)
    to_speaker = fasteners.speaker(asked.piece(FixSpeaker, "fix_speaker"))
    hands = tuple(asked.hands(PinPanel))
    problems = [*fasteners.problems, *(p for h in hands for p in h.problems)]
    file = asked.file
    if isinstance(file, CupFile):
        problems += _contradictions(file, asked.document)
    if problems or asked.problems or not isinstance(file, CupFile):
        raise asked.refused(problems)
    return tuple(_job(asked, file, on, to_speaker) for on in hands)


def _contradictions(file: CupFile, document: Document) -> Iterator[Problem]:
    """Yield the contradictions within a cup job."""
    yield from repeated_sides(file.sides, document)
    if file.aim.is_sought:
        what = 'a cup\'s aim is not found by itself, only its height; give {tilt: 12, toward: "4:00"} or the like'
        yield document.problem(("aim",), f"{what}, and see with mounts aim what it and other tilts are worth")
    if file.vent is not None and file.back == "open":
        yield document.problem(("vent",), "an open back needs no vent; leave it out, or give back: closed")
    if file.label == "raised":
        what = "a cup's lettering is on its front, which lies flat on the panel; give sunk, or false"
        yield document.problem(("label",), what)
    screwed = file.retention.by == "flange"
    if not screwed and file.fix_speaker is not None:
        what = f"a tweeter that is held by {file.retention.by} takes no screws; leave fix_speaker out"
        yield document.problem(("fix_speaker",), what)
    if screwed and file.fix_speaker is None:
        yield document.problem(("retention",), "a flange needs its screws; give fix_speaker, such as pilot-3.0")
    if screwed and isinstance(file.speaker, Speaker) and file.speaker.holes is None:
        what = f"the flange of {file.speaker.name} has no screw holes; give retention: press, or the speaker its holes"
        yield document.problem(("retention",), what)


def _job(asked: JobRequest, file: CupFile, on: SidePanel[PinPanel], screws: SpeakerFixing | None) -> CupJob:
    """Return the job of one side."""
    assert on.panel is not None
    told = directions_of_side(file, on)
    return CupJob(
        **asked.common(on.document),
        side=on.panel.side,
        panel=on.panel,
        speaker=file.speaker,
        fix_speaker=screws,
        aim=told.aim,
        height=file.height,
        turn=told.turn,
        retention=file.retention,
        staking=file.staking,
        back=file.back,
        vent=file.vent,
        wire=told.wire,
        seat_offset=told.seat_offset,
        sure=file.sure,
    )


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.cup.kind import CUP

    return {("cup", "print"): CUP}


DECLARATION = Declaration(
    file=CupFile,
    parts={"panel": "panel", "speaker": "speaker", **WORKSHOP},
    resolve=cup_jobs,
    kinds=_kinds,
    pins=True,
)
