"""One cup to make, as load hands it on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mounts.kinds.cup.file import Retention, Staking
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker_job import SpeakerJob


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
