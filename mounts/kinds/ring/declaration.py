"""Declaration of the ring, printed or cut from sheet: how its jobs are loaded, one a side, and what plans them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from mounts.errors import Problem
from mounts.kinds.registry import WORKSHOP, Declaration
from mounts.kinds.ring.file import RingFile
from mounts.kinds.ring.job import RingJob
from mounts.load.models.job import PanelFixing, SpeakerFixing
from mounts.load.models.job_file import FixSpeaker, FixToPanel
from mounts.load.models.limits import Limits
from mounts.load.models.panel import Panel
from mounts.load.models.speaker import Speaker
from mounts.load.models.workshop import Printer
from mounts.load.parse.document import Document
from mounts.load.resolve.contradictions import oversized_holes, repeated_sides
from mounts.load.resolve.fasteners import Fasteners
from mounts.load.resolve.request import JobRequest
from mounts.load.resolve.sides import SidePanel, directions_of_side, mirror_angle

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def ring_jobs(asked: JobRequest) -> tuple[RingJob, ...]:
    """Return one ring a side; raise InputError with every problem found."""
    fasteners = Fasteners(asked.library, asked.document)
    to_panel = fasteners.panel(asked.piece(FixToPanel, "fix_to_panel"))
    to_speaker = fasteners.speaker(asked.piece(FixSpeaker, "fix_speaker"))
    halves = fasteners.halves(asked.piece(FixSpeaker, "fix_halves"), _material(asked))
    hands = tuple(asked.hands(Panel))
    limits = asked.file.limits if isinstance(asked.file, RingFile) else Limits()
    problems = [*fasteners.problems, *(p for h in hands for p in h.problems)]
    for on in hands:
        if on.panel:
            problems += oversized_holes(on.panel, on.document, to_panel, limits)
    file = asked.file
    if isinstance(file, RingFile):
        problems += _contradictions(file, asked.document)
    if problems or asked.problems or not isinstance(file, RingFile) or to_panel is None:
        raise asked.refused(problems)
    hole = file.speaker.holes.diameter if file.speaker.holes else 0.0
    spares = fasteners.spares(to_panel, to_speaker, hole, _material(asked))
    spares = replace(spares, printers=_larger(asked, file.printer))
    return tuple(replace(_job(asked, file, h, (to_panel, to_speaker), halves), spares=spares) for h in hands)


def _larger(asked: JobRequest, own: Printer) -> tuple[Printer, ...]:
    """Return the library's own printers with larger beds, the smallest first."""
    names = asked.library.layers.own_names("printer")
    found = [
        one.value for one in (asked.library.get("printer", name) for name in names) if isinstance(one.value, Printer)
    ]
    found = [one for one in found if one.bed[0] * one.bed[1] > own.bed[0] * own.bed[1]]
    return tuple(sorted(found, key=lambda one: one.bed[0] * one.bed[1]))


def _material(asked: JobRequest) -> str:
    material = asked.parts.get("material")
    return str(getattr(material.value, "name", "")) if material else ""


def _job(
    asked: JobRequest,
    file: RingFile,
    on: SidePanel[Panel],
    fixings: tuple[PanelFixing, SpeakerFixing | None],
    halves: SpeakerFixing | None,
) -> RingJob:
    """Return the job of one side."""
    assert on.panel is not None
    told = directions_of_side(file, on)
    in_two = file.in_two if isinstance(file.in_two, bool | str) or not on.mirrored else mirror_angle(file.in_two)
    return RingJob(
        **asked.common(on.document),
        side=on.panel.side,
        sheet=file.sheet,
        panel=on.panel,
        speaker=file.speaker,
        fix_to_panel=fixings[0],
        fix_speaker=fixings[1],
        aim=told.aim,
        sought=told.sought,
        height=file.height or ("best" if told.sought else "least"),
        turn=told.turn,
        wire=told.wire,
        seat_offset=told.seat_offset,
        gaskets=file.gaskets,
        collar=file.collar,
        flush=file.flush,
        proud=file.proud,
        sure=file.sure,
        in_two=in_two,
        fix_halves=halves,
    )


def _contradictions(file: RingFile, document: Document) -> Iterator[Problem]:
    """Yield the contradictions within a ring job."""
    yield from repeated_sides(file.sides, document)
    if file.make == "cut" and file.sheet is None:
        yield document.problem(("make",), "cut needs the thickness of the sheet; give sheet, such as sheet: 9")
    if file.make == "cut" and file.aim.tilt:
        what = f"a ring cut from sheet is flat; tilt is {file.aim.tilt:g}: give 0, or make: print"
        yield document.problem(("aim", "tilt"), what)
    elif file.make == "cut" and file.aim.is_sought:
        what = "a ring cut from sheet is flat, so there is no aim to find; leave aim out, or make: print"
        yield document.problem(("aim",), what)
    if file.make == "cut" and file.height == "best":
        what = "a ring cut from sheet is as high as the sheet is thick; leave height out, or make: print"
        yield document.problem(("height",), what)
    if file.make == "print" and file.sheet is not None:
        yield document.problem(("sheet",), "a sheet is for make: cut; leave it out, or give make: cut")
    if isinstance(file.speaker, Speaker):
        yield from _speaker_fixing(file, file.speaker, document)


def _speaker_fixing(file: RingFile, speaker: Speaker, document: Document) -> Iterator[Problem]:
    if speaker.holes is None and file.fix_speaker is not None:
        what = f"{speaker.name} has no screw holes; leave fix_speaker out, or give the speaker its holes"
        yield document.problem(("fix_speaker",), what)
    if speaker.holes is not None and file.fix_speaker is None:
        what = f"{speaker.name} has {len(speaker.holes.points)} screw holes; give fix_speaker, such as insert-m4-short"
        yield document.problem((), what)


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.ring.kind import FLAT, RING

    return {("ring", "print"): RING, ("ring", "cut"): FLAT}


DECLARATION = Declaration(
    file=RingFile,
    parts={"panel": "panel", "speaker": "speaker", **WORKSHOP},
    resolve=ring_jobs,
    kinds=_kinds,
)
