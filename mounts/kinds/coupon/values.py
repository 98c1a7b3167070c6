"""Plan of a coupon as values. Datum: it lies on the bed at z = 0, its X bar along x, its middle at the origin."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.design.lettering import Label
from mounts.findings.wall import Wall
from mounts.geometry.outline import Outline, Point
from mounts.identity import Ident, Role, called

STAR, PODIUM = called(Role.PIECE, "bars"), called(Role.PIECE, "block")


@dataclass(frozen=True, slots=True)
class StarBar:
    """One bar of the star: its key in the readings, its direction in degrees from x, its width."""

    key: str
    angle: float
    width: float


@dataclass(frozen=True, slots=True)
class CouponStep:
    """One hole, peg, rib or pocket.

    Attributes:
        name: of the feature, such as "fit 6.1".
        group: of readings: "holes", "fits", "pegs", "ribs" or "inserts".
        size: as it is drawn, mm: a diameter, or a rib's thickness.
        at: its middle.
        angle: of its bar, degrees from x.
    """

    name: str
    group: str
    size: float
    at: Point
    angle: float

    @property
    def ident(self) -> Ident:
        """Identity of its feature."""
        return called(Role.PIECE, self.name)

    @property
    def key(self) -> str:
        """Key of the step in the readings."""
        return f"{self.size:.1f}".removesuffix(".0") if self.group != "fits" else f"{self.size:.1f}"


@dataclass(frozen=True, slots=True)
class CouponPlan:
    """The star, or with `plug` its loose plug.

    Attributes:
        name: ASCII, for files and the STEP.
        bars: the four of them, each `length` over its ends.
        thick: of the bars.
        chamfer: of edges on the bed.
        outline: of the star, and as it stands on the bed, within the chamfer.
        steps: holes, pegs, ribs and pockets.
        block: that the insert pockets are in, and the height of its top.
        pocket: depth of the insert pockets from there.
        tall: height of pegs and ribs over the bars.
        labels: the figures beside them.
        plug: diameter of the loose plug.
        walls: with their limits.
        genus: through holes.
    """

    name: str
    bars: tuple[StarBar, ...]
    length: float
    thick: float
    chamfer: float
    outline: Outline
    foot: Outline
    steps: tuple[CouponStep, ...]
    block: tuple[Outline, float]
    pocket: float
    tall: tuple[float, float]
    labels: tuple[Label, ...]
    plug: float
    walls: tuple[Wall, ...]
    genus: int

    def group(self, name: str) -> tuple[CouponStep, ...]:
        """Return the steps of one group of readings."""
        return tuple(step for step in self.steps if step.group == name)
