"""A dimensioned view laid out on paper: the real thing at a usual scale, words and arrows at the paper's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from mounts.design import figure
from mounts.design.figure import Figure, Ink, Item, Words, arrow, hatching
from mounts.design.view import Area, Callout, Line, Path, Pen, Size, Tag, Tone, View
from mounts.geometry.outline import Point
from mounts.write.ink import wide, wrapped
from mounts.write.lettering import CAP_HEIGHT

SCALES = (5.0, 2.0, 1.0, 1 / 1.5, 1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 10, 1 / 20)
_TEXT, _LEADING = 3.1, 1.28  # size of letters in mm, and of lines in letters
_ROW, _FIRST = 6.0, 4.0  # mm from row to row of sizes, and from the view to the first
_COLUMN, _NARROW = 45.0, 11.0  # mm of a margin with callouts, and with their letters alone
_LINE = _TEXT * _LEADING
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_HATCH = 1.8  # mm between the lines of what is cut
_PENS: dict[Pen, tuple[float, tuple[float, ...], Ink]] = {
    Pen.EDGE: (0.35, (), Ink.BLACK),
    Pen.THIN: (0.18, (), Ink.BLACK),
    Pen.AXIS: (0.18, (5, 1, 1, 1), Ink.BLACK),
    Pen.PHANTOM: (0.22, (2, 1), Ink.BLACK),
    Pen.BOLD: (0.6, (), Ink.BLACK),
}  # width in mm, dashes
_FILL = {Tone.PALE: Ink.MIST, Tone.DARK: Ink.SILVER, Tone.BLACK: Ink.BLACK}


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a view lies on the paper: mm of paper = corner + scale · (mm of the thing - the view's lower left)."""

    scale: float
    corner: Point
    low: Point

    def at(self, point: Point) -> Point:
        """A place of the thing on the paper."""
        u, v = (c + (p - o) * self.scale for c, p, o in zip(self.corner, point, self.low, strict=True))
        return (u, v)

    def along(self, path: Path) -> Path:
        """Places of the thing on the paper."""
        return tuple(self.at(point) for point in path)


def laid_view(view: View, width: float, height: float) -> tuple[Figure, str]:
    """A view as a figure of a size, mm, and its scale in words, such as "1 : 2"."""
    legend = list(_legend(view, width)) if view.keyed else []
    below = (max(len(column) for column in legend) * _LINE + 2.0) if legend else 0.0
    view = replace(view, callouts=tuple(_keyed(view.callouts))) if view.keyed else view
    height -= below
    callouts = _shared(view, height)
    place = _placed(view, callouts, width, height)
    items: list[Item] = []
    for item in chain(
        chain.from_iterable(_area(area, place) for area in view.areas),
        (_line(line, place) for line in view.lines),
        chain.from_iterable(_size(size, view, place) for size in view.sizes),
        (_tag(tag, place) for tag in view.tags),
        chain.from_iterable(
            _margin([one for one in callouts if one.side == side], place, (width, height), _column(view))
            for side in (-1, 1)
        ),
    ):
        items.append(item)
    scale = f"{place.scale:g} : 1" if place.scale >= 1 else f"1 : {1 / place.scale:g}"
    raised = tuple(_raised(item, below) for item in items) if below else tuple(items)
    return Figure(view.title, (width, height + below), (*raised, *_said(legend, width, below))), scale


def _keyed(callouts: Sequence[Callout]) -> Iterator[Callout]:
    for letter, one in zip(_LETTERS, callouts, strict=False):
        yield replace(one, text=letter)


def _legend(view: View, width: float) -> Iterator[list[tuple[str, str]]]:
    """The callouts' words in two columns of lines, each line with its letter or none."""
    lines = [
        [(letter if k == 0 else "", line) for k, line in enumerate(wrapped(one.text, _TEXT, width / 2 - 8.0))]
        for letter, one in zip(_LETTERS, view.callouts, strict=False)
    ]
    half = (len(lines) + 1) // 2
    for part in (lines[:half], lines[half:]):
        if part:
            yield [line for one in part for line in one]


def _said(legend: Sequence[list[tuple[str, str]]], width: float, high: float) -> Iterator[Item]:
    for column, lines in enumerate(legend):
        for k, (letter, line) in enumerate(lines):
            x, y = column * width / 2, high - 2.0 - _LINE * (k + 0.5)
            yield Words(letter, (x, y), _TEXT * CAP_HEIGHT)
            yield Words(line, (x + 5.0, y), _TEXT * CAP_HEIGHT)


def _raised(item: Item, by: float) -> Item:
    match item:
        case Words():
            return replace(item, at=(item.at[0], item.at[1] + by))
        case figure.Line():
            return replace(item, points=tuple((x, y + by) for x, y in item.points))
        case figure.Area():
            return replace(item, loops=tuple(tuple((x, y + by) for x, y in loop) for loop in item.loops))


def _shared(view: View, height: float) -> tuple[Callout, ...]:
    """The callouts with both margins used where one would overflow: those nearest to the middle change over."""
    middle = (view.box[0] + view.box[2]) / 2
    held = list(view.callouts)
    for one in sorted(view.callouts, key=lambda c: abs(c.at[0] - middle)):
        mine, others = (_tall([c for c in held if (c.side == one.side) is same]) for same in (True, False))
        if mine > height and others + _tall([one]) < height:
            held[held.index(one)] = Callout(one.at, one.text, 1 if one.side < 0 else -1)
    return tuple(held)


def _tall(callouts: Sequence[Callout]) -> float:
    return sum(len(_lines(one)) * _TEXT * _LEADING + 1.2 for one in callouts)


def _column(view: View) -> float:
    return _NARROW if view.keyed else _COLUMN


def _lines(callout: Callout) -> list[str]:
    return list(wrapped(callout.text, _TEXT, _COLUMN - 5.0))


def _placed(view: View, callouts: Sequence[Callout], width: float, height: float) -> _Place:
    """The largest usual scale at which the view and all that stands beside it fit."""
    u0, v0, u1, v1 = view.box
    rows = {way: [s.row for s in view.sizes if s.along == way] for way in ("u", "v")}
    left, right = (
        _FIRST
        + _ROW * max([0, *(side * row for row in rows["v"])])
        + _column(view) * any(c.side == side for c in callouts)
        for side in (-1, 1)
    )
    foot = _FIRST + _ROW * max([0, *(-row for row in rows["u"])])
    head = (
        _FIRST
        + _ROW * max([0, *rows["u"]])
        + max((tag.away[1] for tag in view.tags if tag.away[0] == 0.0), default=0.0)
    )
    most = min((width - left - right) / (u1 - u0), (height - foot - head) / (v1 - v0))
    scale = next((one for one in SCALES if one <= most + 1e-9), most)
    across, up = (u1 - u0) * scale, (v1 - v0) * scale
    x = left + (width - left - right - across) / 2
    return _Place(scale, (x, foot + (height - foot - head - up) / 2), (u0, v0))


def _area(area: Area, place: _Place) -> Iterator[Item]:
    loops = tuple(place.along(loop) for loop in area.loops)
    if area.tone in _FILL:
        yield figure.Area(loops, _FILL[area.tone])
    elif area.tone is Tone.HATCH:
        yield figure.Area(loops, Ink.PAPER)
        yield from hatching(loops, 45.0, _HATCH, 0.15)
    weight = 0.35 if area.tone is Tone.HATCH else 0.22
    yield from (figure.Line(figure.closed(loop), Ink.BLACK, weight) for loop in loops)


def _line(line: Line, place: _Place) -> Item:
    weight, dash, ink = _PENS[line.pen]
    return figure.Line(place.along(line.path), ink, weight, dash)


def _size(size: Size, view: View, place: _Place) -> Iterator[Item]:
    """Extension lines, the dimension line with its arrows, and the figure on it."""
    (x0, y0), (x1, y1) = place.at((view.box[0], view.box[1])), place.at((view.box[2], view.box[3]))
    out = _FIRST + _ROW * (abs(size.row) - 1)
    upright = size.along == "v"
    low, high = (x0, x1) if upright else (y0, y1)
    level = high + out if size.row > 0 else low - out
    ends = sorted((place.at(size.one), place.at(size.other)), key=lambda p: p[1 if upright else 0])

    def put(along: float, across: float) -> Point:
        return (across, along) if upright else (along, across)

    for point in ends:
        along, across = (point[1], point[0]) if upright else point
        past = level + (1.2 if level > across else -1.2)
        yield figure.Line((put(along, across), put(along, past)), Ink.BLACK, 0.13)
    first, last = (end[1 if upright else 0] for end in ends)
    need = wide(size.text, _TEXT)
    inside = last - first > need + 5.0
    more = 0.0 if inside else 5.0
    yield figure.Line((put(first - more, level), put(last + more, level)), Ink.BLACK, 0.18)
    turn = 90.0 if upright else 0.0
    yield arrow(put(first, level), turn + (180.0 if inside else 0.0), 2.4)
    yield arrow(put(last, level), turn + (0.0 if inside else 180.0), 2.4)
    middle = (first + last) / 2 if inside else last + 6.0 + need / 2
    yield Words(size.text, put(middle, level), _TEXT * CAP_HEIGHT, "middle", turn=turn, on_paper=True)


def _tag(tag: Tag, place: _Place) -> Item:
    x, y = place.at(tag.at)
    at = (x + tag.away[0], y + tag.away[1])
    return Words(tag.text, at, (_TEXT + 0.9) * CAP_HEIGHT, "middle", on_paper=True)


def _margin(callouts: Sequence[Callout], place: _Place, page: Point, column: float) -> Iterator[Item]:
    """One margin's words, from the top down in the order of their places, pushed apart where they would overlap."""
    held = sorted(callouts, key=lambda c: -c.at[1])
    wanted, tall = [place.at(c.at)[1] for c in held], [_tall([c]) for c in held]
    for one, top in zip(held, _tops(wanted, tall, page[1]), strict=True):
        left, lines = one.side < 0, _lines(one)
        for k, line in enumerate(lines):
            at = (0.0 if left else page[0] - column + 5.0, top - _TEXT * (0.55 + _LEADING * k))
            yield Words(line, at, _TEXT * CAP_HEIGHT)
        longest = max(wide(line, _TEXT) for line in lines)
        x, way = (longest + 1.0, 2.0) if left else (page[0] - column + 4.0, -2.0)
        y, end = top - _TEXT * 0.55, place.at(one.at)
        yield figure.Line(((x, y), (x + way, y), end), Ink.BLACK, 0.15)
        yield figure.Area((_dot(end),), Ink.BLACK)


def _dot(at: Point) -> Path:
    x, y, r = *at, 0.5
    half = r * 0.7071
    ring = ((r, 0.0), (half, half), (0.0, r), (-half, half), (-r, 0.0), (-half, -half), (0.0, -r), (half, -half))
    return tuple((x + dx, y + dy) for dx, dy in ring)


def _tops(wanted: Sequence[float], tall: Sequence[float], most: float) -> Iterator[float]:
    """Upper edges of texts, each as near to its place as those above and below it leave."""
    floor = [sum(tall[k:]) for k in range(len(tall))]  # room that it and those below it need
    under = most
    for y, high, need in zip(wanted, tall, floor, strict=True):
        top = max(min(y + _TEXT * 0.55, under), min(need, under))
        yield top
        under = top - high
