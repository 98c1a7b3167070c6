"""Wall between two features of a part, and the finding that it becomes."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from mounts.findings.codes import BOUNDS
from mounts.findings.compare import SEARCHED, at_least
from mounts.findings.report import Finding
from mounts.geometry.frames import Vector
from mounts.identity import Pair
from mounts.lengths import Units

WORDS = {  # {0} and {1} are the two features
    "wall.base": "base thickness",
    "wall.floor": "floor under {0}",
    "wall.roof": "roof over {0}",
    "wall.tower": "tower wall",
    "wall.sleeve": "wall of the sleeve",
    "wall.stop": "material behind the stop",
    "wall.lip": "thickness of the lip",
    "wall.seat": "plate under head, {0}",
    "wall.plate": "thickness of the board",
    "wall.above-insert": "material above {0}",
    "wall.foot": "foot round its screw hole",
    "wall.cup": "cup's wall, {0} to {1}",
    "wall.hole-edge": "{0} to edge",
    "wall.step": "material between {0} and {1}",
    "seal.lip": "lip, gasket groove to opening",
    "seal.land": "gasket land to {1}",
    "seal.speaker-land": "speaker gasket's land inside its screws",
}
ACROSS = 2.1  # a diameter for each mm of wall: two, and a little for walls that lean
ADVICE = {  # {more} is what is missing, mm; {across} is that as a diameter
    "wall.screw-bore": "take an insert or pilot {across} narrower, or a bore {across} narrower by limits: {{bore: …}}",
    "wall.screw-outside": "take an insert or pilot {across} narrower",
    "wall.screw-path": "take another turn, or best, or a washer {across} narrower",
    "wall.nut-groove": "take another turn, or move the seat by {more} or more with seat_offset",
    "wall.nut-bore": "take a speaker with a smaller cutout, or inserts",
    "wall.nut-outside": "take another turn, or inserts",
    "wall.nut-path": "take another turn, or best, or a washer {across} narrower",
    "wall.relief-outside": "take another turn, or a speaker with terminals {more} shorter",
    "wall.relief-groove": "take another turn, more height, or a speaker with terminals {more} shorter",
    "wall.relief-path": "take another turn, or a washer {across} narrower",
    "wall.floor": "take {more} more height, or less tilt",
    "wall.lap-bore": "take something {across} narrower as fix_halves",
    "wall.lap-outside": "take something {across} narrower as fix_halves",
    "wall.lap-screws": "take something {more} narrower as fix_halves",
    "wall.lap-floor": "take {more} more height, or something shorter as fix_halves",
    "wall.path-bore": "take a washer and a head {across} narrower, or a speaker with a smaller cutout",
    "wall.path-collar": "take a washer and a head {across} narrower, or less tilt, or leave out collar and flush",
    "wall.recess-bore": "take hardware with a flange {across} narrower, or a speaker with a smaller cutout",
    "wall.groove-bore": "take {more} more height, or a thinner base gasket",
    "wall.tower": "take less tilt, or more height",
    "wall.sleeve": "take a device {across} narrower, or a closer fit; or a finer nozzle",
    "wall.stop": "give more depth, or fits: {{stop: …}} {more} more",
    "wall.lip": "take a lip {more} thicker",
    "wall.seat": "take a smaller head, as staking: {{ratio: 1.5}}, or a thicker plate",
    "wall.well": "take a tip {across} narrower, or move the seat by {more} with seat_offset, or tilt less",
    "wall.wells": "take a tip {more} narrower, or leave one of the two pins out",
    "wall.pin-hole": "take a larger tip, which widens the plate there",
    "wall.plate": "take a board {more} thicker",
    "wall.above-insert": "take a board {more} thicker, or a shorter insert",
    "wall.foot": "take a foot {across} wider and {more} higher, or a smaller screw",
    "wall.web": "move one of them by {more} or more",
    "wall.cup": "take limits: {{cup_wall: …}} {more} thicker, or less tilt",
    "wall.roof": "take a base {more} thicker, as limits: {{base: …}}, or hardware with a lower flange",
    "wall.base": "take a base {more} thicker, as limits: {{base: …}}",
    "seal.land": "take a base gasket {more} narrower, a smaller flange or washer, or gaskets: {{base: false}}",
    "seal.speaker-land": "take an insert or pilot {across} narrower, or a speaker with a smaller cutout",
}


@dataclass(frozen=True, slots=True)
class Wall:
    """Least material between two named features.

    Attributes:
        code: code of the finding that it becomes.
        between: the two features.
        thickness: mm, negative when they break into each other.
        limit: mm.
        source: source of the limit.
        at: where, in the panel frame.
        gives: mm that the first remedy can give at most.
    """

    code: str
    between: Pair
    thickness: float
    limit: float
    source: str
    at: Vector = (0.0, 0.0, 0.0)
    gives: float = inf

    @property
    def what(self) -> str:
        """Name of the wall in words."""
        return WORDS.get(self.code, "wall, {0} to {1}").format(*self.between)

    def advice(self, units: Units = Units.MM) -> str:
        """Return the remedy when it is too thin, in words."""
        text, missing = ADVICE.get(self.code, "{more} more is needed"), self.limit - self.thickness
        if missing > self.gives:
            text = f"take {text.split(', ', 1)[1]}"
        return text.format(more=units.at_least(missing), across=units.at_least(ACROSS * missing))

    @property
    def bound(self) -> bool:
        """True if the thickness is only a lower bound of the wall's."""
        return self.code in BOUNDS

    @property
    def is_enough(self) -> bool:
        """True if the thickness reaches its limit."""
        return self.thickness >= self.limit - SEARCHED

    def finding(self, units: Units = Units.MM) -> Finding:
        """Return the finding, with what to do about it when it is too thin."""
        return at_least(
            self.code,
            self.thickness,
            self.limit,
            self.what,
            margin=SEARCHED,
            at=self.at,
            between=self.between,
            source=self.source,
            advice=lambda: self.advice(units),
        )
