"""The kind of a job: what plans it, and which parts it comes in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

from mounts.kinds.kind import JobT, Kind, Plan, Planned
from mounts.kinds.known import KNOWN, declared
from mounts.load.models.jobbase import JobBase


def kind_of(job: JobT) -> Kind[JobT, Plan]:
    """The kind of a job, which takes jobs of its class.

    Raises:
        KeyError: for a job of a kind that nothing makes.
        TypeError: for a job that says a kind of which it is no job.
    """
    kind = kind_called(job.kind, job.make)
    if not isinstance(job, kind.job):
        raise TypeError(f"a {type(job).__name__} is no job of kind {job.kind}")
    return cast("Kind[JobT, Plan]", kind)  # it was looked up as one of all jobs


def kind_called(word: str, make: str) -> Kind:
    """Return the kind of the jobs that say these words; raises KeyError where nothing makes them."""
    words = [word] if word in KNOWN else KNOWN  # a foot is made by the board's declaration
    for kinds in (declared(one).kinds() for one in words):
        if (word, make) in kinds:
            return kinds[word, make]
    raise KeyError((word, make))


def plan(job: JobT) -> Planned[JobT, Plan]:
    """A job's plan, every dimension of its part decided; raises InputError for what cannot be drawn."""
    kind = kind_of(job)
    return Planned(kind, job, kind.plan(job))


def parts(jobs: Iterable[JobBase]) -> tuple[JobBase, ...]:
    """One job a part: a mount that its printer's bed does not hold comes in two where its plan allows it."""
    found = ((job, kind_of(job).parts) for job in jobs)
    return tuple(part for job, split in found for part in (split(job) if split else (job,)))
