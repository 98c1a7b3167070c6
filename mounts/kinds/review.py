"""Review of a finished part by its kind: its checks, and what its papers are made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Generic

from mounts.design.chance import ReadHoles
from mounts.design.drawing import Dimension
from mounts.errors import InputError
from mounts.findings.report import Finding
from mounts.geometry.frames import Array, Frame
from mounts.geometry.outline import Box, Point
from mounts.kernels.part import Part
from mounts.kinds.kind import J, P, Plan
from mounts.load.models.job import Job
from mounts.shape.recipe import Envelope

if TYPE_CHECKING:
    from mounts.adapting.draft import Draft, NoSleeve, Sleeve
    from mounts.load.parse.document import Document
    from mounts.load.resolve.library import Library
    from mounts.made import Made
    from mounts.papers.values import Check, ListItem, Record, Steps

PlacedText = tuple[Point, str]  # a place in the panel's plane, and what is said of it


@dataclass(frozen=True, slots=True)
class Change(Generic[J]):
    """A change of a job that was tried: lines of its file by their keys, and the job by them.

    Attributes:
        lines: as they are written.
        job: with them.
        left: codes of what its plan still misses.
        keeps: what it keeps and misses, in words.
        fails: whether one of those is a failure.
    """

    lines: dict[str, str]
    job: J
    left: tuple[str, ...] = ()
    keeps: str = "keeps every clearance and wall"
    fails: bool = False

    @property
    def words(self) -> str:
        """The lines in one."""
        return ", ".join(f"{key}: {value}" for key, value in self.lines.items())

    def refused(self, error: InputError) -> InputError:
        """Return the error of a plan that was refused, with this change by which a part can be made."""
        first, *others = error.problems
        said = f"{first.what.partition(': ')[0]}: {self.words} was tried, and {self.keeps}"
        return InputError(replace(first, what=said), *others)


def no_change(job: Job, most: int) -> None:
    """Return no change, for a kind of which none is sought."""


def any_room(job: Job) -> bool:
    """Return that there may be room, for a kind that does not look."""
    return True


def no_holes(job: Job) -> None:
    """Return no holes, for a kind that is screwed into none that were read."""


def no_notes(job: Job, plan: Plan) -> Iterable[PlacedText]:
    """Return no words, for a view that carries none."""
    return ()


def no_words(job: Job, plan: Plan) -> Iterable[str]:
    """Return no lines of text."""
    return ()


def no_findings(job: Job, plan: Plan) -> tuple[Finding, ...]:
    """Return no findings, for a plan that is judged once its part is made."""
    return ()


def no_points(job: Job) -> Mapping[str, Point]:
    """Return no named places, for a part without any on the face."""
    return {}


def panel_section(plan: Plan) -> float:
    """Return the clock direction of a section along the panel's x, degrees."""
    return 90.0


def no_heights(job: Job, plan: Plan, frame: Frame, own: Box, numbered: Mapping[str, str]) -> Iterator[Dimension]:
    """Yield no sizes, for a section that shows only its width."""
    return iter(())


FROM_CABIN = ("Seen from the cabin, 12:00 up", "Seen from behind, 12:00 up: left and right change places")


@dataclass(frozen=True, slots=True, kw_only=True)
class Papers(Generic[J, P]):
    """Texts and sizes that the papers of one kind of part are made of.

    Attributes:
        title: job and plan → what the part is, in words.
        steps: part → the work in order.
        hardware: job and plan → what is bought for it.
        torque: job and plan → torques of its screws, in words.
        tools: job → tools beyond what every part takes.
        calipers: job and plan → the five sizes to take on the finished part.
        record: job and plan → its share of the return sheet.
        stays: job and plan → what stays in the vehicle when another part takes its place.
        points: job → named places on the face, such as its fixings.
        seen: titles of the views from the front and from the back.
        front, back: job and plan → what is said of places on these views.
        around: job and plan → what a section shows round it; None for all its surroundings.
        cut_at: plan → clock direction of the section's right, where no tilted seat decides it.
        heights: sizes in a section with that frame and the part's box in it, with caliper sizes as they are numbered.
    """

    title: Callable[[J, P], str]
    steps: Callable[[Made[J, P]], tuple[Steps, ...]]
    hardware: Callable[[J, P], Iterable[ListItem]]
    torque: Callable[[J, P], Iterable[str]] = no_words
    tools: Callable[[J], Iterable[str]]
    calipers: Callable[[J, P], Iterable[Check]]
    record: Callable[[J, P], Record]
    stays: Callable[[J, P], Iterable[str]] = no_words
    points: Callable[[J], Mapping[str, Point]] = no_points
    seen: tuple[str, str] = FROM_CABIN
    front: Callable[[J, P], Iterable[PlacedText]] = no_notes
    back: Callable[[J, P], Iterable[PlacedText]] = no_notes
    around: Callable[[J, P], Iterable[Envelope]] | None = None
    cut_at: Callable[[P], float] = panel_section
    heights: Callable[[J, P, Frame, Box, Mapping[str, str]], Iterable[Dimension]] = no_heights


@dataclass(frozen=True, slots=True, kw_only=True)
class Review(Generic[J, P]):
    """Checks and papers of a finished part of one kind.

    Attributes:
        findings: job, plan and part → findings.
        planned: job and plan → findings on its clearances, and on the walls and chosen limits that it misses, each with
            the remedy that `findings` gives.
        halves: job, plan, part and the assembled mount that it is a half of → findings; None for a kind without halves.
        alone: the same of a mesh file, which has nothing beside it; None for all findings.
        change: job and how many plans → the plainest change of the job that was tried and keeps everything, or of a
            refused one leaves least; None where there is none, or none is sought.
        room: job → False where no change leaves its speaker room, which is known much sooner.
        holes: job → the panel's holes that its screws go into, as read; None where there are none.
        place: mesh file, plan and print pose → how the mesh stands by its holes and how that was found, the transform
            None where the holes are not found; None as a whole where a plan has no holes to go by.
        sleeve: old parts, new jobs, the sleeve's own file, what the old job says and its library → a sleeve that lets
            a smaller speaker into the old parts, or why there is none; None for a kind that takes none.
        papers: what papers are made of.
    """

    findings: Callable[[J, P, Part], tuple[Finding, ...]]
    planned: Callable[[J, P], tuple[Finding, ...]] = no_findings
    halves: Callable[[J, P, Part, Part], tuple[Finding, ...]] | None = None
    alone: Callable[[J, P, Part], tuple[Finding, ...]] | None = None
    change: Callable[[J, int], Change[J] | None] = no_change
    room: Callable[[J], bool] = any_room
    holes: Callable[[J], ReadHoles | None] = no_holes
    place: Callable[[Part, P, Array], tuple[Array | None, str] | None] | None = None
    sleeve: Callable[[Sequence[Made[J, P]], Sequence[J], Draft, Document, Library], Sleeve | NoSleeve] | None = None
    papers: Papers[J, P] = field(repr=False)
