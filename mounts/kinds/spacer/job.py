"""One spacer to make, as load hands it on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mounts.kinds.spacer.file import FitWords, Hold, Lip
from mounts.load.models.job import Job
from mounts.load.models.port import Fits, Port


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
