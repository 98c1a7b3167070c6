"""Interface of a mount kind to the stages: everything that differs by kind, in one value.

`Kind` is what planning needs. `mounts.kinds.review` has the findings and papers of a finished part; it stands above
`Kind` and is imported only when a part is reviewed. A kind's plan and shape import neither.

Lookup of the kind that plans a job, and of the parts that a job is made in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Generic, Protocol, cast

from typing_extensions import TypeVar

from mounts.design.drawing import Drawing
from mounts.findings.report import AS_BUILT, Pose
from mounts.geometry.frames import Frame
from mounts.kinds.registry import KIND_MODULES, declaration_of
from mounts.load.models.job import Job
from mounts.shape.recipe import Envelope, Scene

if TYPE_CHECKING:
    from mounts.kinds.review import Review
    from mounts.kinds.sizes import NamedSize
    from mounts.kinds.speaker_kind import SpeakerKind, SpeakerSeat
    from mounts.load.models.speaker_job import SpeakerJob


TRIED = 20  # plans that are tried for a change of a job, where nothing else is asked


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


class Plan(Protocol):
    """Properties that every plan has, whatever its kind."""

    @property
    def name(self) -> str:
        """Name of job and side, ASCII."""

    @property
    def side(self) -> str:
        """Side of the vehicle: "left", "right" or ""."""

    @property
    def genus(self) -> int:
        """Number of through holes of the finished part."""

    @property
    def paper(self) -> Drawing:
        """Template at 1:1."""


# A kind takes only jobs and plans of its own, so `Kind[RingJob, RingPlan]` is no `Kind[Job, Plan]` in general. Declared
# covariant, it may stand for one: `mounts.kinds.kind.kind_of` gives each job its own kind, and `Planned`
# keeps them together.
J = TypeVar("J", bound=Job, covariant=True, default=Job)  # noqa: PLC0105
JobT = TypeVar("JobT", bound=Job)
P = TypeVar("P", bound=Plan, covariant=True, default=Plan)  # noqa: PLC0105


def as_built(plan: Plan) -> Pose:
    """Return the print pose of a part that is printed as it stands in the panel frame."""
    return AS_BUILT


def no_whole(plan: Plan) -> Scene | None:
    """Return None, the whole of a part that is whole already."""
    return None


def no_sizes(plan: Plan) -> Iterable[NamedSize]:
    """Return no sizes, for a kind whose parts are not compared."""
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind(Generic[J, P]):
    """A mount kind as pure functions: job to plan, plan to drawing, and what else the stages ask.

    Attributes:
        job: class of its jobs.
        name: of such a part, as a page's title says it: "Mount".
        plan: job → plan.
        shape: plan → scene.
        surroundings: job and plan → envelopes of the real things round the part.
        axis: plan → frame of what the part carries, its z along the speaker's axis.
        cautions: job → what can hurt someone.
        unread: job → paths of the readings that were not taken.
        review: what is said of a finished part; imports checks and papers.
        pose: plan → rigid transform from the panel frame to the print pose, lowest point at z = 0.
        sizes: plan → the sizes by which two plans of the kind are compared.
        holds: what aiming, choosing and matching ask of a kind that holds a speaker; None for one that does not.
        slice: plan → scene of the first-check slice, None where it makes no sense.
        slice_pose: plan → rigid transform from the frame in which the slice is drawn to its print pose.
        dummy: job and plan → scenes of the dummy's parts by name, their genus left open, each with its print pose;
            None where it makes no sense.
        parts: job → one job a part, where it may be made in two; None where each job is one part.
        whole: plan → scene of the assembled mount to which a part belongs, None for a part that is whole.
    """

    job: type[J]
    name: str
    plan: Callable[[J], P]
    shape: Callable[[P], Scene]
    surroundings: Callable[[J, P], tuple[Envelope, ...]]
    axis: Callable[[P], Frame]
    cautions: Callable[[J], tuple[str, ...]]
    unread: Callable[[J], tuple[str, ...]]
    review: Callable[[], Review[J, P]]
    pose: Callable[[P], Pose] = as_built
    sizes: Callable[[P], Iterable[NamedSize]] = no_sizes
    holds: SpeakerKind[SpeakerJob, P] | None = None
    slice: Callable[[P], Scene] | None = None
    slice_pose: Callable[[P], Pose] = as_built
    dummy: Callable[[J, P], Mapping[str, tuple[Scene, Pose]]] | None = None
    parts: Callable[[J], tuple[J, ...]] | None = None
    whole: Callable[[P], Scene | None] = no_whole


@dataclass(frozen=True, slots=True)
class Planned(Generic[J, P]):
    """A job with its kind and its plan."""

    kind: Kind[J, P] = field(repr=False)
    job: J
    plan: P

    @property
    def seat(self) -> SpeakerSeat | None:
        """Seat of its speaker; None for a part that holds none."""
        return self.kind.holds.seat(self.plan) if self.kind.holds else None

    def draw(self) -> Scene:
        """Return the scene of the part, with the envelopes of the real things round it."""
        around = self.kind.surroundings(self.job, self.plan)
        return replace(self.kind.shape(self.plan), envelopes=around, axis=self.kind.axis(self.plan))
