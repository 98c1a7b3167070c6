"""Results of `mounts aim`, as values."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.design.choice import Choice
from mounts.design.listening import Arrival, ListenerLevel
from mounts.findings.gap import Gap
from mounts.findings.report import Finding, Verdict
from mounts.kinds.kind import Planned
from mounts.kinds.speaker_kind import SpeakerKind, SpeakerSeat
from mounts.load.models.speaker_job import SpeakerJob


@dataclass(frozen=True, slots=True)
class TiltRow:
    """One tilt, planned.

    Attributes:
        tilt: degrees.
        height: of the seat's centre over the face; None where no part can be drawn.
        gaps: the tightest of each sort, by its word.
        heard: what every listener hears of it.
        lost: dB at each frequency shown, for the first listener; empty without a piston or a listener.
        refused: why no part can be drawn.
        is_chosen: whether it is the job's own.
    """

    tilt: float
    height: float | None
    gaps: tuple[tuple[str, Gap], ...]
    heard: tuple[ListenerLevel, ...]
    lost: tuple[float, ...]
    refused: str = ""
    is_chosen: bool = False


@dataclass(frozen=True, slots=True)
class SideAim:
    """One side of a job.

    Attributes:
        planned, job: planned side and its job.
        holds, seat: what its kind says of the speaker, and where it sits.
        toward: clock direction of the rows' tilts.
        heard: every listener before the chosen seat.
        lost: dB at each frequency shown: flat, and as chosen; for the first listener.
        rows: evaluated tilts, rising.
        findings: on its plan's clearances, and on the walls and chosen limits that it misses, with what mends them.
    """

    planned: Planned
    job: SpeakerJob
    holds: SpeakerKind
    seat: SpeakerSeat
    toward: float
    heard: tuple[ListenerLevel, ...]
    lost: tuple[tuple[float, ...], tuple[float, ...]]
    rows: tuple[TiltRow, ...]
    findings: tuple[Finding, ...]

    @property
    def choice(self) -> Choice | None:
        """Reasons for the seat's pose; None where the job itself gave it."""
        found: Choice | None = getattr(self.planned.plan, "choice", None)
        return found


@dataclass(frozen=True, slots=True)
class AimReport:
    """A job's aim on every side.

    Attributes:
        name: name of the job.
        temperature: temperature in the cabin, °C.
        speed: speed of sound, m/s.
        arrivals: of every side's speaker at every seat.
    """

    name: str
    temperature: float
    speed: float
    sides: tuple[SideAim, ...]
    arrivals: tuple[Arrival, ...]

    @property
    def breaks_a_limit(self) -> bool:
        """True if the job's own aim fails on any side."""
        return any(one.verdict is Verdict.FAIL for side in self.sides for one in side.findings)
