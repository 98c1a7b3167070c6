"""One closed outline out of a DXF file, as exact lines and arcs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import atan2, degrees
from pathlib import Path
from typing import Any

from mounts.errors import InputError, Problem
from mounts.geometry.outline import Arc, Line, Outline, Point, Span, circle
from mounts.load.formats.convex import make_convex
from mounts.load.formats.loops import chain_spans, close_gaps, counter_clockwise, gap_of
from mounts.load.parse.units import LONGEST, quote_value

GAP = 0.05  # mm: ends closer than this meet
SAG = 0.01  # mm: how far a chord may leave an ellipse or a spline
MOST_BYTES = 10_000_000
MOST_SPANS = 50_000
FURTHEST = 1e7  # mm from the drawing's origin, and the diameter of an arc
UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}  # $INSUNITS: mm in each
SIDEWAYS = ("TEXT", "MTEXT", "DIMENSION", "POINT", "LEADER", "HATCH")  # what a drawing may hold besides its outline


def read_outline(path: Path, unit: str | None = None) -> Outline:
    """Return the one closed convex outline in a DXF file, counter-clockwise, in mm.

    Circles, closed polylines, and chains of lines and arcs whose ends meet within 0.05 mm keep their lines and arcs;
    ellipses and splines become chords within 0.01 mm of them.

    Args:
        path: the file.
        unit: "mm" or "in" for a file whose $INSUNITS says nothing.

    Raises:
        InputError: if the file cannot be read, says no unit, holds no outline or several, or one that is open, that is
            not convex, or that does not go round the drawing's origin.
    """
    name = quote_value(path.name)
    spans = [span for layer in drawn_spans(path, unit, "outline").values() for span in layer]
    return _check_outline(_one_loop(spans, name), name)


def drawn_spans(path: Path, unit: str | None, beside: str, *, strict: bool = True) -> dict[str, list[Span]]:
    """Return everything drawn in a DXF file as lines and arcs in mm, by layer.

    Args:
        path: the file.
        unit: as for `read_outline`.
        beside: the key beside which `unit` is given.
        strict: whether anything but lines, curves and lettering is refused.

    Raises:
        InputError: if the file cannot be read, says no unit, or holds no line.
    """
    name = quote_value(path.name)
    drawing = _open_drawing(path)
    scale = _scale(drawing.header.get("$INSUNITS", 0), unit, name, beside)
    found: dict[str, list[Span]] = {}
    count = 0
    for entity in drawing.modelspace():
        spans = found.setdefault(entity.dxf.layer, [])
        for given in _sound_spans(entity, SAG / scale, name, strict=strict):
            span = _scale_span(given, scale)
            _check_near(span, name)
            if span.length > 1e-6:
                count += 1
                spans.append(span)
            if count > MOST_SPANS:
                raise _refusal(f"{name} holds more than {MOST_SPANS:,} lines; an outline has at most so many")
    if not count:
        raise _refusal(f"{name} holds no outline: no circle, polyline, lines, arcs, ellipse or spline")
    return found


def join_spans(spans: list[Span], gap: float, name: str) -> list[list[Span]]:
    """Return the spans of a drawing in chains; raise InputError where too many meet in one place."""
    try:
        return chain_spans(spans, gap)
    except ValueError as error:
        raise _refusal(f"in {name} {error}; keep only the outline in it") from error


def _check_near(span: Span, name: str) -> None:
    """Raise InputError for a span beyond FURTHEST or with a coordinate that is no number."""
    sizes = (span.diameter, *span.centre, span.begin, span.sweep) if isinstance(span, Arc) else (*span.start, *span.end)
    far = next((size for size in sizes if not abs(size) <= FURTHEST), None)
    if far is not None:
        raise _refusal(f"{name} holds a line or an arc of {far:g} mm; the most is {FURTHEST:g}")


def _refusal(what: str) -> InputError:
    return InputError(Problem(what))


def _open_drawing(path: Path) -> Any:
    name = quote_value(path.name)
    if path.stat().st_size > MOST_BYTES:
        raise _refusal(f"{name} is larger than 10 MB; keep only the outline in it")
    import ezdxf  # (few jobs need it, and it loads slowly)

    try:
        return ezdxf.readfile(path)
    except Exception as error:  # a broken file makes the reader raise nearly anything
        raise _refusal(f"{name} is not a DXF file that can be read") from error


def _scale(code: int, unit: str | None, name: str, beside: str) -> float:
    """Return the millimetres in the drawing's unit."""
    told = UNITS.get(code)
    given = {"mm": 1.0, "in": 25.4}.get(unit or "")
    if told is None and given is None:
        raise _refusal(f"{name} does not say its unit; give unit: mm or unit: in beside {beside}")
    if told and given and told != given:
        raise _refusal(f"{name} is drawn in units of {told:g} mm, but unit says {unit}; leave unit out")
    return told or given or 1.0


def _sound_spans(entity: Any, sag: float, name: str, *, strict: bool) -> Iterator[Span]:
    """Yield what `_spans` does; raise InputError for an entity on which the DXF library fails."""
    try:
        yield from _spans(entity, sag, name, strict=strict)
    except (ValueError, TypeError, ArithmeticError, LookupError, AttributeError, RecursionError) as error:
        raise _refusal(f"{name} holds a broken {entity.dxftype()}; draw it again, or leave it out") from error


def _spans(entity: Any, sag: float, name: str, *, strict: bool = True) -> Iterator[Span]:
    """Yield the lines and arcs of one entity, in the drawing's unit."""
    match entity.dxftype():
        case "CIRCLE":
            centre = entity.ocs().to_wcs(entity.dxf.center)
            yield circle(2 * entity.dxf.radius, (centre.x, centre.y)).spans[0]
        case "ARC":
            yield _arc(entity)
        case "LINE":
            yield Line((entity.dxf.start.x, entity.dxf.start.y), (entity.dxf.end.x, entity.dxf.end.y))
        case "LWPOLYLINE" if not (entity.has_arc or entity.dxf.extrusion.z != 1):
            points = entity.get_points("xy")
            yield from (Line(a, b) for a, b in pairwise([*points, *points[:1]] if entity.closed else points))
        case "LWPOLYLINE" | "POLYLINE":
            for part in entity.virtual_entities():
                yield from _spans(part, sag, name, strict=strict)
        case "ELLIPSE" | "SPLINE":
            points = [(p.x, p.y) for p in entity.flattening(sag)]
            yield from (Line(a, b) for a, b in pairwise(points))
        case kind if strict and kind not in SIDEWAYS:
            raise _refusal(f"{name} holds {kind}, which is no outline; keep one closed outline in it")


def _arc(entity: Any) -> Arc:
    centre = entity.ocs().to_wcs(entity.dxf.center)
    start = entity.start_point
    sweep = (entity.dxf.end_angle - entity.dxf.start_angle) % 360 or 360.0
    begin = degrees(atan2(start.y - centre.y, start.x - centre.x))
    return Arc((centre.x, centre.y), 2 * entity.dxf.radius, begin, sweep if entity.dxf.extrusion.z > 0 else -sweep)


def _scale_span(span: Span, scale: float) -> Span:
    def at(point: Point) -> Point:
        return (point[0] * scale, point[1] * scale)

    if isinstance(span, Arc):
        return Arc(at(span.centre), span.diameter * scale, span.begin, span.sweep)
    return Line(at(span.start), at(span.end))


def _one_loop(spans: list[Span], name: str) -> list[Span]:
    """Return the spans as one closed chain, each starting where the one before it ends."""
    loops = join_spans(spans, GAP, name)
    for chain in loops:
        if (gap := gap_of(chain)) > GAP:
            where = f"({chain[-1].end[0]:.2f}, {chain[-1].end[1]:.2f})"
            raise _refusal(f"the outline in {name} is open: {gap:.2f} are missing at {where}")
    if len(loops) > 1:
        raise _refusal(f"{name} holds {len(loops)} outlines; keep one")
    return close_gaps(loops[0])


def _check_outline(loop: list[Span], name: str) -> Outline:
    """Return the loop as a counter-clockwise convex outline about the origin."""
    convex = convex_within(counter_clockwise(loop), GAP, name)
    x0, y0, x1, y1 = convex.box
    if not convex.holds((0.0, 0.0)):
        middle = f"its middle is at ({(x0 + x1) / 2:.2f}, {(y0 + y1) / 2:.2f})"
        raise _refusal(
            f"the outline in {name} does not go round the drawing's origin, where its centre belongs; {middle}"
        )
    return convex


def convex_within(outline: Outline, within: float, name: str) -> Outline:
    """Return the outline as convex arcs and lines within `within` mm of it; raise InputError if it bends inward."""
    x0, y0, x1, y1 = outline.box
    if not max(x1 - x0, y1 - y0) <= LONGEST:
        raise _refusal(f"the outline in {name} is {max(x1 - x0, y1 - y0):g} across; the most is {LONGEST:g}")
    convex = make_convex(outline, within)
    if convex is None:
        need = "the outline must bulge outward everywhere; give the largest convex outline inside it"
        raise _refusal(f"the outline in {name} bends inward: {need}")
    return convex
