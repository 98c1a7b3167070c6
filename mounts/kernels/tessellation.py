"""Tessellation of a B-rep shape as numpy arrays, face by face, each place one vertex.

It uses raw bindings, since cadquery has no verb that gives a face's triangles but one by one (see `tessellate`).
"""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.kernels.cad import OCP, cq

SAME = 1e-6  # mm: nearer nodes of neighbouring faces are one vertex
SPECK = 5e-3  # mm: a face whose corners lie nearer to each other may be drawn as a point; a quarter of the usual sag
SPECKS = 60  # specks and edges beside them that are made good; more is no speck
DIGITS = 10  # of a coordinate in mm: the kernel's last bits change from run to run
FLAT = 1e-9  # mm: a triangle less high has no area
MARK = b"\nTriangulations "


def tessellate(
    shape: cq.Shape, sag: float, turn: float
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]]:
    """Return closed triangles of a shape, made on a copy since a shape keeps an earlier finer mesh.

    By raw bindings: cadquery's `mesh` takes the sag as relative to an edge's length, and `tessellate` goes through
    every triangle in Python, 25 times as slow as one buffer, and does not tell its face.

    Args:
        shape: a solid or a compound.
        sag: furthest that a triangle may lie from the surface, mm.
        turn: greatest angle between neighbouring chords, rad.

    Returns:
        vertices (n, 3) float in mm, triangles (m, 3) int seen counter-clockwise from outside, and the number of each
        triangle's face (m,) int, in the order of `Shape.Faces`.

    Raises:
        RuntimeError: if the triangles do not close, or a face that is more than a speck has none.
    """
    copy = shape.copy()
    OCP.BRepMesh.BRepMesh_IncrementalMesh(copy.wrapped, sag, False, turn, True)
    faces = copy.Faces()
    drawn, specks = _split_specks(faces)
    places = [OCP.TopLoc.TopLoc_Location() for _ in drawn]
    bare = _write_triangulations([faces[number] for number in drawn], places)
    nodes, triangles, counts = _read_triangulations(bare, [place.Transformation() for place in places])
    face = np.repeat(drawn, counts)
    backward = np.array([each.wrapped.Orientation() == OCP.TopAbs.TopAbs_REVERSED for each in faces])[face]
    triangles[backward] = triangles[backward][:, [0, 2, 1]]
    vertices, triangles = _weld_nodes(nodes, triangles)
    triangles, face = _drop_degenerate(triangles, face)
    specks += [vertices[start] for start in _open_edges(triangles, len(vertices))]
    if 0 < len(specks) <= SPECKS:
        vertices, triangles = _close_specks(vertices, triangles, specks)
        triangles, face = _drop_degenerate(triangles, face)
    loose = len(_open_edges(triangles, len(vertices)))
    if loose:
        raise RuntimeError(f"{loose} of {3 * len(triangles)} edges of triangles stay open")
    return vertices, *_flip_flat(vertices, triangles, face)


def _drop_degenerate(
    triangles: NDArray[np.int64], face: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the triangles with three different corners, and their faces."""
    whole = np.all(triangles != np.roll(triangles, 1, axis=1), axis=1)
    return triangles[whole], face[whole]


def _flip_flat(
    vertices: NDArray[np.float64], triangles: NDArray[np.int64], face: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the mesh with each triangle of no area taken up by its neighbour along its longest side.

    The mesher leaves one where an edge has a node in its middle that the face on its other side does not need. Both
    triangles give way to two that meet at this node and belong to the neighbour's face; no vertex moves.
    """
    corners = vertices[triangles]
    sides = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    double = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    flat = np.flatnonzero(double < FLAT * sides.max(axis=1))
    if not len(flat):
        return triangles, face
    triangles, face = triangles.copy(), face.copy()
    owner = {(int(t[k]), int(t[k - 2])): number for number, t in enumerate(triangles) for k in range(3)}
    for number in flat.tolist():
        start = int(sides[number].argmax())
        p, q, node = (int(triangles[number][(start + k) % 3]) for k in range(3))
        other = owner[q, p]
        (far,) = set(triangles[other].tolist()) - {p, q}
        if other in flat or (far, node) in owner or (node, far) in owner:
            continue
        triangles[number], triangles[other], face[number] = (p, far, node), (far, q, node), face[other]
        owner |= {(p, far): number, (far, node): number, (node, p): number}
        owner |= {(far, q): other, (q, node): other, (node, far): other}
    return triangles, face


def _split_specks(faces: list[cq.Face]) -> tuple[list[int], list[NDArray[np.float64]]]:
    """Return the numbers of the faces that have triangles, and a corner (3,) of each speck that the mesher omits."""
    drawn, specks, place = [], [], OCP.TopLoc.TopLoc_Location()
    for number, face in enumerate(faces):
        if OCP.BRep.BRep_Tool.Triangulation_s(face.wrapped, place) is not None:
            drawn.append(number)
            continue
        corners = np.array([corner.toTuple() for corner in face.Vertices()])
        if np.ptp(corners, axis=0).max() > SPECK:
            raise RuntimeError("a face could not be triangulated")
        specks.append(corners[0])
    return drawn, specks


def _close_specks(
    vertices: NDArray[np.float64], triangles: NDArray[np.int64], specks: list[NDArray[np.float64]]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Return the mesh with the vertices about each speck merged, so that no hole is left, and without unused ones."""
    joined = np.arange(len(vertices))
    for corner in specks:
        near = np.flatnonzero(np.linalg.norm(vertices - corner, axis=1) <= 2 * SPECK)
        joined[near] = near[0]
    used, corners = np.unique(joined[triangles], return_inverse=True)
    return vertices[used], corners.reshape(-1, 3)


def _write_triangulations(faces: list[cq.Face], places: list[Any]) -> bytes:
    """Return the faces' triangles alone, in the kernel's binary format: one write instead of a call a triangle.

    Each face's location, kept apart from its triangles, is set in `places`.
    """
    builder, bare = OCP.BRep.BRep_Builder(), OCP.TopoDS.TopoDS_Compound()
    builder.MakeCompound(bare)
    for face, place in zip(faces, places, strict=True):
        triangles = OCP.BRep.BRep_Tool.Triangulation_s(face.wrapped, place)
        shown = OCP.TopoDS.TopoDS_Face()
        builder.MakeFace(shown, triangles)
        builder.Add(bare, shown)
    stream = io.BytesIO()
    OCP.BinTools.BinTools.Write_s(bare, stream)
    return stream.getvalue()


def _read_triangulations(raw: bytes, places: list[Any]) -> tuple[NDArray[np.float64], NDArray[np.int64], list[int]]:
    """Return nodes, triangles and triangles a face from the kernel's binary format, version 4.

    A block a face: node and triangle counts, whether it has parameters and normals, its sag, nodes, parameters,
    triangles (from 1), normals.

    Raises:
        RuntimeError: if the number of faces is not that of `places`.
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
        nodes.append(_place_nodes(np.frombuffer(raw, "<f8", 3 * count, at).reshape(-1, 3), place))
        at += 24 * count + 16 * count * mapped
        triangles.append(np.frombuffer(raw, "<i4", 3 * faces, at).reshape(-1, 3).astype(np.int64) + (base - 1))
        at += 12 * faces + 12 * count * shaded
        base += int(count)
        counts.append(int(faces))
    return np.concatenate(nodes), np.concatenate(triangles), counts


def _place_nodes(nodes: NDArray[np.float64], place: Any) -> NDArray[np.float64]:
    """Return nodes of a face moved to its location."""
    if place.Form() == OCP.gp.gp_TrsfForm.gp_Identity:
        return nodes
    matrix = np.array([[place.Value(i, j) for j in range(1, 5)] for i in range(1, 4)])
    moved: NDArray[np.float64] = nodes @ matrix[:, :3].T + matrix[:, 3]
    return moved


def _weld_nodes(
    nodes: NDArray[np.float64], triangles: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Return the mesh with one vertex for all nodes at a place. Cells are set off the round numbers of drawings."""
    cells = np.floor(nodes / SAME + 0.37).astype(np.int64)
    _, first, vertex = np.unique(cells, axis=0, return_index=True, return_inverse=True)
    return np.round(nodes[first], DIGITS) + 0.0, vertex.reshape(-1)[triangles]


def _open_edges(triangles: NDArray[np.int64], count: int) -> NDArray[np.int64]:
    """Return the start vertices of directed edges that have no neighbour running the other way."""
    start, end = triangles.reshape(-1), np.roll(triangles, -1, axis=1).reshape(-1)
    there, back = start * count + end, end * count + start
    if np.array_equal(np.sort(there), np.sort(back)):
        return np.empty(0, dtype=np.int64)
    edges, place = np.unique(np.concatenate([there, back]), return_inverse=True)
    ways = np.bincount(place[: len(there)], minlength=len(edges)) - np.bincount(
        place[len(there) :], minlength=len(edges)
    )
    return np.repeat(edges // count, np.maximum(ways, 0))
