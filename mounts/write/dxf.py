"""DXF of a flat drawing for a cutting machine: true circles and arcs, layers CUT, ENGRAVE and REF, unit mm."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from math import radians, tan
from typing import Any

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke
from mounts.geometry.outline import SMALL, Line, Outline, Span
from mounts.write.text_shaping import plain_text

_COLOURS = {Layer.CUT: 1, Layer.ENGRAVE: 5, Layer.REF: 8}  # red, blue, grey: as most laser shops read them
_WEIGHTS = {Layer.CUT: 35, Layer.ENGRAVE: 18, Layer.REF: 18}  # hundredths of a mm
_DASHED = "DASHED"
_STYLE = "NOTE"
_TEXT_HEIGHT = 4.0  # of the title; captions are three quarters of it
_TEXT_GAP = 8.0  # between the drawing and the title under it


def dxf_bytes(drawing: Drawing) -> bytes:
    """Return the drawing as DXF R2010 at 1:1 in mm; a circle is a CIRCLE, any other outline one closed LWPOLYLINE.

    Title and captions stand under the drawing on layer REF. The bytes repeat for the same drawing and the same ezdxf.

    Raises:
        ValueError: if the drawing has no stroke: an empty file would look like a good one.
    """
    if not drawing.strokes:
        raise ValueError("a drawing without a stroke has nothing to cut")
    with _without_dates():
        document = _document()
        space = document.modelspace()
        for item in drawing.items:
            match item:
                case Stroke():
                    _add_outline(space, item.outline, item.layer)
                case Cross():
                    _add_cross(space, item)
                case Note():
                    _add_note(space, item)
        _add_title(space, drawing)
        _set_view(document, drawing)
        return _encode(document)


def _document() -> Any:
    import ezdxf
    from ezdxf import units

    document = ezdxf.new("R2010", units=units.MM)
    document.linetypes.add(_DASHED, pattern=[4.5, 3.0, -1.5], description="Dashed __ __ __")
    document.styles.add(_STYLE, font="DejaVuSans.ttf")
    for layer in Layer:
        entry = document.layers.add(str(layer), color=_COLOURS[layer], lineweight=_WEIGHTS[layer])
        if layer is Layer.REF:
            entry.dxf.linetype = _DASHED
    return document


def _add_outline(space: Any, outline: Outline, layer: Layer) -> None:
    if outline.is_circle:
        arc = outline.arcs[0]
        space.add_circle(arc.centre, arc.diameter / 2, dxfattribs={"layer": str(layer)})
        return
    points = [(*start, bulge) for span in outline.spans for start, bulge in _bulges(span)]
    space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": str(layer)})


def _bulges(span: Span) -> list[tuple[tuple[float, float], float]]:
    """Return the starts of the span's pieces with their bulge, the tangent of a quarter of the sweep.

    An arc beyond a half turn is halved, since not every reader takes a bulge above 1.
    """
    if span.length < SMALL:
        return []
    if isinstance(span, Line):
        return [(span.start, 0.0)]
    count = 1 if abs(span.sweep) <= 180 else 2
    bulge = tan(radians(span.sweep / count / 4))
    return [(span.at(k / count), bulge) for k in range(count)]


def _add_cross(space: Any, cross: Cross) -> None:
    (x, y), half = cross.at, cross.size / 2
    attributes = {"layer": str(cross.layer), "linetype": "CONTINUOUS"}
    space.add_line((x - half, y), (x + half, y), dxfattribs=attributes)
    space.add_line((x, y - half), (x, y + half), dxfattribs=attributes)


def _add_note(space: Any, note: Note) -> None:
    from ezdxf.enums import TextEntityAlignment

    text = space.add_text(
        _escape(note.text),
        height=note.height,
        rotation=note.turn,
        dxfattribs={"layer": str(note.layer), "style": _STYLE},
    )
    text.set_placement(note.at, align=TextEntityAlignment.MIDDLE_CENTER)


def _add_title(space: Any, drawing: Drawing) -> None:
    x0, y0, _, _ = _box(drawing)
    y = y0 - _TEXT_GAP
    for k, line in enumerate((drawing.title, *drawing.captions)):
        height = _TEXT_HEIGHT if k == 0 else _TEXT_HEIGHT * 0.75
        text = space.add_text(_escape(line), height=height, dxfattribs={"layer": str(Layer.REF), "style": _STYLE})
        text.set_placement((x0, y - height))
        y -= 2 * height


def _escape(text: str) -> str:
    """Return the text as a reader shows it: "%%" and "^" start codes in a DXF text."""
    return plain_text(text).replace("%%", "% %").replace("^", "^ ")


def _box(drawing: Drawing) -> tuple[float, float, float, float]:
    boxes = [stroke.outline.box for stroke in drawing.strokes]
    return min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)


def _set_view(document: Any, drawing: Drawing) -> None:
    """Set extents and a first view, so that the file opens with the drawing on the screen."""
    x0, y0, x1, y1 = _box(drawing)
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (x0, y0, 0.0), (x1, y1, 0.0)
    height = 1.3 * max(y1 - y0, (x1 - x0) / 1.5)
    document.set_modelspace_vport(height=height, center=((x0 + x1) / 2, (y0 + y1) / 2))


def _encode(document: Any) -> bytes:
    for kind in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(kind)  # else a set decides their order, and with it the bytes
    file = io.StringIO()
    document.write(file)
    encoded: bytes = file.getvalue().encode(document.output_encoding)
    return encoded


@contextmanager
def _without_dates() -> Iterator[None]:
    """Keep ezdxf from writing the time and random numbers into the file, by its own switch for that."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
