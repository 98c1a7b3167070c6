"""DXF, read back and audited by ezdxf; areas by shapely from the lines and arcs that ezdxf makes of a polyline."""

from __future__ import annotations

import io
import subprocess
import sys

import ezdxf
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.entities import LWPolyline
from ezdxf.enums import TextEntityAlignment
from shapely import LineString, polygonize

from mounts.design.drawing import Drawing, Layer, Stroke
from mounts.geometry.outline import Arc, Line, Outline, circle, oblong, polygon, rectangle
from mounts.write.dxf import dxf_bytes

HOLES = {"A": (58.0, 53.5), "B": (58.5, -54.0), "C": (-57.5, -53.0), "D": (-58.0, 54.0)}


def read(data: bytes) -> Document:
    return ezdxf.read(io.StringIO(data.decode()))


def area(line: LWPolyline) -> float:
    """Area in mm² that a polyline encloses; chords within 1e-5 of its arcs."""
    pieces = []
    for entity in line.virtual_entities():
        ends = [entity.dxf.start, entity.dxf.end] if entity.dxftype() == "LINE" else entity.flattening(1e-5)
        pieces.append(LineString([(round(point.x, 8), round(point.y, 8)) for point in ends]))
    (enclosed,) = polygonize(pieces).geoms
    return float(enclosed.area)


@pytest.fixture(scope="module")
def document(drawing: Drawing) -> Document:
    return read(dxf_bytes(drawing))


def test_the_file_is_sound_and_in_mm(document: Document) -> None:
    auditor = document.audit()
    assert (len(auditor.errors), len(auditor.fixes)) == (0, 0)
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4  # mm
    assert document.header["$MEASUREMENT"] == 1  # metric


def test_layers_have_colour_weight_and_line(document: Document) -> None:
    told = {
        layer.dxf.name: (layer.dxf.color, layer.dxf.lineweight, layer.dxf.linetype)
        for layer in document.layers
        if layer.dxf.name in set(Layer)
    }
    assert told == {
        "CUT": (1, 35, "Continuous"), "ENGRAVE": (5, 18, "Continuous"), "REF": (8, 18, "DASHED")
    }  # fmt: skip


def test_circles_are_true_and_where_they_belong(document: Document) -> None:
    told = [(c.dxf.layer, *c.dxf.center.vec2, 2 * c.dxf.radius) for c in document.modelspace().query("CIRCLE")]
    holes = [("CUT", *at, 6.0) for at in HOLES.values()]
    assert told == [("CUT", 0.0, 0.0, 120.0), *holes, ("REF", 0.0, 0.0, 135.0)]


def test_the_base_is_one_closed_line_with_true_arcs(document: Document, drawing: Drawing) -> None:
    (base,) = document.modelspace().query("LWPOLYLINE")
    outline = drawing.strokes[0].outline
    assert base.closed and base.dxf.layer == "CUT"
    assert len(base) == len(outline.spans)
    assert area(base) == pytest.approx(outline.area, rel=1e-6)


@pytest.mark.parametrize(
    "outline",
    [
        oblong(150, 110),
        rectangle(90, 60, 8),
        polygon([(0, 0), (30, 0), (30, 20), (0, 20)]),
        Outline((Arc((0, 0), 40, -60, 300), Line((-10, -17.320508), (10, -17.320508)))),  # an arc beyond a half turn
        Outline((Arc((0, 0), 40, 0, 180), Arc((-15, 0), 10, 180, 180),
                 Arc((0, 0), 20, 180, -180), Arc((15, 0), 10, 180, 180))),  # a horseshoe: an arc that runs clockwise
    ],
)  # fmt: skip
def test_any_outline_keeps_its_area(outline: Outline) -> None:
    document = read(dxf_bytes(Drawing("x", items=(Stroke(outline, Layer.ENGRAVE),))))
    (line,) = document.modelspace().query("LWPOLYLINE")
    assert line.dxf.layer == "ENGRAVE"
    assert all(abs(bulge) <= 1 for bulge in (point[4] for point in line.get_points()))
    assert area(line) == pytest.approx(outline.area, rel=1e-6)


def test_spans_of_no_length_are_left_out() -> None:
    spans = polygon([(0, 0), (30, 0), (30, 20)]).spans
    corner = Arc((30, 0), 0.0, -90, 90)
    outline = Outline((spans[0], corner, Line((30, 0), (30, 0)), *spans[1:]))
    (line,) = read(dxf_bytes(Drawing("x", items=(Stroke(outline, Layer.CUT),)))).modelspace().query("LWPOLYLINE")
    assert [tuple(point[:2]) for point in line.get_points()] == [(0, 0), (30, 0), (30, 20)]


def test_crosses_and_notes(document: Document) -> None:
    lines = [(tuple(n.dxf.start.vec2), tuple(n.dxf.end.vec2)) for n in document.modelspace().query("LINE")]
    assert lines[:2] == [((-6, 0), (6, 0)), ((0, -6), (0, 6))]
    assert len(lines) == 2 * 5
    texts = {t.plain_text(): t for t in document.modelspace().query("TEXT")}
    align, place, _ = texts["12:00"].get_placement()
    assert (align, tuple(place.vec2), texts["12:00"].dxf.height) == (TextEntityAlignment.MIDDLE_CENTER, (0, 45), 4)
    assert (texts["12:00"].dxf.layer, texts["left"].dxf.layer) == ("REF", "ENGRAVE")


def test_title_and_captions_stand_below_the_drawing_as_text(document: Document, drawing: Drawing) -> None:
    texts = {t.plain_text(): t for t in document.modelspace().query("TEXT")}
    floor = drawing.strokes[0].outline.box[1]
    for line in (drawing.title, *drawing.captions):
        assert texts[line].dxf.layer == "REF"
        assert texts[line].dxf.insert.y + texts[line].dxf.height < floor


def test_text_is_no_code() -> None:
    document = read(dxf_bytes(Drawing("100 %%d ^J\nEOF", items=(Stroke(circle(5), Layer.CUT),))))
    assert [t.plain_text() for t in document.modelspace().query("TEXT")] == ["100 % %d ^J EOF"]


def test_bytes_repeat_in_another_process() -> None:
    script = (
        "import hashlib\n"
        "from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke\n"
        "from mounts.geometry.outline import circle, oblong\n"
        "from mounts.write.dxf import dxf_bytes\n"
        "strokes = (Stroke(circle(5), Layer.CUT), Stroke(oblong(30, 10), Layer.REF))\n"
        "drawing = Drawing('a', (*strokes, Cross((0, 0)), Note('c', (1, 2))), ('b',))\n"
        "print(hashlib.sha256(dxf_bytes(drawing)).hexdigest())\n"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", script], env={"PYTHONHASHSEED": seed}, check=True, capture_output=True
        ).stdout
        for seed in ("3", "4")
    }
    assert len(runs) == 1


def test_ezdxf_keeps_its_own_settings(drawing: Drawing) -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    dxf_bytes(drawing)
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_an_empty_drawing_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing to cut"):
        dxf_bytes(Drawing("x"))
