"""Lookup of the kind that plans a job, and of the parts that a job is made in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

from mounts.kinds.kind import JobT, Kind, Plan, Planned
from mounts.kinds.registry import KIND_MODULES, declaration_of
from mounts.load.models.job import Job


def kind_of(job: JobT) -> Kind[JobT, Plan]:
    """Return the kind of a job.

    Raises:
        KeyError: for a job of a kind that nothing makes.
        TypeError: for a job that says a kind of which it is no job.
    """
    kind = kind_called(job.kind, job.make)
    if not isinstance(job, kind.job):
        raise TypeError(f"a {type(job).__name__} is no job of kind {job.kind}")
    return cast("Kind[JobT, Plan]", kind)  # it was looked up as one of all jobs


def kind_called(word: str, make: str) -> Kind:
    """Return the kind of jobs that say these words; raise KeyError where nothing makes them."""
    words = [word] if word in KIND_MODULES else KIND_MODULES  # a foot is made by the board's declaration
    for kinds in (declaration_of(one).kinds() for one in words):
        if (word, make) in kinds:
            return kinds[word, make]
    raise KeyError((word, make))


def plan(job: JobT) -> Planned[JobT, Plan]:
    """Return the plan of a job, every dimension decided; raise InputError for what cannot be drawn."""
    kind = kind_of(job)
    return Planned(kind, job, kind.plan(job))


def parts(jobs: Iterable[Job]) -> tuple[Job, ...]:
    """Return one job for each part: two for a mount that the printer's bed does not hold, where its plan allows."""
    found = ((job, kind_of(job).parts) for job in jobs)
    return tuple(part for job, split in found for part in (split(job) if split else (job,)))
