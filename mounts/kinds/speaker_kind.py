"""Functions that aiming, choosing and matching need of a mount kind that holds a speaker."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol

from typing_extensions import TypeVar

from mounts.design.chance import Slot
from mounts.errors import InputError
from mounts.findings.gap import Gap
from mounts.findings.report import Finding
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Outline, Point
from mounts.kinds.kind import P
from mounts.kinds.margin import Margin
from mounts.kinds.room import AvailableRoom
from mounts.load.models.job_kinds import SpeakerJob

S = TypeVar("S", bound=SpeakerJob, covariant=True, default=SpeakerJob)  # noqa: PLC0105


class FlangeScrew(Protocol):
    """One screw of a speaker: a pocket along the speaker's axis, from the seat down."""

    @property
    def at(self) -> Point:
        """Centre on the seat, mm, in the seat's frame."""

    @property
    def hole(self) -> float:
        """Diameter of the pocket, mm."""

    @property
    def depth(self) -> float:
        """Depth of the pocket below the seat, mm."""


class SpeakerSeat(Protocol):
    """Seat of a speaker's flange, as every kind that holds a speaker has it."""

    @property
    def frame(self) -> Frame:
        """Frame with its origin at the seat's centre and z along the speaker's axis."""

    @property
    def tilt(self) -> float:
        """Angle of the axis from the panel's z, degrees."""

    @property
    def toward(self) -> float:
        """Clock direction that the axis leans to, degrees."""

    @property
    def turn(self) -> float:
        """Turn of the speaker about its axis, degrees clockwise from the front."""

    @property
    def flange(self) -> Outline:
        """Outline of the speaker's flange, in the seat's plane."""

    @property
    def bore(self) -> Outline:
        """Outline of the bore at the seat."""

    @property
    def screws(self) -> Sequence[FlangeScrew]:
        """Screws of the speaker."""


class SeatedPlan(Protocol):
    """A plan with a seat."""

    @property
    def seat(self) -> SpeakerSeat:
        """Seat of the speaker."""


def plan_seat(plan: SeatedPlan) -> SpeakerSeat:
    """Return the seat of a plan."""
    return plan.seat


def seat_frame(plan: SeatedPlan) -> Frame:
    """Return the frame of a plan's seat, whose z is the speaker's axis."""
    return plan.seat.frame


@dataclass(frozen=True, slots=True)
class MountHoles:
    """Holes of a mount, in the order of the pairs of a match.

    Attributes:
        gaps: play round what goes through each hole, a side, mm.
        slots: free ways in the frame of the mount's own panel; None for a round hole.
        words: description of the holes.
        made: one standard deviation of their places from printing, mm.
        plays: play of what is set in the panel's holes, in the library's panel, mm.
    """

    gaps: tuple[float, ...]
    slots: tuple[Slot | None, ...]
    words: str
    made: float
    plays: tuple[float, ...] = ()


def always_sealed(job: SpeakerJob) -> bool:
    """Return True: a mount that takes no gasket needs no room for one."""
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeakerKind(Generic[S, P]):
    """Functions of a kind that holds a speaker, for aiming, choosing and matching.

    Attributes:
        seat: plan → seat.
        gaps: job and plan → closed-form gaps that other tilts change.
        margin: job → how much room its mount leaves.
        room: level job and tilted job → how large a speaker may be there; raises InputError where none can be mounted.
        seals: job → whether what seals its mount finds room.
        holes: job and the points of its panel → its holes there.
        lower: job → the same job where its own height is too low for a tilt; None where the plan seeks the height.
        settled: job and plan → the job with nothing of its seat's place left to be found; None for the job itself.
        mended: job, plan and findings → the findings, each missed one with a change of the job that mends it, tried on
            a plan; None where no change is sought.
        refused: job and the error of its plan → the error with a change of the job that was tried and makes a plan
            that keeps everything; None where no change is sought.
        tilts: whether the seat may be tilted.
    """

    seat: Callable[[P], SpeakerSeat]
    gaps: Callable[[S, P], Iterable[Gap]]
    margin: Callable[[S], Margin]
    room: Callable[[S, S], AvailableRoom]
    holes: Callable[[S, Sequence[str]], MountHoles]
    lower: Callable[[S], S] | None = None
    settled: Callable[[S, P], S] | None = None
    mended: Callable[[S, P, Sequence[Finding]], tuple[Finding, ...]] | None = None
    refused: Callable[[S, InputError], InputError] | None = None
    seals: Callable[[S], bool] = always_sealed
    tilts: bool = True
