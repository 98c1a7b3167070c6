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
_COLUMNS = (45.0, 38.0, 32.0)  # mm of a margin with callouts; a narrower one where the view gets larger by it
_LINE = _TEXT * _LEADING
_INSIDE, _BEYOND = (
    5.0,
    6.0,
)  # mm that arrows take beside a figure inside its size, and how far beyond it one stands outside
_TAG = _TEXT + 0.9  # letters of a tag, mm
_PLACES = (0.5, 0.3, 0.7, 0.18, 0.82)  # along a size's line, where its figure may stand, the best first

Segment = tuple[Point, Point]


def lay_out(view: Drawing, width: float, most: float) -> tuple[Drawing, str]:
    """Return a view as a drawing on paper, and its scale in words, such as "1 : 2".

    Args:
        view: the view.
        width: of the paper, mm.
        most: height of the paper, mm; the drawing's own is in its box.
    """
    callouts = [item for item in view.items if isinstance(item, Callout)]
    middle, ways = (view.box[0] + view.box[2]) / 2, []
    for column in _COLUMNS:
        shared = _share_margins(callouts, middle, most, column)
        ways.append((_scale(view, shared, (width, most), column), column, shared))
    scale, column, shared = max(ways, key=lambda way: (way[0], way[1]))
    left, right, foot, head = _edges(view, shared, column)
    across, up = ((b - a) * scale for a, b in zip(view.box[:2], view.box[2:], strict=True))
    head = max(head, _over(view, scale) - up)
    tallest = max(_tall([one for one in shared if one.side == side], column) for side in (-1, 1))
    height = min(most, max(foot + up + head, tallest))
    corner = (left + (width - left - right - across) / 2, foot + (height - foot - head - up) / 2)
    place, page = ViewPlacement(scale, corner, (view.box[0], view.box[1])), (0.0, 0.0, width, height)
    texts, leaders = _margins(shared, place, page, column)
    tags = [_tag(item, place) for item in view.items if isinstance(item, Tag)]
    busy = [*leaders, *(side for tag in tags for side in _around(tag))]
    shown = [found for item in view.items for found in _at_scale(item, place)]
    lines = [PenLine(ends, Pen(0.15)) for ends in leaders]
    box = (*place.at(view.box[:2]), *place.at(view.box[2:]))
    sizes = [
        found
        for item in view.items
        if isinstance(item, Dimension)
        for found in _dimension(item, box, place, busy, page)
    ]
    ends = [dot(place.at(one.at)) for one in shared]
    words = f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"
    return Drawing(view.title, (*shown, *lines, *sizes, *tags, *ends, *texts), box=page), words


def _at_scale(item: Item, place: ViewPlacement) -> Iterator[Primitive]:
    match item:
        case Area():
            yield replace(item, loops=tuple(place.along(loop) for loop in item.loops))
        case PenLine():
            yield replace(item, points=place.along(item.points))


def _tag(tag: Tag, place: ViewPlacement) -> DrawnText:
    x, y = place.at(tag.at)
    return DrawnText(tag.text, (x + tag.away[0], y + tag.away[1]), _TAG * CAP_HEIGHT, "middle", on_paper=True)


def _around(tag: DrawnText) -> Iterator[Segment]:
    """Yield the diagonals of a tag's box, which a figure must not meet."""
    (x, y), half, high = tag.at, text_width(tag.text, _TAG) / 2 + 0.5, _TAG / 2
    yield (x - half, y - high), (x + half, y + high)
    yield (x - half, y + high), (x + half, y - high)


def _share_margins(callouts: Sequence[Callout], middle: float, height: float, column: float) -> list[Callout]:
    """Return the callouts with both margins used where one would overflow: those nearest the middle change over."""
    held = list(callouts)
    for one in sorted(callouts, key=lambda c: abs(c.at[0] - middle)):
        mine, others = (_tall([c for c in held if (c.side == one.side) is same], column) for same in (True, False))
        if mine > height and others + _tall([one], column) < height:
            held[held.index(one)] = replace(one, side=1 if one.side < 0 else -1)
    return held


def _tall(callouts: Sequence[Callout], column: float) -> float:
    return sum(len(_lines(one, column)) * _LINE + 1.2 for one in callouts)


def _lines(callout: Callout, column: float) -> list[str]:
    return list(wrap_text(callout.text, _TEXT, column - 5.0))


def _edges(view: Drawing, callouts: Sequence[Callout], column: float) -> tuple[float, float, float, float]:
    """Return what stands at the left, at the right, below and above the view, mm."""
    sizes = [item for item in view.items if isinstance(item, Dimension)]
    rows = {way: [size.row for size in sizes if size.along == way] for way in ("u", "v")}
    left, right = (
        _FIRST + _ROW * max([0, *(side * row for row in rows["v"])]) + column * any(c.side == side for c in callouts)
        for side in (-1, 1)
    )
    foot = _FIRST + _ROW * max([0, *(-row for row in rows["u"])])
    tags = [item.away[1] for item in view.items if isinstance(item, Tag) and item.away[0] == 0.0]
    return left, right, foot, _FIRST + _ROW * max([0, *rows["u"]]) + max(tags, default=0.0)


def _over(view: Drawing, scale: float) -> float:
    """Return how far above the view's foot the figures of short upright sizes reach, which stand beyond their lines."""
    reaches = [0.0]
    for item in view.items:
        if isinstance(item, Dimension) and item.along == "v":
            low, high = sorted((item.one[1], item.other[1]))
            need = text_width(item.text, _TEXT)
            if (high - low) * scale <= need + _INSIDE:
                reaches.append((high - view.box[1]) * scale + _BEYOND + need + 1.0)
    return max(reaches)


def _scale(view: Drawing, callouts: Sequence[Callout], room: tuple[float, float], column: float) -> float:
    """Return the largest usual scale at which the view and all that stands beside it fit."""
    left, right, foot, head = _edges(view, callouts, column)
    (u0, v0, u1, v1), (width, height) = view.box, room
    most = min((width - left - right) / (u1 - u0), (height - foot - head) / (v1 - v0))
    return next((one for one in SCALES if one <= most + 1e-9), most)


def _dimension(
    size: Dimension, box: Box, place: ViewPlacement, busy: Sequence[Segment], page: Box
) -> Iterator[Primitive]:
    """Yield extension lines, the dimension line with its arrows, and the number on it, where no leader runs.

    Args:
        size: the dimension.
        box: the view's on paper.
        place: the view's placement.
        busy: leaders and tags.
        page: the paper.
    """
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
    inside = last - first > need + _INSIDE
    more = 0.0 if inside else 5.0
    yield PenLine((put(first - more, level), put(last + more, level)))
    turn = 90.0 if upright else 0.0
    yield arrow(put(first, level), turn + (180.0 if inside else 0.0), 2.4)
    yield arrow(put(last, level), turn + (0.0 if inside else 180.0), 2.4)
    tried = (
        [first + (last - first) * part for part in _PLACES]
        if inside
        else [last + _BEYOND + need / 2, first - _BEYOND - need / 2]
    )
    tried = [at for at in tried if not inside or min(at - first, last - at) > need / 2 + 2.4] or tried[:1]
    half = need / 2 + 0.6

    def free(at: float) -> bool:
        corners = put(at - half, level - _TEXT / 2), put(at + half, level + _TEXT / 2)
        on_page = all(page[0] <= x <= page[2] and page[1] <= y <= page[3] for x, y in corners)
        return on_page and not any(_meets(one, corners) for one in busy)

    middle = next(filter(free, tried), tried[0])
    yield DrawnText(size.text, put(middle, level), _CAP, "middle", turn=turn, on_paper=True)


def _meets(line: Segment, corners: tuple[Point, Point]) -> bool:
    """Return whether a line enters an upright box, by clipping it (Liang and Barsky)."""
    (x0, y0), (x1, y1) = line
    low, high = 0.0, 1.0
    for start, way, one, other in (
        (x0, x1 - x0, corners[0][0], corners[1][0]),
        (y0, y1 - y0, corners[0][1], corners[1][1]),
    ):
        least, most = min(one, other), max(one, other)
        if abs(way) < 1e-9:
            if not least < start < most:
                return False
            continue
        near, far = sorted(((least - start) / way, (most - start) / way))
        low, high = max(low, near), min(high, far)
    return low < high


def _margins(
    callouts: Sequence[Callout], place: ViewPlacement, page: Box, column: float
) -> tuple[list[DrawnText], list[Segment]]:
    """Return both margins' texts, from the top down in the order of their places, and the lines from them."""
    texts, leaders = list[DrawnText](), list[Segment]()
    for side in (-1, 1):
        held = sorted((one for one in callouts if one.side == side), key=lambda c: -c.at[1])
        wanted, tall = [place.at(c.at)[1] for c in held], [_tall([c], column) for c in held]
        for one, top in zip(held, _tops(wanted, tall, page[3]), strict=True):
            lines, y = _lines(one, column), top - _TEXT * 0.55
            left = 0.0 if side < 0 else page[2] - column + 5.0
            texts += [DrawnText(line, (left, y - _LINE * k), _CAP) for k, line in enumerate(lines)]
            x = max(text_width(line, _TEXT) for line in lines) + 1.0 if side < 0 else left - 1.0
            bend = (x - 2.0 * side, y)
            leaders += [((x, y), bend), (bend, place.at(one.at))]
    return texts, leaders


def _tops(wanted: Sequence[float], tall: Sequence[float], most: float) -> Iterator[float]:
    """Yield the upper edges of texts, each as near to its place as those above and below it leave."""
    floor = [sum(tall[k:]) for k in range(len(tall))]  # room that it and those below it need
    under = most
    for y, high, need in zip(wanted, tall, floor, strict=True):
        top = max(min(y + _TEXT * 0.55, under), min(need, under))
        yield top
        under = top - high
