"""Data of a page, as one JSON document: meshes, the surfaces of the part's faces, findings, and where to cut."""

from __future__ import annotations

import base64
import json
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from mounts.findings.report import Finding, PartReport
from mounts.findings.wording import value_with_limit
from mounts.geometry.facets import Whole, triangle_cross
from mounts.geometry.frames import Array
from mounts.identity import OPENING, PANEL_SHEET, Role
from mounts.kernels.part import Part
from mounts.kernels.readback import Cylinder, FlatFace, Surface, face_surfaces
from mounts.lengths import Units
from mounts.made import Made
from mounts.write.page.cuts import Neighbourhood, tightest
from mounts.write.page.switches import Switch, list_switches
from mounts.write.report import round_values
from mounts.write.text_shaping import plain_text

NARROW = 1.0  # mm: what is less broad is a broken edge, which no one measures from


def page_data(made: Made) -> str:
    """Return document, safe inside a page: in its text there is no "<", ">" or "&", so that nothing in it is markup."""
    text = json.dumps(_page_tree(made), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text.encode(errors="replace").decode()


def _page_tree(made: Made) -> dict[str, object]:
    job, part, report, scene = made.job, made.part, made.report, made.scene
    shown = list_switches(part, scene.envelopes)
    things = (shape for switch in shown for shape in switch.shapes)
    around, axis = Neighbourhood.of(part, things, scene.axis), scene.axis
    return {
        "job": plain_text(job.name),
        "side": plain_text(job.part),
        "what": made.kind.name,
        "verdict": str(report.verdict),
        "units": str(report.units),
        "part": _part(part),
        "switches": [_switch(switch) for switch in shown],
        "axis": {"at": _numbers(axis.origin), "along": _numbers(axis.z)},
        "findings": _findings(report, around),
        "tight": tightest(report.findings),
        "not_measured": [plain_text(path) for path in report.not_measured],
        "cautions": [plain_text(text) for text in report.cautions],
    }


def _part(part: Part) -> dict[str, object]:
    found = face_surfaces(part)
    feature = np.full(len(found), -1)
    feature[part.face] = part.feature
    broad = _breadths(part, len(found))
    faces = [
        {"feature": int(k), "measured": bool(k >= 0 and wide > NARROW) and part.features[k].role is not Role.LABEL}
        | _surface(surface)
        for k, wide, surface in zip(feature, broad, found, strict=True)
    ]
    return {
        **_mesh(part.vertices, part.triangles),
        "face": _pack(part.face, "<u4"),
        "features": [plain_text(str(ident)) for ident in part.features],
        "faces": faces,
    }


def _breadths(part: Part, count: int) -> Array:
    """Return how broad each face is, (count,) mm: its area over its greatest extent."""
    corners = part.vertices[part.triangles]
    area = np.bincount(part.face, np.linalg.norm(triangle_cross(corners), axis=1) / 2, count)
    low, high = np.full((count, 3), np.inf), np.full((count, 3), -np.inf)
    np.minimum.at(low, part.face, corners.min(axis=1))
    np.maximum.at(high, part.face, corners.max(axis=1))
    broad: Array = area / np.maximum(np.linalg.norm(np.where(area[:, None] > 0, high - low, 0.0), axis=1), 1e-9)
    return broad


def _surface(surface: Surface) -> dict[str, object]:
    if isinstance(surface, FlatFace):
        return {"is": "flat", "at": _numbers(surface.at), "along": _numbers(surface.normal)}
    if isinstance(surface, Cylinder):
        ends = {"at": _numbers(surface.start), "end": _numbers(surface.end), "along": _numbers(surface.direction)}
        return {"is": "round", **ends, "across": round_values(surface.diameter, 6), "hole": surface.hole}
    return {"is": "curved"}


def _switch(switch: Switch) -> dict[str, object]:
    named = {OPENING: PANEL_SHEET}  # gaps are measured to the opening in the sheet
    shapes = [
        {"name": plain_text(str(named.get(s.ident, s.ident))), **_mesh(s.vertices, s.triangles)} for s in switch.shapes
    ]
    return {"key": switch.key, "label": plain_text(switch.label), "on": switch.on, "shapes": shapes}


def _findings(report: PartReport, around: Neighbourhood) -> list[dict[str, object]]:
    marks = {id(finding): number for number, finding in enumerate(report.marked, 1)}
    return [_finding(finding, marks.get(id(finding)), around, report.units) for finding in report.findings]


def _finding(finding: Finding, mark: int | None, around: Neighbourhood, units: Units) -> dict[str, object]:
    placed = finding.at is not None
    return {
        "code": finding.code,
        "verdict": str(finding.verdict),
        "word": finding.verdict.word,
        "what": plain_text(finding.what),
        "told": value_with_limit(finding, units),
        "between": [plain_text(str(ident)) for ident in finding.unnamed or ()],
        "advice": plain_text(finding.advice),
        "source": plain_text(finding.source),
        "at": _numbers(finding.at) if finding.at is not None else None,
        "mark": mark,
        "cut": _numbers(around.cut(finding)) if placed else None,
    }


def _mesh(vertices: Array, triangles: Whole) -> dict[str, str]:
    """Return places as float32, which is within 0.0001 mm at a metre, and triangles as the shortest whole numbers."""
    used, corner = np.unique(triangles, return_inverse=True)
    corner = corner.reshape(-1)
    return {
        "vertices": _pack(vertices[used], "<f4"),
        "triangles": _pack(corner, "<u2" if len(used) < 1 << 16 else "<u4"),
        "wide": "2" if len(used) < 1 << 16 else "4",
    }


def _pack(values: ArrayLike, form: str) -> str:
    return base64.b64encode(np.ascontiguousarray(values, dtype=form).tobytes()).decode()


def _numbers(values: Sequence[float]) -> list[float | None]:
    return [round_values(value, 9) for value in values]
