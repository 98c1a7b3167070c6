"""A dimensioned view laid out on paper: the real thing at a usual scale, text and arrows at the paper's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from mounts.design.drawing import (
    Area,
    Callout,
    Dimension,
    Drawing,
    DrawnText,
    Item,
    Pen,
    PenLine,
    Primitive,
    Tag,
    ViewPlacement,
    arrow,
    dot,
)
from mounts.geometry.outline import Box, Point
from mounts.write.text_shaping import CAP_HEIGHT
from mounts.write.typesetting import text_width, wrap_text

SCALES = (5.0, 2.0, 1.0, 1 / 1.5, 1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 10, 1 / 20)
_TEXT, _LEADING = 3.1, 1.28  # size of letters in mm, and of lines in letters
_CAP = _TEXT * CAP_HEIGHT
_ROW, _FIRST = 6.0, 4.0  # mm from row to row of sizes, and from the view to the first
_COLUMN, _NARROW = 45.0, 11.0  # mm of a margin with callouts, and with their letters alone
_LINE = _TEXT * _LEADING
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def lay_out(view: Drawing, width: float, height: float) -> tuple[Drawing, str]:
    """Return a view as a drawing on paper of a size, mm, and its scale in words, such as "1 : 2"."""
    callouts = [item for item in view.items if isinstance(item, Callout)]
    column, legend, below = _COLUMN, list[DrawnText](), 0.0
    if view.is_keyed and callouts:
        legend, below = _legend(callouts, width)
        callouts = [replace(one, text=letter) for letter, one in zip(_LETTERS, callouts, strict=False)]
        column = _NARROW
    page = (0.0, below, width, height)
    callouts = _share_margins(callouts, (view.box[0] + view.box[2]) / 2, height - below)
    place = _place(view, callouts, page, column)
    items = [found for item in view.items for found in _at_scale(item, view.box, place)]
    for side in (-1, 1):
        items += _margin([one for one in callouts if one.side == side], place, page, column)
    scale = f"{place.scale:g} : 1" if place.scale >= 1 else f"1 : {1 / place.scale:g}"
    return Drawing(view.title, (*items, *legend), box=(0.0, 0.0, width, height)), scale


def _at_scale(item: Item, box: Box, place: ViewPlacement) -> Iterator[Primitive]:
    match item:
        case Area():
            yield replace(item, loops=tuple(place.along(loop) for loop in item.loops))
        case PenLine():
            yield replace(item, points=place.along(item.points))
        case Dimension():
            yield from _dimension(item, (*place.at(box[:2]), *place.at(box[2:])), place)
        case Tag():
            x, y = place.at(item.at)
            at = (x + item.away[0], y + item.away[1])
            yield DrawnText(item.text, at, (_TEXT + 0.9) * CAP_HEIGHT, "middle", on_paper=True)


def _legend(callouts: Sequence[Callout], width: float) -> tuple[list[DrawnText], float]:
    """Return the callouts' words in two columns at the foot of the paper, each with its letter, and their height."""
    lines = [
        [(letter if k == 0 else "", line) for k, line in enumerate(wrap_text(one.text, _TEXT, width / 2 - 8.0))]
        for letter, one in zip(_LETTERS, callouts, strict=False)
    ]
    half = (len(lines) + 1) // 2
    columns = [[line for one in part for line in one] for part in (lines[:half], lines[half:])]
    height, texts = max(map(len, columns)) * _LINE + 2.0, list[DrawnText]()
    for number, column in enumerate(columns):
        for k, (letter, line) in enumerate(column):
            x, y = number * width / 2, height - 2.0 - _LINE * (k + 0.5)
            texts += [DrawnText(letter, (x, y), _CAP), DrawnText(line, (x + 5.0, y), _CAP)]
    return texts, height


def _share_margins(callouts: Sequence[Callout], middle: float, height: float) -> list[Callout]:
    """Return the callouts with both margins used where one would overflow: those nearest the middle change over."""
    held = list(callouts)
    for one in sorted(callouts, key=lambda c: abs(c.at[0] - middle)):
        mine, others = (_tall([c for c in held if (c.side == one.side) is same]) for same in (True, False))
        if mine > height and others + _tall([one]) < height:
            held[held.index(one)] = replace(one, side=1 if one.side < 0 else -1)
    return held


def _tall(callouts: Sequence[Callout]) -> float:
    return sum(len(_lines(one)) * _LINE + 1.2 for one in callouts)


def _lines(callout: Callout) -> list[str]:
    return list(wrap_text(callout.text, _TEXT, _COLUMN - 5.0))


def _place(view: Drawing, callouts: Sequence[Callout], page: Box, column: float) -> ViewPlacement:
    """Return the largest usual scale at which the view and all that stands beside it fit, and where that is."""
    (u0, v0, u1, v1), (width, height) = view.box, (page[2] - page[0], page[3] - page[1])
    sizes = [item for item in view.items if isinstance(item, Dimension)]
    rows = {way: [size.row for size in sizes if size.along == way] for way in ("u", "v")}
    left, right = (
        _FIRST + _ROW * max([0, *(side * row for row in rows["v"])]) + column * any(c.side == side for c in callouts)
        for side in (-1, 1)
    )
    foot = _FIRST + _ROW * max([0, *(-row for row in rows["u"])])
    tags = [item.away[1] for item in view.items if isinstance(item, Tag) and item.away[0] == 0.0]
    head = _FIRST + _ROW * max([0, *rows["u"]]) + max(tags, default=0.0)
    most = min((width - left - right) / (u1 - u0), (height - foot - head) / (v1 - v0))
    scale = next((one for one in SCALES if one <= most + 1e-9), most)
    across, up = (u1 - u0) * scale, (v1 - v0) * scale
    corner = (left + (width - left - right - across) / 2, page[1] + foot + (height - foot - head - up) / 2)
    return ViewPlacement(scale, corner, (u0, v0))


def _dimension(size: Dimension, box: Box, place: ViewPlacement) -> Iterator[Primitive]:
    """Yield extension lines, the dimension line with its arrows, and the number on it; `box` is the view's on paper."""
    out = _FIRST + _ROW * (abs(size.row) - 1)
    upright = size.along == "v"
    low, high = (box[0], box[2]) if upright else (box[1], box[3])
    level = high + out if size.row > 0 else low - out
    ends = sorted((place.at(size.one), place.at(size.other)), key=lambda p: p[1 if upright else 0])

    def put(along: float, across: float) -> Point:
        return (across, along) if upright else (along, across)

    for point in ends:
        along, across = (point[1], point[0]) if upright else point
        past = level + (1.2 if level > across else -1.2)
        yield PenLine((put(along, across), put(along, past)), Pen(0.13))
    first, last = (end[1 if upright else 0] for end in ends)
    need = text_width(size.text, _TEXT)
    inside = last - first > need + 5.0
    more = 0.0 if inside else 5.0
    yield PenLine((put(first - more, level), put(last + more, level)))
    turn = 90.0 if upright else 0.0
    yield arrow(put(first, level), turn + (180.0 if inside else 0.0), 2.4)
    yield arrow(put(last, level), turn + (0.0 if inside else 180.0), 2.4)
    middle = (first + last) / 2 if inside else last + 6.0 + need / 2
    yield DrawnText(size.text, put(middle, level), _CAP, "middle", turn=turn, on_paper=True)


def _margin(callouts: Sequence[Callout], place: ViewPlacement, page: Box, column: float) -> Iterator[Primitive]:
    """Yield one margin's texts, from the top down in the order of their places, pushed apart where they overlap."""
    held = sorted(callouts, key=lambda c: -c.at[1])
    wanted, tall = [place.at(c.at)[1] - page[1] for c in held], [_tall([c]) for c in held]
    for one, top in zip(held, _tops(wanted, tall, page[3] - page[1]), strict=True):
        is_left, lines, y = one.side < 0, _lines(one), page[1] + top - _TEXT * 0.55
        for k, line in enumerate(lines):
            yield DrawnText(line, (0.0 if is_left else page[2] - column + 5.0, y - _LINE * k), _CAP)
        longest = max(text_width(line, _TEXT) for line in lines)
        x, way = (longest + 1.0, 2.0) if is_left else (page[2] - column + 4.0, -2.0)
        end = place.at(one.at)
        yield PenLine(((x, y), (x + way, y), end), Pen(0.15))
        yield dot(end)


def _tops(wanted: Sequence[float], tall: Sequence[float], most: float) -> Iterator[float]:
    """Yield the upper edges of texts, each as near to its place as those above and below it leave."""
    floor = [sum(tall[k:]) for k in range(len(tall))]  # room that it and those below it need
    under = most
    for y, high, need in zip(wanted, tall, floor, strict=True):
        top = max(min(y + _TEXT * 0.55, under), min(need, under))
        yield top
        under = top - high
