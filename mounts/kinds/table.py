"""Every mount kind that can be made, by the words of a job: (kind, make)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import cast

from mounts.kinds.board.kind import BOARD, FOOT
from mounts.kinds.cup.kind import CUP
from mounts.kinds.kind import JobT, Kind, Plan, Planned
from mounts.kinds.ring.kind import FLAT, RING
from mounts.kinds.spacer.kind import SPACER
from mounts.load.models.jobbase import JobBase

KINDS: Mapping[tuple[str, str], Kind] = {
    ("ring", "print"): RING,
    ("ring", "cut"): FLAT,
    ("cup", "print"): CUP,
    ("spacer", "print"): SPACER,
    ("board", "cut"): BOARD,
    ("board", "print"): BOARD,
    ("foot", "print"): FOOT,
}


def kind_of(job: JobT) -> Kind[JobT, Plan]:
    """The kind of a job, which takes jobs of its class.

    Raises:
        TypeError: for a job that says a kind of which it is no job.
    """
    kind = KINDS[job.kind, job.make]
    if not isinstance(job, kind.job):
        raise TypeError(f"a {type(job).__name__} is no job of kind {job.kind}")
    return cast("Kind[JobT, Plan]", kind)  # the table holds every kind as one of all jobs


def plan(job: JobT) -> Planned[JobT, Plan]:
    """A job's plan, every dimension of its part decided; raises InputError for what cannot be drawn."""
    kind = kind_of(job)
    return Planned(kind, job, kind.plan(job))


def parts(jobs: Iterable[JobBase]) -> tuple[JobBase, ...]:
    """One job a part: a mount that its printer's bed does not hold comes in two where its plan allows it."""
    found = ((job, kind_of(job).parts) for job in jobs)
    return tuple(part for job, split in found for part in (split(job) if split else (job,)))
