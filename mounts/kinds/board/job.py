"""One board to make, and its feet, as load hands them on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from mounts.kinds.board.file import Feet, Glue, Passage, Wrap
from mounts.load.models.device import Device
from mounts.load.models.job import Job, SpeakerFixing
from mounts.load.models.outline import OutlineSpec
from mounts.load.models.surroundings import Nearby

CORNERS = 4  # with a foot at each where no places are given


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
