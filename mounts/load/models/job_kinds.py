"""Jobs as load hands them on: one frozen job a side, everything looked up, checked, and in that side's own hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from mounts.load.models.board_file import Device, Feet, Glue, Passage, Wrap
from mounts.load.models.cup_file import Retention, Staking
from mounts.load.models.job import AimAngles, Job, PanelFixing, Sought, Spares, SpeakerFixing
from mounts.load.models.job_file import Gasket, Gaskets, Wire
from mounts.load.models.outline import OutlineSpec
from mounts.load.models.panel import Panel, SurveyedPanel
from mounts.load.models.pins import PinPanel
from mounts.load.models.spacer_file import Fits, FitWords, Hold, Lip, Port
from mounts.load.models.speaker import Speaker
from mounts.load.models.surroundings import Nearby

CORNERS = 4  # of a board, with a foot at each where no places are given


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeakerJob(Job):
    """A mount that holds a speaker, for one side of the vehicle, every angle a clock direction on this side's panel.

    Attributes:
        panel: panel in this side's own hand, seen from the front.
        speaker: speaker as its file has it; it is never mirrored.
        fix_speaker: None when the speaker is held without screws.
        aim, turn, wire, seat_offset: for this side; a turn that was given as a number is mirrored with the side.
        sure: wanted chance that it goes on and clears, 0 to 1.
    """

    panel: Panel | PinPanel
    speaker: Speaker
    fix_speaker: SpeakerFixing | None
    aim: AimAngles
    turn: float | Literal["best"]
    wire: Wire | None
    seat_offset: tuple[float, float]
    sure: float

    @property
    def to_panel(self) -> PanelFixing | None:
        """Hardware and screws that fix it to the panel; None for a mount that no screws hold."""
        return None

    @property
    def base_gasket(self) -> Gasket | None:
        """The gasket between mount and panel."""
        return None

    def uncertainty(self, group: Literal["holes", "behind", "in_front", "ears"]) -> float:
        """Return one standard deviation of the panel's readings of a group, mm."""
        return self.limits.uncertainty(getattr(self.panel.read_with, group))


@dataclass(frozen=True, slots=True, kw_only=True)
class RingJob(SpeakerJob):
    """One ring to make.

    Attributes:
        make: "print", or "cut" from a sheet of thickness `sheet`.
        sought: what of aim and offset is to be found; None when both are given.
        height: mm of the seat's centre above the face, or "least", or "best": as near to the grille as there is room.
        proud: how far the front may stand out of the trim's opening, mm; None where that is taken as closed.
        in_two: whether it is made in two halves, "as needed", or the clock direction of one of their laps.
        fix_halves: what screws them together; None where the library has nothing for it.
        half: "a" or "b" for one of two halves, "" for a whole ring.
        spares: what else could be taken; no plan depends on it.
    """

    sheet: float | None
    panel: Panel
    fix_to_panel: PanelFixing
    sought: Sought | None = None
    height: float | Literal["least", "best"]
    gaskets: Gaskets
    collar: bool
    flush: bool
    proud: float | None = None
    in_two: bool | float | Literal["as needed"] = "as needed"
    fix_halves: SpeakerFixing | None = None
    half: Literal["", "a", "b"] = ""
    spares: Spares = field(default=Spares(), compare=False, repr=False)

    @property
    def part(self) -> str:
        """Name of its part: its side, and with a half as `left.a`."""
        return f"{self.side}.{self.half}" if self.half else self.side

    @property
    def to_panel(self) -> PanelFixing:
        """Its panel screws."""
        return self.fix_to_panel

    @property
    def base_gasket(self) -> Gasket | None:
        """The one in the groove of the back; None where there is none."""
        return self.gaskets.base

    @property
    def face_thickness(self) -> float:
        """Thickness of the panel's sheet round the opening, mm; where not measured, the one that the limits assume."""
        return self.panel.face.thickness or self.limits.sheet_unread

    def fixings_covariance(self) -> tuple[tuple[float, ...], ...]:
        """Return the covariance of the fixings' positions as read, (2n, 2n) mm², x and y of each in turn.

        Of surveyed fixings it is the survey's, in this side's hand; of others each coordinate has the instrument's.
        """
        if isinstance(self.panel, SurveyedPanel):
            return self.panel.survey.covariance(self.uncertainty("holes"), self.limits.level)
        of_one = self.uncertainty("holes") ** 2
        count = 2 * len(self.panel.fixings.points)
        return tuple(tuple(of_one if row == column else 0.0 for column in range(count)) for row in range(count))


@dataclass(frozen=True, slots=True, kw_only=True)
class CupJob(SpeakerJob):
    """One tweeter's cup to make.

    Attributes:
        height: mm of the seat's centre above the panel's rear face, negative behind it, or "best".
        retention: what holds the tweeter.
        staking: how the pins' heads are formed.
        back: "open", or "closed" with a vent of diameter `vent`.
    """

    panel: PinPanel
    height: float | Literal["best"]
    retention: Retention
    staking: Staking
    back: Literal["open", "closed"]
    vent: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpacerJob(Job):
    """One spacer to make, or one half of one; it belongs to no side of the vehicle.

    Attributes:
        side: "" for a whole sleeve, "a" and "b" for its halves.
        port: port with an opening and a depth.
        device: device with a body.
        at: the device's centre from the opening's.
        fit: how tight it sits on each face.
        hold: what holds it there; None where the plan decides.
        bump: whether a snap bump keeps it behind the panel.
        lip: None for none.
        stop: None where the plan decides.
        length: length of the sleeve behind the face; None where the plan decides.
        recess: depth of the device's front behind the spacer's.
        slit: None for a closed sleeve, "slit", or "halves".
        slit_at, slit_width: None where the plan decides.
        fits: what the fit words mean.
        replaces: what comes out of a printed part before the sleeve goes in; "" for a sleeve into a panel.
    """

    port: Port
    device: Port
    at: tuple[float, float]
    fit: FitWords
    hold: Hold
    bump: bool
    lip: Lip | None
    stop: bool | None
    length: float | None
    recess: float
    slit: Literal["slit", "halves"] | None
    slit_at: float | None
    slit_width: float | None
    fits: Fits
    replaces: str = ""

    @property
    def half(self) -> Literal["a", "b"] | None:
        """Half that it is, "a" or "b"; None for a whole sleeve."""
        return self.side if self.side in ("a", "b") else None


@dataclass(frozen=True, slots=True)
class PlacedDevice:
    """A device in its place on a board.

    Attributes:
        name: name that the job gives it.
        at: its body's centre on the board; `turn` degrees clockwise, seen from above.
        fix: what its screws hold in.
    """

    name: str
    device: Device
    at: tuple[float, float]
    turn: float
    fix: SpeakerFixing


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardJob(Job):
    """One board to make: a plate for devices, on feet that are glued to the floor lining.

    Attributes:
        thickness: thickness of the sheet or of the printed board.
        outline: outline of the finished board; None for the least round its devices, `margin` wide.
        passages: passages for cables, by name.
        edge: radius on their edges; None where the plan decides.
        fix_feet: what holds the feet under a board that is cut; None where they are printed with it.
        wrap: carpet round it; None for none.
        room: free height over the floor lining.
    """

    thickness: float
    outline: OutlineSpec | None
    margin: float
    devices: tuple[PlacedDevice, ...]
    passages: Mapping[str, Passage]
    edge: float | None
    feet: Feet
    fix_feet: SpeakerFixing | None
    glue: Glue
    wrap: Wrap | None
    room: float | None
    place: str | None
    nearby: tuple[Nearby, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FootJob(Job):
    """The printed foot of a board that is cut, in a material of its own."""

    board: BoardJob

    @property
    def pieces(self) -> int:
        """One foot for each place that is given; else one for each corner."""
        return CORNERS if self.board.feet.at is None else len(self.board.feet.at)
