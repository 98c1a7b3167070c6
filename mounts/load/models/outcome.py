"""Outcomes of fitted mounts, and the values that a workshop has learned from all of them."""

from typing import Annotated, Literal

from pydantic import Field

from mounts.load.models.base import Frozen, Length, Name, Number, Room, Size, Text

WENT = ("yes", "tight", "filed", "no")


class Tightest(Frozen):
    """The tightest hole of a mount."""

    hole: Name = Field(description="its letter")
    off: Room = Field(
        description="how far its screw stands from the hole's middle, the mount pushed as well as it goes"
    )


class Answers(Frozen):
    """Answers to the five questions on one fitted part; what was not looked at is left out."""

    went_on: Literal["yes", "tight", "filed", "no"] | None = Field(
        default=None, description="yes, tight (went on with force), filed (after filing), or no"
    )
    tightest: Tightest | None = Field(default=None, description="the tightest hole, also where all went in")
    gaps: dict[Name, Length] = Field(default={}, description="gaps as they are on the vehicle")
    sizes: dict[Name, Size] = Field(default={}, description="sizes of the print, as on its sheet")
    notes: Text = Field(default="", description="anything else to remember")


class AnswersFile(Frozen):
    """The file in which a person answers."""

    kind: Literal["outcome"]
    job: Name = Field(description="the job that was built")
    record: Text = Field(description="id of the record of the build that was fitted")
    by: Text = Field(default="", description="who looked")
    on: Text = Field(default="", description="date, as 2026-11-20")
    parts: dict[Name, Answers] = Field(description="answers by part: left, right, or part")


class SeenHole(Frozen):
    """The tightest hole against what was expected: its offset squared is `each` times the variance of a reading, plus
    `others`, mm², and is known like so many readings."""

    of: Literal["hole"]
    instrument: Name
    seen: Number
    each: Number
    others: Number
    worth: Number


class SeenGap(Frozen):
    """A gap as it is against as it was planned, mm."""

    of: Literal["gap"]
    what: Name
    instrument: Name
    planned: Number
    seen: Number


class SeenSize(Frozen):
    """A size of the print as it is against as it was drawn, mm, and the property of the printer that it shows."""

    of: Literal["size"]
    what: Name
    shows: Literal["scale", "holes", "outside"]
    drawn: Number
    seen: Number


Seen = Annotated[SeenHole | SeenGap | SeenSize, Field(discriminator="of")]


class Outcome(Frozen):
    """Outcome of one part of a mount, kept for good: what was answered beside what was expected."""

    kind: Literal["kept outcome"]
    job: Name
    part: Name
    record: Text
    by: Text = ""
    on: Text = ""
    went_on: Literal["yes", "tight", "filed", "no"] | None = None
    promised: Number | None = None
    printer: Name
    material: Name
    notes: Text = ""
    seen: tuple[Seen, ...] = ()


class LearnedInstrument(Frozen):
    """One standard deviation of an instrument's readings, mm, how well it is known, and from how many mounts."""

    sd: Room
    error: Room
    mounts: int


class LearnedPrinter(Frozen):
    """A printer in one material: shrink in per cent, growth of holes and error of a position in mm, each ± one sd."""

    shrink_pct: Number
    shrink_sd_pct: Number
    hole_growth: Number
    hole_growth_sd: Number
    error: Room
    mounts: int


class Learned(Frozen):
    """All that a workshop has learned; written by `mounts outcome` from its outcomes, read by every plan."""

    kind: Literal["learned"]
    mounts: int
    instruments: dict[Name, LearnedInstrument] = Field(default={})
    printers: dict[Name, dict[Name, LearnedPrinter]] = Field(default={})
