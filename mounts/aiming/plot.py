"""Level off the axis against frequency: flat on the face, as chosen, and right on the axis.

The figures of a job's aim, and the files that they become.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import floor, log10

import numpy as np

from mounts.aiming.section import draw_section
from mounts.aiming.values import AimReport, SideAim
from mounts.design.drawing import Area, Drawing, DrawnText, Fill, Ink, Item, Pen, PenLine, spread
from mounts.design.listening import ListenerLevel, frequency_of, frequency_text, held_between, level_off_axis
from mounts.geometry.frames import Array
from mounts.geometry.outline import Point, rectangle_loop

SIZE = (180.0, 112.0)
FIELD = (20.0, 26.0, 138.0, 97.0)  # left, low, right, high
TOP, DEEPEST = 3.5, -24.0  # dB
TICKS = tuple(digit * 10.0**power for power in (1, 2, 3, 4) for digit in (1, 2, 5))
SMALL, USUAL, LARGE = 1.9, 2.2, 2.9  # cap heights


@dataclass(frozen=True, slots=True)
class Scales:
    """Scales of the figure: from frequency, logarithmic, and level, linear in dB, to mm on the paper."""

    low: float
    high: float
    deep: float

    def x(self, frequency_hz: float) -> float:
        """Return the x of a frequency, logarithmic and held inside the field."""
        share = log10(frequency_hz / self.low) / log10(self.high / self.low)
        return FIELD[0] + (FIELD[2] - FIELD[0]) * min(1.0, max(0.0, share))

    def y(self, level: float) -> float:
        """Return the y of a level, linear in dB and held inside the field."""
        share = (max(level, self.deep) - self.deep) / (TOP - self.deep)
        return FIELD[1] + (FIELD[3] - FIELD[1]) * share


@dataclass(frozen=True, slots=True)
class Curve:
    """One curve with what is written at its end."""

    levels: Array
    words: tuple[str, str]
    pen: Pen


def level_plot(side: SideAim, speed: float) -> Drawing | None:
    """Return the plot of one side, for its first listener; None where no ears or no piston are known.

    Args:
        side: aim of one side with its listeners.
        speed: speed of sound, m/s.
    """
    piston = side.job.speaker.piston_diameter
    if piston is None or not side.heard:
        return None
    frequencies, curves = _curves(side, piston, speed)
    deep = max(DEEPEST, min(-12.0, 6.0 * floor(min(curve.levels.min() for curve in curves) / 6.0)))
    scales = Scales(float(frequencies[0]), float(frequencies[-1]), deep)
    items = (
        *_regions(scales, piston, speed),
        *_grid(scales),
        *_spread_of_people(side.heard[0], scales, frequencies, piston, speed),
        *(_drawn(curve, scales, frequencies) for curve in curves),
        *_ends(curves, scales),
        *_band(side, scales),
        *_words(side, piston, speed),
    )
    return Drawing(f"{side.job.name} {side.job.side}: level off the axis", items, box=(0.0, 0.0, *SIZE))


def _curves(side: SideAim, piston: float, speed: float) -> tuple[Array, tuple[Curve, ...]]:
    """Return the frequencies, and a curve for each way to look; those that coincide share one."""
    first, top = side.heard[0], side.job.speaker.band[1]
    low = max(tick for tick in TICKS if tick <= frequency_of(0.3, piston, speed))
    most = 1.25 * max(top, held_between(piston, speed)[1])
    high = min((tick for tick in TICKS if tick >= most), default=20_000.0)
    frequencies = np.geomspace(low, min(high, 20_000.0), 400)

    def curve(angle: float, what: str, pen: Pen) -> Curve:
        levels = level_off_axis(frequencies, angle, piston, speed)
        return Curve(levels, (what, f"{angle:.1f}° off axis"), pen)

    ways = [curve(first.flat, "flat on the face", Pen(0.4, Ink.GREY, (2.2, 1.2)))]
    if side.seat.tilt > 0:
        ways.append(curve(first.angle, f"tilted by {side.seat.tilt:.3g}°", Pen(0.75, Ink.BLUE)))
    else:
        ways = [curve(first.angle, "as it is, flat", Pen(0.75, Ink.BLUE))]
    ways += [curve(other.angle, f"{other.listener.seat}", Pen(0.3, Ink.RED, (0.5, 0.9))) for other in side.heard[1:]]
    axis = Curve(np.zeros(len(frequencies)), ("fully on axis", "0°"), Pen(0.3))
    return frequencies, (axis, *ways)


def _drawn(curve: Curve, scales: Scales, frequencies: Array) -> PenLine:
    """Return the curve down to where it leaves the field for good; a null on the way is drawn as deep as the field."""
    inside = np.flatnonzero(curve.levels > scales.deep)
    upto = min(int(inside[-1]) + 2, len(frequencies))
    return PenLine(_path(scales, frequencies[:upto], curve.levels[:upto]), curve.pen)


def _path(scales: Scales, frequencies: Array, levels: Array) -> tuple[Point, ...]:
    return tuple((scales.x(f), scales.y(level)) for f, level in zip(frequencies.tolist(), levels.tolist(), strict=True))


def _spread_of_people(
    first: ListenerLevel, scales: Scales, frequencies: Array, piston: float, speed: float
) -> Iterator[Item]:
    """Yield from a short to a tall person, where the ears are estimated."""
    if first.listener.is_estimated:
        angles = (min(first.angle, first.short, first.tall), first.widest)
        near, far = (level_off_axis(frequencies, angle, piston, speed) for angle in angles)
        loop = (*_path(scales, frequencies, near), *reversed(_path(scales, frequencies, far)))
        yield Area((loop,), Fill(Ink.ICE))


def _regions(scales: Scales, piston: float, speed: float) -> Iterator[Item]:
    """Yield where the model says little; words in the strip over 0 dB."""
    low, high = held_between(piston, speed)
    yield Area((rectangle_loop(FIELD[0], FIELD[1], scales.x(low), FIELD[3]),), Fill(Ink.HAZE))
    yield Area((rectangle_loop(scales.x(high), FIELD[1], FIELD[2], FIELD[3]),), Fill(Ink.MIST))
    height = scales.y((TOP + 0.3) / 2)
    yield DrawnText("aim hardly matters", (FIELD[0] + 1.5, height), SMALL, ink=Ink.GREY)
    yield DrawnText("breaks up: a hint only", (FIELD[2] - 1.5, height), SMALL, "end", Ink.GREY)


def _grid(scales: Scales) -> Iterator[Item]:
    left, low, right, high = FIELD
    for level in range(0, int(scales.deep) - 1, -3):
        y, is_main = scales.y(level), level % 6 == 0
        yield PenLine(((left, y), (right, y)), Pen(0.13 if is_main else 0.07, Ink.SILVER))
        if is_main:
            yield DrawnText(f"{level:d}".replace("-", "−"), (left - 2.0, y), USUAL, "end")
    for power in (1, 2, 3, 4):
        for digit in range(1, 10):
            frequency = digit * 10.0**power
            if scales.low <= frequency <= scales.high * 1.0001:
                x, is_told = scales.x(frequency), frequency in TICKS
                yield PenLine(((x, low), (x, high)), Pen(0.13 if is_told else 0.07, Ink.SILVER))
                if is_told:
                    yield DrawnText(axis_mark(frequency), (x, low - 4.0), USUAL, "middle")
    yield PenLine((*rectangle_loop(left, low, right, high), (left, low)), Pen(0.25))
    yield DrawnText("dB", (left - 2.0, high + 1.0), USUAL, "end")
    yield DrawnText("Hz", (right + 10.0, low - 4.0), USUAL, "end")


def axis_mark(frequency_hz: float) -> str:
    """Return a frequency for an axis: 500, 2k, 12.5k."""
    return f"{frequency_hz / 1000:.3g}k" if frequency_hz >= 1000 else f"{frequency_hz:.0f}"


def _ends(curves: Sequence[Curve], scales: Scales) -> Iterator[Item]:
    """Yield what each curve is, in the margin at its right end, with a sample of its line."""
    wanted = [scales.y(float(curve.levels[-1])) for curve in curves]
    for curve, end, y in zip(curves, wanted, spread(wanted, 9.0, FIELD[1] + 3, FIELD[3] - 3), strict=True):
        x = FIELD[2]
        if curve.levels[-1] > scales.deep:
            yield PenLine(((x, end), (x + 4.0, y)), Pen(0.1, Ink.SILVER))
        yield PenLine(((x + 4.0, y), (x + 10.0, y)), curve.pen)
        yield DrawnText(curve.words[0], (x + 11.5, y + 1.7), USUAL, ink=curve.pen.ink)
        yield DrawnText(curve.words[1], (x + 11.5, y - 1.9), SMALL, ink=curve.pen.ink)


def _band(side: SideAim, scales: Scales) -> Iterator[Item]:
    """Yield what the speaker plays, as a bar under the axis."""
    low, high = side.job.speaker.band
    y, (x0, x1) = FIELD[1] - 9.0, (scales.x(low), scales.x(high))
    yield PenLine(((x0, y), (x1, y)), Pen(0.9))
    said = f"plays {frequency_text(low)} to {frequency_text(high)}"
    said += "" if side.job.speaker.plays else " (usual for its type)"
    yield DrawnText(said, ((FIELD[0] + FIELD[2]) / 2, y - 3.2), SMALL, "middle", on_paper=True)


def _words(side: SideAim, piston: float, speed: float) -> Iterator[Item]:
    """Yield the title above, and at the foot what the estimate rests on."""
    first = side.heard[0]
    yield DrawnText(f"{side.job.name}, {side.job.side}", (FIELD[0], SIZE[1] - 5.0), LARGE)
    read = "estimated (shaded: short to tall person)" if first.listener.is_estimated else "read"
    heading = f"level at the {first.listener.seat} over that on the axis; ears {read}"
    yield DrawnText(heading, (FIELD[0], SIZE[1] - 10.5), USUAL, ink=Ink.GREY)
    low, high = held_between(piston, speed)
    yield DrawnText(
        f"Estimate: a rigid piston of {side.job.units.named(piston, 0)} in an endless flat baffle. A "
"door is none; it holds from about "
        f"{round(low, -1):.0f} to {round(high, -1):.0f} Hz.",
        (FIELD[0], 7.0), SMALL, ink=Ink.GREY,
    )  # fmt: skip
    yield DrawnText(
        "Grille, cabin and reflections come on top and fill the deep places.", (FIELD[0], 3.2), SMALL, ink=Ink.GREY
    )


def figures(found: AimReport) -> Iterator[tuple[str, Drawing]]:
    """Yield every figure by the stem of its file, such as "left.level"; what cannot be drawn is not there."""
    for side in found.sides:
        drawn = {"level": level_plot(side, found.speed), "section": draw_section(side)}
        yield from ((f"{side.job.side}.{name}", figure) for name, figure in drawn.items() if figure is not None)


def figure_files(found: AimReport) -> dict[str, bytes]:
    """Return the names and contents of the pictures."""
    from mounts.write.drawing_png import drawing_png

    return {f"{stem}.png": drawing_png(figure) for stem, figure in figures(found)}
