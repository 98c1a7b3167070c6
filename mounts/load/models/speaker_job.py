"""A mount for a speaker as load hands it on: frozen, one a side, everything looked up and in that side's own hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mounts.load.models.job import AimAngles, Job, PanelFixing, SpeakerFixing
from mounts.load.models.job_file import Gasket, Wire
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker


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
