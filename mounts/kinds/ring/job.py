"""One ring to make, as load hands it on."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from mounts.load.models.job import PanelFixing, Sought, Spares, SpeakerFixing
from mounts.load.models.job_file import Gasket, Gaskets
from mounts.load.models.panel import Panel, SurveyedPanel
from mounts.load.models.speaker_job import SpeakerJob


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
