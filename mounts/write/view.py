"""A dimensioned view on a PDF page: the real thing at a usual scale, text and arrows at the paper's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from typing import Any

from mounts.design.view import Area, Callout, Line, Path, Pen, Size, Tag, Tone, View
from mounts.geometry.outline import Point
from mounts.write.ink import FACE, STRONG, wide, wrapped
from mounts.write.lettering import drawable

SCALES = (5.0, 2.0, 1.0, 1 / 1.5, 1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 10, 1 / 20)
_TITLE, _TEXT, _LEADING = 3.6, 3.1, 1.28  # size of letters in mm
_ROW, _FIRST = 6.0, 4.0  # mm from row to row of sizes, and from the view to the first
_COLUMN = 45.0  # mm of a margin with callouts
_PENS = {
    Pen.EDGE: (0.35, (), 0.0),
    Pen.THIN: (0.18, (), 0.0),
    Pen.AXIS: (0.18, (5, 1, 1, 1), 0.0),
    Pen.PHANTOM: (0.22, (2, 1), 0.2),
    Pen.BOLD: (0.6, (), 0.0),
}  # width in mm, dashes, grey
_FILL = {Tone.PALE: 0.87, Tone.DARK: 0.6, Tone.BLACK: 0.0}


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a view lies on the paper: mm of paper = corner + scale · (mm of the thing - the view's lower left)."""

    scale: float
    corner: Point
    low: Point

    def at(self, point: Point) -> Point:
        return (
            self.corner[0] + (point[0] - self.low[0]) * self.scale,
            self.corner[1] + (point[1] - self.low[1]) * self.scale,
        )


def draw_view(canvas: Any, view: View, width: float, height: float) -> None:
    """Draws a view into the box from (0, 0) to (width, height) on a canvas whose unit is mm."""
    callouts = _shared(view, height)
    place = _placed(view, callouts, width, height)
    canvas.setFillGray(0)
    canvas.setFont(STRONG, _TITLE)
    said = f"{view.title}. Scale {_words(place.scale)}"
    for k, line in enumerate(wrapped(said, _TITLE, width, STRONG)):
        canvas.drawString(0, height - _TITLE * (1 + _LEADING * k), line)
    for area in view.areas:
        _area(canvas, area, place)
    for line_ in view.lines:
        _line(canvas, line_, place)
    for size in view.sizes:
        _size(canvas, size, view, place)
    for tag in view.tags:
        _tag(canvas, tag, place)
    for side in (-1, 1):
        _margin(canvas, [one for one in callouts if one.side == side], place, (width, height))


def _words(scale: float) -> str:
    return f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"


def _shared(view: View, height: float) -> tuple[Callout, ...]:
    """The callouts with both margins filled alike where one would overflow: those nearest to the middle change over."""
    room = height - 2 * _TITLE * _LEADING
    middle = (view.box[0] + view.box[2]) / 2
    held = list(view.callouts)
    for side in (-1, 1):
        for one in sorted(view.callouts, key=lambda c: abs(c.at[0] - middle)):
            mine = [c for c in held if c.side == side]
            others = [c for c in held if c.side != side]
            if _tall(mine) > room and _tall(others) + _tall([one]) < room and one in mine:
                held[held.index(one)] = Callout(one.at, one.text, -side)  # type: ignore[arg-type]
    return tuple(held)


def _tall(callouts: Sequence[Callout]) -> float:
    return sum(len(_lines(one)) * _TEXT * _LEADING + 1.2 for one in callouts)


def _lines(callout: Callout) -> list[str]:
    return list(wrapped(callout.text, _TEXT, _COLUMN - 5.0))


def _placed(view: View, callouts: Sequence[Callout], width: float, height: float) -> _Place:
    """The largest usual scale at which the view and all that stands beside it fit."""
    u0, v0, u1, v1 = view.box
    rows = {way: [s.row for s in view.sizes if s.along == way] for way in ("u", "v")}
    left, right = (
        _FIRST + _ROW * max([0, *(side * row for row in rows["v"])]) + _COLUMN * any(c.side == side for c in callouts)
        for side in (-1, 1)
    )
    foot = _FIRST + _ROW * max([0, *(-row for row in rows["u"])])
    head = 2 * _TITLE * _LEADING + _FIRST + _ROW * max([0, *rows["u"]]) + (4.0 if view.tags else 0.0)
    most = min((width - left - right) / (u1 - u0), (height - foot - head) / (v1 - v0))
    scale = next((one for one in SCALES if one <= most + 1e-9), most)
    across, up = (u1 - u0) * scale, (v1 - v0) * scale
    x = left + (width - left - right - across) / 2
    return _Place(scale, (x, foot + (height - foot - head - up) / 2), (u0, v0))


def _path(canvas: Any, loops: Sequence[Path], place: _Place) -> Any:
    path = canvas.beginPath()
    for loop in loops:
        path.moveTo(*place.at(loop[0]))
        for point in loop[1:]:
            path.lineTo(*place.at(point))
        path.close()
    return path


def _area(canvas: Any, area: Area, place: _Place) -> None:
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.35 if area.tone is Tone.HATCH else 0.22)
    canvas.setLineJoin(1)
    if area.tone in _FILL:
        canvas.setFillGray(_FILL[area.tone])
        canvas.drawPath(_path(canvas, area.loops, place), stroke=1, fill=1, fillMode=0)
    elif area.tone is Tone.HATCH:
        canvas.saveState()
        canvas.clipPath(_path(canvas, area.loops, place), stroke=0, fill=0, fillMode=0)
        canvas.setLineWidth(0.15)
        points = [place.at(point) for loop in area.loops for point in loop]
        x0, x1 = min(p[0] for p in points), max(p[0] for p in points)
        y0, y1 = min(p[1] for p in points), max(p[1] for p in points)
        start = x0 - (y1 - y0)
        while start < x1:
            canvas.line(start, y0, start + (y1 - y0), y1)
            start += 1.8
        canvas.restoreState()
        canvas.drawPath(_path(canvas, area.loops, place), stroke=1, fill=0)
    else:
        canvas.drawPath(_path(canvas, area.loops, place), stroke=1, fill=0)
    canvas.restoreState()


def _line(canvas: Any, line: Line, place: _Place) -> None:
    width, dash, grey = _PENS[line.pen]
    canvas.setLineWidth(width)
    canvas.setDash(list(dash))
    canvas.setStrokeGray(grey)
    canvas.setLineCap(1 if not dash else 0)
    canvas.setLineJoin(1)
    path = canvas.beginPath()
    path.moveTo(*place.at(line.path[0]))
    for point in line.path[1:]:
        path.lineTo(*place.at(point))
    canvas.drawPath(path)
    canvas.setDash([])


def _size(canvas: Any, size: Size, view: View, place: _Place) -> None:
    """Extension lines, the dimension line with its arrows, and the figure on it."""
    (x0, y0), (x1, y1) = place.at((view.box[0], view.box[1])), place.at((view.box[2], view.box[3]))
    a, b = place.at(size.one), place.at(size.other)
    out = _FIRST + _ROW * (abs(size.row) - 1)
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    if size.along == "v":  # the same picture turned a quarter, so that it is drawn once
        x = x1 + out if size.row > 0 else x0 - out
        canvas.translate(x, 0)
        canvas.rotate(90)
        (a, b), sign = ((a[1], a[0] - x), (b[1], b[0] - x)), -1
    else:
        y = y1 + out if size.row > 0 else y0 - out
        canvas.translate(0, y)
        (a, b), sign = ((a[0], a[1] - y), (b[0], b[1] - y)), 1
    canvas.setLineWidth(0.13)
    for u, v in (a, b):
        way = 1.2 if v < 0 else -1.2
        canvas.line(u, sign * v, u, sign * (0.0) + way * sign)
    first, last = min(a[0], b[0]), max(a[0], b[0])
    _dimension(canvas, first, last, size.text)
    canvas.restoreState()


def _dimension(canvas: Any, first: float, last: float, text: str) -> None:
    """From `first` to `last` on the line y = 0; arrows and figure go outside where there is no room between."""
    need = wide(text, _TEXT, STRONG)
    inside = last - first > need + 5.0
    canvas.setLineWidth(0.18)
    if inside:
        canvas.line(first, 0, last, 0)
    else:
        canvas.line(first - 5, 0, last + 5, 0)
    for x, way in ((first, 1 if inside else -1), (last, -1 if inside else 1)):
        path = canvas.beginPath()
        path.moveTo(x, 0)
        path.lineTo(x + way * 2.4, 0.45)
        path.lineTo(x + way * 2.4, -0.45)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
    canvas.setFont(STRONG, _TEXT)
    middle = (first + last) / 2 if inside else last + 5.5 + need / 2
    _backed(canvas, middle, 0.8 if inside else -_TEXT * 0.36, text)


def _backed(canvas: Any, x: float, y: float, text: str) -> None:
    """A figure on white, so that lines behind it do not cross it."""
    need = wide(text, _TEXT, STRONG)
    canvas.setFillGray(1)
    canvas.rect(x - need / 2 - 0.4, y - 0.4, need + 0.8, _TEXT * 0.95, stroke=0, fill=1)
    canvas.setFillGray(0)
    canvas.drawCentredString(x, y, drawable(text))


def _tag(canvas: Any, tag: Tag, place: _Place) -> None:
    x, y = place.at(tag.at)
    canvas.setFont(STRONG, _TEXT + 0.5)
    canvas.setFillGray(0)
    canvas.drawCentredString(x + tag.away[0], y + tag.away[1] - _TEXT * 0.36, drawable(tag.text))


def _margin(canvas: Any, callouts: Sequence[Callout], place: _Place, page: Point) -> None:
    """One margin's words, from the top down in the order of their places, pushed apart where they would overlap."""
    if not callouts:
        return
    left = callouts[0].side < 0
    held = sorted(callouts, key=lambda c: -c.at[1])
    tops = list(_tops([place.at(c.at)[1] for c in held], [_tall([c]) for c in held], page[1] - 2 * _TITLE * _LEADING))
    for one, top in zip(held, tops, strict=True):
        lines = _lines(one)
        canvas.setFont(FACE, _TEXT)
        canvas.setFillGray(0)
        longest = max(wide(line, _TEXT) for line in lines)
        for k, line in enumerate(lines):
            y = top - _TEXT * (0.9 + _LEADING * k)
            canvas.drawString(0.0 if left else page[0] - _COLUMN + 5.0, y, line)
        x = longest + 1.0 if left else page[0] - _COLUMN + 4.0
        _leader(canvas, (x, top - _TEXT * 0.55), place.at(one.at), 1 if left else -1)


def _tops(wanted: Sequence[float], tall: Sequence[float], most: float) -> Iterator[float]:
    """Upper edges of texts, each as near to its place as those above and below it leave."""
    floor = [sum(tall[k:]) for k in range(len(tall))]  # room that it and those below it need
    under = most
    for y, high, need in zip(wanted, tall, floor, strict=True):
        top = max(min(y + _TEXT * 0.55, under), min(need, under))
        yield top
        under = top - high


def _leader(canvas: Any, start: Point, end: Point, way: int) -> None:
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(0.15)
    knee = (start[0] + way * 2.0, start[1])
    canvas.line(*start, *knee)
    canvas.line(*knee, *end)
    canvas.circle(*end, 0.5, stroke=0, fill=1)


