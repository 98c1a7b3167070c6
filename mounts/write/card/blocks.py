"""Boxes to write into: runs of them under the key that they belong to, flowed into lines. All lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from mounts.load.editing.readings import Box, Reading
from mounts.write.typesetting import FACE, STRONG, text_width

NARROW, APART = 14.6, 0.9  # width of a narrow box, gap between boxes
WHAT, LABEL, WORD, KEY = 4.0, 3.0, 3.2, 2.85  # letters of what is measured, in a box, of choices, of keys beneath
SHORT = 4  # boxes that a line of a list has fewer than to stand beside the next
HEAD, FOOT = 5.2, 3.7  # from a line's top to its boxes, and from these to the foot of their keys
TICK = 3.4  # side of the square to tick
WORDS = {  # what is measured, where its key does not say it
    "behind: glass: at_clock:": "window glass behind the face",
    "behind: things:": "things behind: one a line",
    "cutout:": "cutout",
    "ears: other_seat:": "ear, other seat",
    "ears: this_seat:": "ear, this seat",
    "face:": "sheet",
    "face: bead:": "raised ring",
    "fixings:": "holes",
    "fixings: at:": "holes from the opening's centre",
    "fixings: bolt_circle:": "holes on a circle",
    "fixings: distances:": "or by distances",
    "fixings: distances: readings:": "hole to hole",
    "fixings: distances: to_opening:": "hole to opening",
    "fixings: heights:": "face higher at",
    "grille: at:": "its centre",
    "holes: bolt_circle:": "screw holes",
    "in_front: grille: at_clock:": "grille above the face",
    "in_front: trim: at:": "its centre",
    "in_front: trim: at_clock:": "trim above the face",
    "in_front: trim: goes_on:": "how it goes on",
    "in_front: trim: opening:": "trim's opening",
    "in_front: trim: opening: oblong:": "or oblong",
    "mass:": "weight",
    "nearby:": "near it",
    "opening: oblong:": "or oblong",
    **{f"pins: {name}:": f"pin {name}" for name in "ABCD"},
    "opening: rectangle:": "or rectangle",
    "original:": "old speaker",
    "piston:": "moving cone",
    "room:": "free depth behind",
    "standing:": "ribs and stops: one a line",
}


@dataclass(frozen=True, slots=True)
class BoxBlock:
    """A run of boxes under one key; a run that goes on has no key."""

    key: str
    boxes: tuple[Box, ...]

    @property
    def width(self) -> float:
        """Width of all its boxes, or of its key if that is longer, mm."""
        boxes = sum(width_of(box) + APART for box in self.boxes) - APART
        return max(boxes, text_width(self.what, WHAT, STRONG), text_width(self.key, KEY)) + 1.0

    @property
    def what(self) -> str:
        """Name of the reading, in words."""
        return WORDS.get(self.key) or self.key.replace(":", "").replace("_", " ")


Line = tuple[BoxBlock, ...]


def width_of(box: Box) -> float:
    """Return the width of one box."""
    if box.choices:
        return sum(TICK + text_width(choice, WORD) + 3.0 for choice in box.choices) + 1.0
    return max(box.width * NARROW + (box.width - 1) * APART, text_width(box.label, LABEL) + 1.6)


def lines_of(readings: Iterable[Reading], width: float) -> list[Line]:
    """Return the readings' boxes in lines no wider than `width`, in their order."""
    lines: list[list[BoxBlock]] = [[]]
    for reading in readings:
        for k, boxes in enumerate(reading.lines):
            key = key_of(reading.trail[:-1] if _is_alone(reading) else reading.trail)
            if _is_alone(reading) and lines[-1] and lines[-1][-1].key == key and _joins(lines[-1], boxes, width):
                lines[-1][-1] = BoxBlock(key, (*lines[-1][-1].boxes, *boxes))
                continue
            for block in _pieces(key if k == 0 else "", boxes, width):
                used = sum(one.width + 2 * APART for one in lines[-1])
                beside = len(boxes) < SHORT or not reading.is_list  # longer lines of a list stand under each other
                if lines[-1] and (used + block.width > width or not beside):
                    lines.append([])
                lines[-1].append(block)
    return [tuple(line) for line in lines if line]


def key_of(trail: Sequence[str]) -> str:
    """Return a key as the file shows it: `ears: this_seat:`."""
    return " ".join(f"{part}:" for part in trail)


def _is_alone(reading: Reading) -> bool:
    """Return whether a reading is one value under a key of others, so that its neighbours can share that key."""
    first = reading.lines[0][0]
    plain = first.label.split()[0] == reading.trail[-1] and not first.choices
    return len(reading.trail) > 1 and len(reading.lines[0]) == 1 and plain


def _joins(line: Sequence[BoxBlock], boxes: Sequence[Box], width: float) -> bool:
    used = sum(one.width + 2 * APART for one in line)
    return used + sum(width_of(box) + APART for box in boxes) <= width


def _pieces(key: str, boxes: Sequence[Box], width: float) -> Iterator[BoxBlock]:
    """Yield a run in pieces that fit a line, parted only where a name ends."""
    held: list[Box] = []
    names = [tuple(group) for _, group in groupby(boxes, key=lambda box: box.trail[:-1])]
    for group in names:
        if held and BoxBlock("", (*held, *group)).width > width:
            yield BoxBlock(key, tuple(held))
            key, held = "", []
        held += group
    yield BoxBlock(key, tuple(held))


def height_of(line: Line, box: float) -> float:
    """Return the height that a line takes with boxes of a height."""
    return box + APART + (HEAD + FOOT if any(block.key for block in line) else 0.0)


def draw_line(canvas: Any, line: Line, at: tuple[float, float], box: float) -> None:
    """Draw a line of boxes with its upper left corner at a place."""
    x, top = at
    head = HEAD if any(block.key for block in line) else 0.0
    for block in line:
        canvas.setFillGray(0)
        canvas.setFont(STRONG, WHAT)
        canvas.drawString(x, top - 3.9, block.what)
        canvas.setFont(FACE, KEY)
        canvas.drawString(x, top - head - box - 2.9, block.key)
        left = x
        for one in block.boxes:
            told = block.key.endswith(f"{one.label}:") and len(block.boxes) == 1
            _box(canvas, one, (left, top - head - box), box, label="" if told else one.label)
            left += width_of(one) + APART
        x += block.width + 2 * APART


def _box(canvas: Any, box: Box, at: tuple[float, float], height: float, label: str) -> None:
    (x, y), width = at, width_of(box)
    canvas.setLineWidth(0.3)
    canvas.setStrokeGray(0)
    canvas.rect(x, y, width, height)
    canvas.setFillGray(0)
    if label:
        canvas.setFont(FACE, LABEL)
        canvas.drawString(x + 0.7, y + height - 3.0, label)
    if box.choices:
        _ticks(canvas, box, (x, y), height - (2.8 if label else 0.0))


def _ticks(canvas: Any, box: Box, at: tuple[float, float], height: float) -> None:
    x, y = at[0] + 1.2, at[1] + (height - TICK) / 2
    canvas.setFont(FACE, WORD)
    canvas.setFillGray(0)
    for choice in box.choices:
        canvas.rect(x, y, TICK, TICK)
        canvas.drawString(x + TICK + 0.8, y + 0.6, choice)
        x += TICK + text_width(choice, WORD) + 3.0
