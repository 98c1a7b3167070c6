"""The pose that was chosen for a speaker, which limits hold it there, and what giving way would buy."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.design.listening import Listener
from mounts.identity import Pair
from mounts.load.models.job import AimAngles

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Faced:
    """One listener that the speaker is turned to.

    Attributes:
        listener: whose ears, panel frame.
        weight: share among all that are faced, together 1.
        angle: between the speaker's axis and the line from the seat's centre to the ears, degrees.
        level: the same for a speaker that lies level over the opening's centre at the same height.
    """

    listener: Listener
    weight: float
    angle: float
    level: float


@dataclass(frozen=True, slots=True)
class Active:
    """A limit that the chosen pose just keeps.

    Attributes:
        code: of the finding that would tell of it, such as "clear.glass".
        between: the two things; what it is and the limit's own name where it is no clearance.
        gap: what is left, in `unit`.
        limit: what is wanted.
        spare: what is kept above that for the uncertainty of the reading.
        reading: path of the measurement it rests on, empty when it rests on none.
        unit: "mm" or "deg".
        gives: what one unit more of it would bring: degrees nearer to the listeners; mm of height where only the
            height is sought; mm less missed where nothing fits.
    """

    code: str
    between: Pair
    gap: float
    limit: float
    spare: float
    reading: str
    unit: str
    gives: float


@dataclass(frozen=True, slots=True)
class Choice:
    """A pose as plain values, and why it is no better.

    Attributes:
        aim, height, seat_offset, turn: of the seat.
        faced: none where only the height was sought.
        angle: that is made least: root of the weighted mean square of the angles to the listeners, degrees; None where
            only the height was sought.
        active: limits that hold it, the one that would bring most first; where nothing fits, those that it misses.
        misses: by how much the worst clearance is missed where nothing fits, mm; 0 where all are kept.
        sure: chance at which all clearances are kept with the measurements' uncertainty.
        quantile: standard deviations by which every limit that rests on a reading is enlarged for that.
    """

    aim: AimAngles
    height: float
    seat_offset: Point
    turn: float
    faced: tuple[Faced, ...]
    angle: float | None
    active: tuple[Active, ...]
    misses: float
    sure: float
    quantile: float
