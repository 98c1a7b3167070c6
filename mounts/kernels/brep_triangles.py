"""Triangles of a B-rep shape as numpy arrays, face by face, each place one vertex."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.kernels.occ import OCP

SAME = 1e-6  # mm: nearer nodes of neighbouring faces are one vertex
MARK = b"\nTriangulations "


def triangulated(
    shape: Any, sag: float, turn: float
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]]:
    """Closed triangles of a shape, made on a copy since a shape keeps an earlier finer mesh.

    Args:
        shape: the kernel's solid or compound.
        sag: furthest that a triangle may lie from the surface, mm.
        turn: greatest angle between neighbouring chords, rad.

    Returns:
        vertices (n, 3) float in mm, triangles (m, 3) int seen counter-clockwise from outside, and the number of each
        triangle's face (m,) int, in the order in which the shape is explored.

    Raises:
        RuntimeError: if the triangles do not close, or a face has none.
    """
    copy = OCP.BRepBuilderAPI.BRepBuilderAPI_Copy(shape, True, False).Shape()
    OCP.BRepMesh.BRepMesh_IncrementalMesh(copy, sag, False, turn, True)
    faces = faces_of(copy)
    places = [OCP.TopLoc.TopLoc_Location() for _ in faces]
    nodes, triangles, counts = _read(_bare(faces, places), [place.Transformation() for place in places])
    face = np.repeat(np.arange(len(faces)), counts)
    backward = np.array([each.Orientation() == OCP.TopAbs.TopAbs_REVERSED for each in faces])[face]
    triangles[backward] = triangles[backward][:, [0, 2, 1]]
    vertices, triangles = _welded(nodes, triangles)
    whole = np.all(triangles != np.roll(triangles, 1, axis=1), axis=1)
    triangles, face = triangles[whole], face[whole]
    loose = _open_edges(triangles, len(vertices))
    if loose:
        raise RuntimeError(f"{loose} of {3 * len(triangles)} edges of triangles stay open")
    return vertices, triangles, face


def faces_of(shape: Any) -> list[Any]:
    """Faces of a shape in the order in which it is explored."""
    return [OCP.TopoDS.TopoDS.Face_s(face) for face in pieces_of(shape, OCP.TopAbs.TopAbs_FACE)]


def pieces_of(shape: Any, sort: Any) -> list[Any]:
    """Faces, solids or the like of a shape in the order in which it is explored."""
    explorer = OCP.TopExp.TopExp_Explorer(shape, sort)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def count_of(shape: Any, kind: Any) -> int:
    """How many sub-shapes of a kind a shape has, each counted once."""
    found = OCP.TopTools.TopTools_IndexedMapOfShape()
    OCP.TopExp.TopExp.MapShapes_s(shape, kind, found)
    return int(found.Extent())


def _bare(faces: list[Any], places: list[Any]) -> bytes:
    """The faces' triangles alone, in the kernel's binary format: one write instead of a call a triangle.

    Each face's place, told apart from its triangles, is set in `places`.
    """
    builder, bare = OCP.BRep.BRep_Builder(), OCP.TopoDS.TopoDS_Compound()
    builder.MakeCompound(bare)
    for face, place in zip(faces, places, strict=True):
        triangles = OCP.BRep.BRep_Tool.Triangulation_s(face, place)
        if triangles is None:
            raise RuntimeError("a face could not be triangulated")
        shown = OCP.TopoDS.TopoDS_Face()
        builder.MakeFace(shown, triangles)
        builder.Add(bare, shown)
    stream = io.BytesIO()
    OCP.BinTools.BinTools.Write_s(bare, stream)
    return stream.getvalue()


def _read(raw: bytes, places: list[Any]) -> tuple[NDArray[np.float64], NDArray[np.int64], list[int]]:
    """Nodes, triangles and triangles a face from the kernel's binary format, version 4.

    A block a face: node and triangle counts, whether it has parameters and normals, its sag, nodes, parameters,
    triangles (from 1), normals.
    """
    start = raw.index(MARK) + len(MARK)
    end = raw.index(b"\n", start)
    at, base = end + 1, 0
    nodes, triangles, counts = [], [], []
    if int(raw[start:end]) != len(places):
        raise RuntimeError(f"{int(raw[start:end])} of {len(places)} faces have triangles of their own")
    for place in places:
        count, faces = np.frombuffer(raw, "<i4", 2, at)
        mapped, shaded = raw[at + 8], raw[at + 9]
        at += 18
        nodes.append(_placed(np.frombuffer(raw, "<f8", 3 * count, at).reshape(-1, 3), place))
        at += 24 * count + 16 * count * mapped
        triangles.append(np.frombuffer(raw, "<i4", 3 * faces, at).reshape(-1, 3).astype(np.int64) + (base - 1))
        at += 12 * faces + 12 * count * shaded
        base += int(count)
        counts.append(int(faces))
    return np.concatenate(nodes), np.concatenate(triangles), counts


def _placed(nodes: NDArray[np.float64], place: Any) -> NDArray[np.float64]:
    """Nodes of a face carried to its place."""
    if place.Form() == OCP.gp.gp_TrsfForm.gp_Identity:
        return nodes
    matrix = np.array([[place.Value(i, j) for j in range(1, 5)] for i in range(1, 4)])
    moved: NDArray[np.float64] = nodes @ matrix[:, :3].T + matrix[:, 3]
    return moved


def _welded(nodes: NDArray[np.float64], triangles: NDArray[np.int64]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """One vertex for all nodes at a place. Cells are set off the round numbers that drawings like."""
    cells = np.floor(nodes / SAME + 0.37).astype(np.int64)
    _, first, vertex = np.unique(cells, axis=0, return_index=True, return_inverse=True)
    return nodes[first], vertex.reshape(-1)[triangles]


def _open_edges(triangles: NDArray[np.int64], count: int) -> int:
    """Directed edges that have no neighbour running the other way."""
    start, end = triangles.reshape(-1), np.roll(triangles, -1, axis=1).reshape(-1)
    there, back = np.sort(start * count + end), np.sort(end * count + start)
    return int(np.sum(there != back))
