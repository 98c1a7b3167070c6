"""Split of a ring as values: the laps at which its halves meet, decided once for both, in the panel frame.

Seen from outside, across a lap, from half a on the left to half b on the right:

             ____________  seat
        a   | b   :      |        b's tongue lies on a's: put together from the front, screwed from the front
     _______|_____:      |
    |       :_____|______|  level
    |       :     |   b  |
    |___a___:_____|______|  face
            <-long->
"""

from __future__ import annotations

from dataclasses import dataclass

from mounts.geometry.outline import Point


@dataclass(frozen=True, slots=True)
class LapScrew:
    """One screw of a lap, upright: from under the flange through b's tongue into a's.

    Attributes:
        name: number.
        at: its place.
        head, seat: diameter of the room for its head, and z of the face that the head bears on.
        clear: diameter of the hole in b's tongue.
        thread, bottom: diameter of the pocket in a's tongue, and z of its end.
        length: of the screw.
        engaged: thread that holds it.
        wall: least material that the fastener asks for.
        boss: diameter of the column round it, from the base to under the head, where the tower's wall leans in.
    """

    name: str
    at: Point
    head: float
    seat: float
    clear: float
    thread: float
    bottom: float
    length: float
    engaged: float
    wall: float
    boss: float


@dataclass(frozen=True, slots=True)
class Lap:
    """One lap: its direction from the centre, degrees counter-clockwise from +x, and its screws."""

    angle: float
    screws: tuple[LapScrew, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """A ring in two.

    Attributes:
        laps: half b follows the first counter-clockwise as far as the second, half a the second.
        level: z at which the tongues meet.
        long: from the end of one tongue to the end of the other, along the ring.
        gap: between the halves, on every face of a lap.
        genus: through holes of half a, of half b, and of the whole.
        turns: of half a and half b on the bed, degrees counter-clockwise.
        sizes: width and depth of either half, turned so.
    """

    laps: tuple[Lap, Lap]
    level: float
    long: float
    gap: float
    genus: tuple[int, int, int]
    turns: tuple[float, float]
    sizes: tuple[Point, Point]

    @property
    def screws(self) -> tuple[LapScrew, ...]:
        """Screws of both laps."""
        return (*self.laps[0].screws, *self.laps[1].screws)
