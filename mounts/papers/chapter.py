"""The chapter of one part: everything that papers tell of it, from its job, plan, solid and report."""

from __future__ import annotations

from mounts.load.models.speaker_job import SpeakerJob
from mounts.made import Made
from mounts.papers.aim import listener_levels, loss_rows, paths_to_ears
from mounts.papers.entry import Chapter
from mounts.papers.hardware import hardware, tools
from mounts.papers.record import make_record
from mounts.papers.sheets import check_sheet, drawing_sheet


def make_chapter(made: Made) -> Chapter:
    """Return what the papers tell of one part."""
    job, papers = made.job, made.kind.review().papers
    return Chapter(
        job=job.name,
        part=job.part,
        file=job.file.name,
        digest=job.digest,
        about=job.about,
        vehicle=job.vehicle,
        date=job.date,
        notes=job.notes,
        what=papers.title(job, made.plan),
        material=job.material.name,
        size=_extent(made),
        takes=_takes(made),
        pieces=job.pieces,
        hardware=hardware(made),
        torque=tuple(papers.torque(job, made.plan)),
        tools=tools(made),
        steps=papers.steps(made),
        sheets=(drawing_sheet(made), check_sheet(made)),
        paths=paths_to_ears(made),
        losses=loss_rows(made),
        unheard=isinstance(job, SpeakerJob) and not listener_levels(made),
        record=make_record(made),
        template=made.plan.paper,
        units=job.units,
    )


def _extent(made: Made) -> str:
    across = made.part.vertices.max(axis=0) - made.part.vertices.min(axis=0)
    return " × ".join(f"{made.job.units(length, 1)}" for length in across)


def _takes(made: Made) -> str:
    """Return what printing it takes, by estimate; nothing for what is cut."""
    estimate = made.report.estimate
    return f"{estimate.grams:.0f} g, {estimate.hours:.1f} h" if estimate is not None else ""
