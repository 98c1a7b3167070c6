"""Functions that aiming, choosing and matching need of a mount kind that holds a speaker.

Room that a planned mount leaves, and what comes nearest to it, in closed form on the plan.

Room in a place, found by planning mounts for stand-in speakers of growing size.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol

from typing_extensions import TypeVar

from mounts.design.chance import Errors, Slot
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict, gravest
from mounts.findings.wall import Wall
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Outline, Point
from mounts.geometry.ties import least_of
from mounts.identity import Pair
from mounts.kinds.kind import P
from mounts.load.models.speaker import Speaker
from mounts.load.models.speaker_job import SpeakerJob

OWN = ("clear.body-bore", "clear.hardware", "clear.bead")  # gaps that the plan makes as large as they need be
RIM = 20.0  # mm by which a flange is wider than its cutout
SCREWS = 10.0  # mm by which its screws' circle is
THICK = 4.0  # mm of flange
SHALLOW = 20.0  # mm: a speaker is this deep at least
NARROWER = 10.0  # mm, from one stand-in to the next where the wider one cannot be mounted
FINE = 0.2  # mm to which sizes are found
S = TypeVar("S", bound=SpeakerJob, covariant=True, default=SpeakerJob)  # noqa: PLC0105


def speaker_readings(job: SpeakerJob) -> dict[str, bool]:
    """Return of the readings of any mount for a speaker whether they were taken, by their paths."""
    panel, speaker = job.panel, job.speaker
    return {
        "panel.ears": panel.ears is not None or panel.seats is not None,
        "panel.place": panel.place is not None,
        "speaker.body": bool(speaker.body),
        "speaker.terminals": bool(speaker.terminals),
        "speaker.front": speaker.front is not None,
        "speaker.piston": speaker.piston_diameter is not None,
        "speaker.mass": speaker.mass is not None,
    }


@dataclass(frozen=True, slots=True)
class Margin:
    """Least clearance of one mount, and what decides about it.

    Attributes:
        verdict: the gravest of all distances and walls.
        margin: least distance to anything in the vehicle, less what is wanted there, mm; of a mount that fails, by how
            much it breaks a limit, negative. None where nothing round it was measured.
        between: the two things.
        reading: path of the reading that it rests on; "" for none.
        sd: one standard deviation of the distance from that reading, mm; None for none.
        height: of the seat above the face, mm.
    """

    verdict: Verdict
    margin: float | None
    between: Pair | None
    reading: str
    sd: float | None
    height: float


def margin_from(gaps: Sequence[Gap], room: Sequence[Gap], walls: Iterable[Wall], height: float) -> Margin:
    """Return the margin of a mount from its gaps and walls.

    Args:
        gaps: all that may fail.
        room: those of them that are to something measured in the vehicle.
        walls: of the mount.
        height: of its seat above the face, mm.
    """
    thin = [wall for wall in walls if not wall.is_enough]
    failing = [gap for gap in gaps if gap.verdict is Verdict.FAIL]
    verdict = gravest([*(gap.verdict for gap in gaps), *(Verdict.FAIL for _ in thin)])
    if verdict is Verdict.FAIL:
        found = [(gap.gap - gap.least, gap.between, gap.reading, gap.sd) for gap in failing]
        found += [(wall.thickness - wall.limit, wall.between, "", None) for wall in thin]
    else:
        found = [(gap.gap - gap.wanted, gap.between, gap.reading, gap.sd) for gap in room]
    if not found:
        return Margin(verdict, None, None, "", None, height)
    margin, between, reading, sd = least_of(found, key=lambda one: one[0])
    return Margin(verdict, margin, between, reading, sd, height)


@dataclass(frozen=True, slots=True)
class AvailableRoom:
    """Largest speaker that goes in at one tilt.

    Attributes:
        tilt: degrees.
        height: of the seat above the face, mm; None where no mount can be drawn.
        why: why not; "" where it can.
        body: diameter of a straight body that passes the opening, mm; None on pins.
        depths: of the magnet or body diameters, the greatest depth from the seat and what limits it; None where even a
            shallow one does not go in.
        flange: greatest diameter under trim and grille, mm; None where nothing limits it.
        front: greatest height above the seat with the cone at full travel, mm; None where no grille was measured.
    """

    tilt: float
    height: float | None
    why: str = ""
    body: float | None = None
    depths: tuple[tuple[float, tuple[float, str] | None], ...] = ()
    flange: float | None = None
    front: float | None = None


def stand_in_speaker(cutout: float, *, dome: bool = False) -> Mapping[str, object]:
    """Return the profile data of a stand-in speaker for a cutout diameter, mm, as a YAML file would hold it."""
    shallow = {"depth": SHALLOW / 2 if dome else SHALLOW}
    if dome:
        return {"type": "dome", "cutout": cutout, "flange": {"diameter": cutout + 7, "thickness": 2.0}, **shallow}
    return {
        "cutout": cutout,
        "flange": {"diameter": cutout + RIM, "thickness": THICK},
        "holes": {"bolt_circle": {"diameter": cutout + SCREWS, "count": 4, "first": "1:30"}, "diameter": 4.8},
        **shallow,
    }


def narrow_stand_in(speaker: Speaker, cutout: float) -> Speaker:
    """Return a stand-in speaker for another cutout diameter, mm."""
    return Speaker.model_validate({"kind": "speaker", "name": speaker.name, **stand_in_speaker(cutout)})


def bisect_greatest(holds: Callable[[float], bool], low: float, high: float) -> float | None:
    """Return the greatest value for which a monotonic condition holds, rounded down to 0.1; None if it never does.

    Found by bisection to FINE.
    """
    if not holds(low):
        return None
    if holds(high):
        return high
    while high - low > FINE / 2:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return int(low * 10) / 10


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
        errors: between them and what goes through, on the library's own panel, of a printer that was measured.
    """

    gaps: tuple[float, ...]
    slots: tuple[Slot | None, ...]
    words: str
    errors: Errors


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeakerKind(Generic[S, P]):
    """Functions of a kind that holds a speaker, for aiming, choosing and matching.

    Attributes:
        seat: plan → seat.
        gaps: job and plan → closed-form gaps that other tilts change.
        margin: job → how much room its mount leaves.
        room: level job and tilted job → how large a speaker may be there; raises InputError where none can be mounted.
        holes: job and the points of its panel → its holes there.
        lower: job → the same job where its own height is too low for a tilt; None where the plan seeks the height.
        settled: job and plan → the job with nothing of its seat's place left to be found; None for the job itself.
        tilts: whether the seat may be tilted.
    """

    seat: Callable[[P], SpeakerSeat]
    gaps: Callable[[S, P], Iterable[Gap]]
    margin: Callable[[S], Margin]
    room: Callable[[S, S], AvailableRoom]
    holes: Callable[[S, Sequence[str]], MountHoles]
    lower: Callable[[S], S] | None = None
    settled: Callable[[S, P], S] | None = None
    tilts: bool = True
