"""Visible edges of a solid along a direction, by the CAD kernel's hidden-line removal.

It uses raw bindings, since cadquery has no verb for it: its only hidden-line removal is inside the SVG exporter
(`cadquery.occ_impl.exporters.svg`), which gives text, not edges. Its curves are sampled raw as well, since
`Edge.sample` leaves out the end of a closed curve.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from mounts.geometry.frames import Frame
from mounts.kernels.part import Part

SAG = 0.05  # mm, by which a polyline may leave its edge: less than a thin line is wide, also at 2 : 1
CRUMB = 0.02  # mm: shorter pieces are crumbs of the kernel

Path = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class VisibleEdges:
    """Visible edges as polylines in the x-y plane of the view's frame, mm.

    Attributes:
        sharp: edges at which faces meet at an angle, and the outlines of round faces.
        smooth: edges at which faces run into each other.
    """

    sharp: tuple[Path, ...]
    smooth: tuple[Path, ...]


def visible_edges(part: Part, frame: Frame) -> VisibleEdges:
    """Return the edges of a part that are visible from far out on the frame's z, looking back; x right and y up.

    There are none for a part of the mesh kernel, which has no edges.

    Raises:
        KernelError: if the kernel fails.
    """
    if part.solid is None:
        return VisibleEdges((), ())
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape

    from mounts.kernels.cad import kernel_step

    with kernel_step(part.name, "draw what is seen"):
        lines = HLRBRep_Algo()
        lines.Add(part.solid.wrapped)
        place = gp_Ax2(gp_Pnt(*frame.origin), gp_Dir(*frame.z), gp_Dir(*frame.x))
        lines.Projector(HLRAlgo_Projector(place))
        lines.Update()
        lines.Hide()
        shown = HLRBRep_HLRToShape(lines)
        sharp = [path for group in (shown.VCompound(), shown.OutLineVCompound()) for path in _paths(group)]
        return VisibleEdges(tuple(sharp), tuple(_paths(shown.Rg1LineVCompound())))


def _paths(compound: Any) -> list[Path]:
    """Return the edges of a compound as polylines in its x-y plane, without crumbs."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepLib import BRepLib
    from OCP.GCPnts import GCPnts_QuasiUniformDeflection
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    if compound is None or compound.IsNull():
        return []
    BRepLib.BuildCurves3d_s(compound)
    found, explorer = [], TopExp_Explorer(compound, TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge_s(explorer.Current())
        explorer.Next()
        if BRep_Tool.IsGeometric_s(edge) and not BRep_Tool.Degenerated_s(edge):
            points = GCPnts_QuasiUniformDeflection(BRepAdaptor_Curve(edge), SAG)
            if points.IsDone() and points.NbPoints() > 1:
                path = tuple((p.X(), p.Y()) for p in (points.Value(k + 1) for k in range(points.NbPoints())))
                if max(abs(a - b) for p in path for a, b in zip(p, path[0], strict=True)) > CRUMB:
                    found.append(path)
    return found
