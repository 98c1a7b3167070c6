"""A hole pattern as a flat picture: opening, holes, what was read between them, and their errors, made visible."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from mounts.design.pattern import UNKNOWN, HolePattern, error_ellipse
from mounts.geometry.outline import Outline, Point, circle
from mounts.geometry.survey.regular import Regularity
from mounts.geometry.survey.survey import ONE
from mounts.load.parse.units import format_clock
from mounts.write.drawing_png import fit_text, load_font
from mounts.write.text_shaping import plain_text, shape_text

_SIZE = (1200, 1000)
_FINE = 4  # sub-pixels each way
_EDGE, _FOOT = 90, 130  # pixels left free round the drawing, and below it
_TIMES = (1, 2, 5, 10, 20, 50)  # by which errors may be shown larger
_SHOWN = 14.0  # mm that the largest ellipse may take
_INK, _PALE, _FAINT = (44, 50, 58), (112, 120, 130), (208, 213, 219)
_RED, _BLUE, _ORANGE = (190, 66, 36), (18, 78, 138), (196, 124, 20)
_SKY, _WHITE = (214, 228, 243), (255, 255, 255)


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Mapping from mm to a picture of sub-pixels."""

    draw: Any
    scale: float
    middle: Point

    def at(self, point: Point) -> Point:
        x, y = point
        return (
            (_SIZE[0] / 2 + (x - self.middle[0]) * self.scale) * _FINE,
            ((_SIZE[1] - _FOOT) / 2 - (y - self.middle[1]) * self.scale) * _FINE,
        )

    def path(self, outline: Outline, colour: tuple[int, int, int], wide: float, fill: Any = None) -> None:
        corners = [self.at(point) for point in outline.points(0.01)]
        if fill:
            self.draw.polygon(corners, fill=fill)
        self.draw.line([*corners, *corners[:2]], fill=colour, width=round(wide * _FINE), joint="curve")

    def line(self, ends: Sequence[Point], colour: tuple[int, int, int], wide: float) -> None:
        self.draw.line([self.at(end) for end in ends], fill=colour, width=round(wide * _FINE))

    def text(self, point: Point, text: str, size: float, colour: tuple[int, int, int]) -> None:
        x, y = self.at(point)
        self.draw.text((x, y), shape_text(text), font=load_font(size * _FINE), fill=colour, anchor="mm")


def pattern_png(pattern: HolePattern) -> bytes:
    """Return the pattern as a PNG picture, seen from the cabin; the same pattern gives the same bytes."""
    from PIL import Image, ImageDraw
    from PIL.PngImagePlugin import PngInfo

    image = Image.new("RGB", (_SIZE[0] * _FINE, _SIZE[1] * _FINE), _WHITE)
    sheet = _lay_out(pattern, ImageDraw.Draw(image))
    times = _times(pattern)
    _readings(sheet, pattern)
    _opening(sheet, pattern)
    _regular(sheet, pattern)
    _holes(sheet, pattern, times)
    _foot(sheet, pattern, times)
    file, about = io.BytesIO(), PngInfo()
    about.add_itxt("Title", plain_text(f"{pattern.panel.name}: hole pattern"))
    image.resize(_SIZE, Image.Resampling.BOX).save(file, "PNG", pnginfo=about)
    return file.getvalue()


def _lay_out(pattern: HolePattern, draw: Any) -> _Sheet:
    boxes = [circle((pattern.sizes[n] or UNKNOWN) + 24.0, at).box for n, at in _places(pattern)]
    boxes += [pattern.opening.box] if pattern.opening else []
    boxes += [ring.box for ring in _nearly(pattern)]
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    room = (_SIZE[0] - 2 * _EDGE, _SIZE[1] - _FOOT - 2 * _EDGE)
    scale = min(room[0] / (x1 - x0), room[1] / (y1 - y0))
    return _Sheet(draw, scale, ((x0 + x1) / 2, (y0 + y1) / 2))


def _places(pattern: HolePattern) -> list[tuple[str, Point]]:
    return list(zip(pattern.survey.names, pattern.survey.at, strict=True))


def _times(pattern: HolePattern) -> int:
    """Return how many times larger the errors are drawn, so that the largest is seen but covers nothing."""
    largest = max(ellipse.long for ellipse in pattern.ellipses.values())
    return max((times for times in _TIMES if times * largest <= _SHOWN), default=1)


def _readings(sheet: _Sheet, pattern: HolePattern) -> None:
    """Draw a line for every distance that was read; red where it may be the wrong one."""
    places = dict(_places(pattern))
    wrong = pattern.survey.disagreement
    suspects = {check.where for check in wrong.suspects} if wrong else set()
    for check in pattern.survey.checks:
        if check.where[:2] == ("distances", "readings"):
            one, _, two = check.where[2].partition("-")
            bad = check.where in suspects
            sheet.line([places[one], places[two]], _RED if bad else _FAINT, 3 if bad else 1.5)
            if bad:
                (ax, ay), (bx, by) = places[one], places[two]
                said = (
                    f"{check.label}: read {pattern.units(check.read, 1)}, others "
                    f"{pattern.units(check.expected or 0.0, 1)}"
                )
                sheet.text(((ax + bx) / 2, (ay + by) / 2 + 4.0), said, 17, _RED)


def _opening(sheet: _Sheet, pattern: HolePattern) -> None:
    if pattern.opening:
        sheet.path(pattern.opening, _INK, 2.5)
        sheet.text((0.0, pattern.opening.box[3] - 16 / sheet.scale), "12:00", 18, _PALE)
    reach = 16 / sheet.scale
    sheet.line([(-reach, 0.0), (reach, 0.0)], _PALE, 1.5)
    sheet.line([(0.0, -reach), (0.0, reach)], _PALE, 1.5)


def _regular(sheet: _Sheet, pattern: HolePattern) -> None:
    """Draw where a regular bolt circle would have the holes, when it nearly is one."""
    for outline in _nearly(pattern):
        sheet.path(outline, _ORANGE, 1.5)


def _nearly(pattern: HolePattern) -> list[Outline]:
    """Return the regular bolt circle that the pattern nearly is, and its holes; none where it is none."""
    ring = pattern.ring
    if ring is None or ring.verdict is not Regularity.NEARLY:
        return []
    holes = [circle(pattern.sizes[n] or UNKNOWN, at) for n, at in zip(pattern.survey.names, ring.at, strict=True)]
    return [circle(ring.diameter, ring.centre), *holes]


def _holes(sheet: _Sheet, pattern: HolePattern, times: int) -> None:
    for name, at in _places(pattern):
        oval = error_ellipse(pattern.ellipses[name], share=ONE, times=times).moved(*at)
        sheet.path(oval, _BLUE, 2.0, fill=_SKY)
        sheet.path(circle(pattern.sizes[name] or UNKNOWN, at), _INK, 2.5)
        far = max((at[0] ** 2 + at[1] ** 2) ** 0.5, 1e-9)
        away = (pattern.sizes[name] or UNKNOWN) / 2 + 26 / sheet.scale
        sheet.text((at[0] * (1 + away / far), at[1] * (1 + away / far)), name, 30, _INK)


def _foot(sheet: _Sheet, pattern: HolePattern, times: int) -> None:
    """Draw two lines that say what is seen."""
    name, sd = pattern.instrument
    ring = pattern.ring
    title = f"{pattern.panel.name}, {pattern.panel.side} side, seen from the cabin"
    larger = f", drawn {times} times as large" if times > 1 else ""
    worst = (
        f"blue: error ellipses, one standard deviation{larger}; the worst ± {pattern.units(pattern.worst_sd, 2)}, by "
        f"{name} ± {pattern.units.figure(sd)}{pattern.units.sign}"
    )
    said = [worst]
    if ring and ring.verdict is Regularity.NEARLY:
        said.append(
            f"orange: the regular bolt circle that it nearly is, {len(pattern.survey.at)} on "
            f"{pattern.units(ring.diameter, 1)} "
            f"from {format_clock(ring.first)}, up to {pattern.units(max(ring.residuals), 2)} off"
        )
    draw, low = sheet.draw, (_SIZE[1] - _FOOT + 34) * _FINE
    room, large, small = (_SIZE[0] - 100) * _FINE, load_font(25 * _FINE), load_font(19 * _FINE)
    draw.text((50 * _FINE, low), fit_text(draw, title, large, room), font=large, fill=_INK, anchor="ls")
    for k, line in enumerate(said, 1):
        place = (50 * _FINE, low + 32 * k * _FINE)
        draw.text(place, fit_text(draw, line, small, room), font=small, fill=_PALE, anchor="ls")
