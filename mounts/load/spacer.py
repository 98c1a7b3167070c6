"""A spacer job: one part that belongs to no side."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.errors import Problem
from mounts.load.asked import Asked
from mounts.load.models.port import Port
from mounts.load.models.resolved import SpacerJob
from mounts.load.models.spacer_job import SpacerFile
from mounts.load.read import Document


def spacer_jobs(asked: Asked) -> tuple[SpacerJob, ...]:
    """One spacer; raises InputError with every problem found."""
    file = asked.file
    problems = list(_contradictions(file, asked.document)) if isinstance(file, SpacerFile) else []
    if problems or asked.problems or not isinstance(file, SpacerFile):
        raise asked.refused(problems)
    return (SpacerJob(**asked.common(), side="", port=file.port, device=file.device, fit=file.fit, slit=file.slit),)


def _contradictions(file: SpacerFile, document: Document) -> Iterator[Problem]:
    """What a spacer job asks for that cannot be had together."""
    if isinstance(file.port, Port) and file.port.opening is None:
        yield document.problem(("port",), f"{file.port.name} has no opening; give opening, such as {{round: 29.2}}")
    if isinstance(file.device, Port) and file.device.body is None:
        yield document.problem(("device",), f"{file.device.name} has no body; give body, such as {{round: 22.4}}")
