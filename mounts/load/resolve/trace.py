"""A panel traced into a DXF file: which of its closed outlines is the opening, and which circles are fixings."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import atan2, degrees
from pathlib import Path

import numpy as np

from mounts.errors import InputError, Problem
from mounts.geometry.fitting.shapes import fit_circle
from mounts.geometry.outline import Arc, Outline, Point
from mounts.lengths import Units
from mounts.load.formats.dxf import convex_within, drawn_spans, join_spans
from mounts.load.formats.loops import close_gaps, counter_clockwise, gap_of
from mounts.load.models.outline import Trace, letters
from mounts.load.parse.units import quote_value

ROUND = 0.2  # mm that a traced hole may stray from a circle
ALIKE = 1.0  # mm within which diameters are of one sort
LARGER = 3.0  # times the area of the next: the opening is known by its size
MOST_HOLES = 26


@dataclass(frozen=True, slots=True)
class TracedLoop:
    """One closed outline of a drawing, counter-clockwise, mm; `diameter` is None where it is no circle."""

    layer: str
    outline: Outline
    centre: Point
    diameter: float | None


@dataclass(frozen=True, slots=True)
class TracedDrawing:
    """Outlines of a traced drawing.

    Attributes:
        file: its name, as messages show it.
        units: in which messages write its lengths.
        loops: closed outlines.
        open: what chains that stay open lack, by layer: (layer, mm, where).
    """

    file: str
    units: Units
    loops: tuple[TracedLoop, ...]
    open: tuple[tuple[str, float, Point], ...]


def read_trace(path: Path, trace: Trace, units: Units) -> TracedDrawing:
    """Read every closed outline in a DXF file, joining ends closer than the gap; raise as `drawn_spans` does.

    Args:
        path: the file.
        trace: where to look in it.
        units: in which the panel is typed.
    """
    loops: list[TracedLoop] = []
    missing: list[tuple[str, float, Point]] = []
    for layer, spans in drawn_spans(path, trace.unit, "file", strict=False).items():
        for chain in join_spans(spans, max(trace.gap, 0.05), quote_value(path.name)):
            if (gap := gap_of(chain)) > max(trace.gap, 0.05):
                missing.append((layer, gap, chain[-1].end))
            elif len(chain) > 1 or isinstance(chain[0], Arc):
                loops.append(_loop(layer, counter_clockwise(close_gaps(chain))))
    return TracedDrawing(quote_value(path.name), units, tuple(loops), tuple(missing))


def find_opening(drawn: TracedDrawing, trace: Trace) -> TracedLoop:
    """Return the loop that is the opening: the only one on the layer asked for, else by far the largest.

    Its outline is about its own centre, as arcs and lines that bulge outward; `centre` is where it lies in the drawing.
    """
    loops = sorted(_loops_on(drawn, trace.layer), key=lambda loop: -loop.outline.area)
    where = f" on layer {quote_value(trace.layer)}" if trace.layer else ""
    if not loops:
        raise _refusal(f"{drawn.file} holds no closed outline{where}{_open_advice(drawn, trace.layer)}{_layers(drawn)}")
    if len(loops) > 1 and loops[0].outline.area < LARGER * loops[1].outline.area:
        largest = f"the largest {_describe_loop(loops[0], drawn.units)} and {_describe_loop(loops[1], drawn.units)}"
        what = f"{drawn.file} holds {len(loops)} closed outlines{where}, {largest}"
        raise _refusal(f"{what}; say which is the opening: trace: {{file: …, layer: …}}{_layers(drawn)}")
    found = loops[0]
    at = found.outline.moved(-found.centre[0], -found.centre[1])
    return TracedLoop(found.layer, convex_within(at, max(trace.gap, 0.05), drawn.file), found.centre, found.diameter)


def find_holes(
    drawn: TracedDrawing, trace: Trace, size: float | None, opening: TracedLoop | None
) -> tuple[TracedLoop, ...]:
    """Return the circles that are fixings, clockwise from 12:00 about the opening, all of one size.

    Args:
        drawn: what the file holds.
        trace: where to look.
        size: the panel's hole diameter, as it was measured; None when it was not.
        opening: never a fixing; None when the drawing's origin is the opening's centre.
    """
    others = [loop for loop in _loops_on(drawn, trace.layer) if opening is None or not _is_same(loop, opening)]
    rounds = [loop for loop in others if loop.diameter is not None]
    wanted = [loop for loop in rounds if size is None or abs((loop.diameter or 0.0) - size) <= ALIKE]
    if trace.layer and len(wanted) < len(others):
        odd = next(loop for loop in others if loop not in wanted)
        where = f"{_describe_loop(odd, drawn.units)} at {_format_point(odd.centre, drawn.units)}"
        what = f"layer {quote_value(trace.layer)} of {drawn.file} holds {where}"
        sized = f" of {drawn.units(size)}" if size else ""
        raise _refusal(f"{what}; it is no hole{sized}: put it on another layer")
    sizes = sorted(loop.diameter for loop in wanted if loop.diameter)
    if len(wanted) < 2:
        what = f"{drawn.file} holds {len(wanted)} circles" + (f" of about {drawn.units(size)}" if size else "")
        seen = f"; there are circles of {_sizes(rounds, drawn.units)}" if rounds else ""
        raise _refusal(
            f"{what}; a mount needs at least 2 fixings{seen}{_open_advice(drawn, trace.layer)}{_layers(drawn)}"
        )
    if sizes[-1] - sizes[0] > ALIKE and size is None:
        what = f"{drawn.file} holds circles of {_sizes(rounds, drawn.units)}"
        raise _refusal(f"{what}; say which are fixings: give hole, their diameter, or trace: {{file: …, layer: …}}")
    if len(wanted) > MOST_HOLES:
        raise _refusal(f"{drawn.file} holds {len(wanted)} circles; at most {MOST_HOLES} can be fixings")
    x, y = opening.centre if opening else (0.0, 0.0)
    return tuple(sorted(wanted, key=lambda loop: degrees(atan2(loop.centre[0] - x, loop.centre[1] - y)) % 360))


def name_holes(holes: tuple[TracedLoop, ...], origin: Point) -> dict[str, Point]:
    """Return the holes' centres about the origin as A, B, C … in their order."""
    at = [(loop.centre[0] - origin[0], loop.centre[1] - origin[1]) for loop in holes]
    return dict(zip(letters(len(at)), at, strict=True))


def _loop(layer: str, outline: Outline) -> TracedLoop:
    if outline.is_circle and isinstance(ring := outline.spans[0], Arc):
        return TracedLoop(layer, outline, ring.centre, ring.diameter)
    corners = np.array(outline.points(0.05, least=2))
    if len(corners) >= 8:
        fit = fit_circle(corners)
        if fit.worst <= ROUND:
            return TracedLoop(layer, outline, fit.centre, fit.sizes[0])
    return TracedLoop(layer, outline, outline.middle, None)


def _loops_on(drawn: TracedDrawing, layer: str | None) -> list[TracedLoop]:
    return [loop for loop in drawn.loops if layer is None or loop.layer == layer]


def _is_same(one: TracedLoop, other: TracedLoop) -> bool:
    return one.layer == other.layer and one.centre == other.centre and one.diameter == other.diameter


def _describe_loop(loop: TracedLoop, units: Units) -> str:
    if loop.diameter is not None:
        return f"a circle of {units(loop.diameter, 1)}"
    x0, y0, x1, y1 = loop.outline.box
    return f"an outline of {units(x1 - x0, 0)} × {units(y1 - y0, 0)}"


def _sizes(loops: list[TracedLoop], units: Units) -> str:
    found = Counter(units(size, 1) for size in sorted(loop.diameter or 0.0 for loop in loops))
    return ", ".join(f"{size} ({count})" for size, count in found.items())


def _format_point(point: Point, units: Units) -> str:
    return f"({units(point[0], 1)}, {units(point[1], 1)})"


def _open_advice(drawn: TracedDrawing, layer: str | None) -> str:
    """Return advice on the open outline with the smallest gap; "" where none is open."""
    there = [one for one in drawn.open if layer is None or one[0] == layer]
    if not there:
        return ""
    name, gap, at = min(there, key=lambda one: one[1])
    where = f"by {drawn.units(gap, 2)} at {_format_point(at, drawn.units)}"
    return f"; an outline on layer {quote_value(name)} is open {where}: close it, or give a larger gap"


def _layers(drawn: TracedDrawing) -> str:
    return f"; layers: {', '.join(dict.fromkeys(loop.layer for loop in drawn.loops))}" if drawn.loops else ""


def _refusal(what: str) -> InputError:
    return InputError(Problem(what))
