"""The sheets of a booklet as values: plain text and views, nothing of a page's format. No text here is markup."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import ceil
from typing import Literal

from mounts.design.drawing import Drawing
from mounts.geometry.frames import Vector
from mounts.lengths import Units

WRITE = "\x00"  # a cell of a table that is left free to be written in
TICK = "\x01"  # a cell with a box to tick
Style = Literal["title", "head", "body", "strong", "small"]


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph of plain text."""

    text: str
    style: Style = "body"


@dataclass(frozen=True, slots=True)
class VerdictBox:
    """Box at the head of a sheet: a word in a heavy frame, and what it means; `grave` is white on black."""

    word: str
    text: str
    grave: bool = False


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One thing to do, with a box to tick; `note` says why, or what to do when it does not come out."""

    text: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Steps:
    """Things to do in their order, numbered from `first`, a box for each of `boxes`."""

    title: str
    steps: tuple[WorkStep, ...]
    boxes: tuple[str, ...] = ("",)
    first: int = 1


def numbered(parts: Iterable[tuple[str, Iterable[WorkStep]]]) -> tuple[Steps, ...]:
    """Return the steps under their titles, numbered through."""
    found: list[Steps] = []
    for title, steps in parts:
        done = sum(len(one.steps) for one in found)
        found.append(Steps(title, tuple(steps), first=done + 1))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class ListItem:
    """One line of the hardware list.

    Attributes:
        count: how many, or for a strip its length in mm.
        what: name in the trade.
        size: what tells it from its neighbours in the drawer.
        use: what it is for.
        key: its name in the library, with a screw's length; of washers their sizes; empty for what is cut to length.
        strip: whether `count` is a length.
        units: in which a strip's length is written.
        holds: whether it holds one thing to another, as what goes on a cable does not.
    """

    count: float
    what: str
    size: str
    use: str
    key: str = ""
    strip: bool = False
    holds: bool = True
    units: Units = Units.MM

    @property
    def amount(self) -> str:
        """Quantity in words: a length of a strip, else a count."""
        return self.units.named(ceil(self.count / 10) * 10, 0) if self.strip else f"{round(self.count)}"


class Sign(StrEnum):
    """Property of the printer that a size off its value points to."""

    SCALE = "scale"
    OUTSIDE = "outside"
    HOLES = "holes"
    LAYER = "layer"


@dataclass(frozen=True, slots=True)
class Check:
    """One size to take.

    Attributes:
        what: the size.
        how: where the caliper's jaws go.
        value: what it should be, mm.
        least, most: what is still good, mm.
        ends: the two places between which it is taken, panel frame.
        sign: property of the printer that it points to when it is off; None for none by itself.
    """

    what: str
    how: str
    value: float
    least: float
    most: float
    ends: tuple[Vector, Vector]
    sign: Sign | None = None


@dataclass(frozen=True, slots=True)
class Record:
    """A part's share of the return sheet.

    Attributes:
        facts: what was mounted where, by heading.
        changed: what the vehicle is no longer as it came.
        out: how it comes out.
        left: what is left behind.
    """

    facts: tuple[tuple[str, str], ...]
    changed: tuple[str, ...]
    out: tuple[str, ...]
    left: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bullets:
    """Things to know, in no order."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TableBlock:
    """A table; cells are plain text, WRITE or TICK.

    Attributes:
        head: over the columns; empty for none.
        rows: rows of cells.
        shares: share of the width for each column.
        strong: columns in strong letters.
        small: in small letters, for what is looked up and not worked from.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]
    strong: tuple[int, ...] = ()
    small: bool = False


@dataclass(frozen=True, slots=True)
class ViewFigure:
    """A view, at the largest usual scale that fits into a height, mm."""

    view: Drawing
    height: float


@dataclass(frozen=True, slots=True)
class PictureBlock:
    """Pictures side by side, PNG, each with its words."""

    pictures: tuple[tuple[bytes, str], ...]


@dataclass(frozen=True, slots=True)
class WritingSpace:
    """Lines to write on, with what belongs there before the first."""

    label: str
    lines: int = 1


Block = Paragraph | VerdictBox | Steps | Bullets | TableBlock | ViewFigure | PictureBlock | WritingSpace


@dataclass(frozen=True, slots=True)
class PaperSheet:
    """Sheet under its own heading; short ones share a page.

    Attributes:
        title: heading.
        part: the job and side that it belongs to; empty for all.
        blocks: what stands on it.
        warning: warning beside its heading; empty for none.
        sides: that it is about, as the page's foot says them.
        alone: whether it is kept by itself, and so begins a page of its own.
    """

    title: str
    blocks: tuple[Block, ...]
    part: str = ""
    warning: str = ""
    sides: tuple[str, ...] = ()
    alone: bool = False


@dataclass(frozen=True, slots=True)
class Template:
    """A drawing at 1:1 on pages of its own, and the sides that it is for."""

    drawing: Drawing
    sides: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Booklet:
    """Everything that is printed for a job or a kit; `stamp` is the date and the file that it was made of."""

    title: str
    sheets: tuple[PaperSheet | Template, ...]
    stamp: str = ""
