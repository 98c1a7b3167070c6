"""Sets plugs into a finished solid without a boolean: the face they go through is made anew with their outlines.

A plug stands alone in one smooth face (see `plugs`), so all that a boolean would find is known beforehand: the face
gains a hole, and an island for each of the plug's own, and the plug's walls and floor follow and share their edges.

    _______       ________
           |_____|              a pocket: the plug's walls and floor, turned inside out
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from mounts.geometry.frames import Frame, Vector
from mounts.geometry.outline import Outline
from mounts.kernels.brep_boolean import Origin, Owned, origins_of
from mounts.kernels.brep_curves import BUILDER, SAME, BRep, TopAbs, TopoDS, gp
from mounts.kernels.brep_mass import EXACT, FAIR, volume_inside
from mounts.kernels.brep_ruled import solid_of
from mounts.kernels.brep_triangles import count_of, faces_of
from mounts.kernels.occ import OCP

CLOSE = 0.003  # of the plugs' volumes: what a graft may be off, since those in curved faces are estimated


@dataclass(frozen=True, slots=True, eq=False)
class Island:
    """What stays of a face inside a plug: the wire round it, which is an outline in the plug's frame."""

    border: Any
    outline: Outline
    frame: Frame

    def holds(self, at: Vector) -> bool:
        """Whether a point of the face lies inside."""
        x, y, _ = self.frame.into(at)
        return self.outline.holds((float(x), float(y)))


@dataclass(frozen=True, slots=True, eq=False)
class Graft:
    """What a plug changes in a face. Wires and faces run as they are to stand in the finished solid.

    Attributes:
        host: origin of the face that it goes through.
        origin: of the faces that it brings.
        at: a place of the host's face on the plug's outline.
        hole: wire that bounds what is taken out of the face.
        islands: what stays of it inside.
        faces: walls and floor.
        gain: volume in mm³, negative where material goes.
        traces: edges on a curved host, each with its curve in the host's parameters.
    """

    host: Origin
    origin: Origin
    at: Vector
    hole: Any
    islands: tuple[Island, ...]
    faces: tuple[Any, ...]
    gain: float
    traces: tuple[tuple[Any, Any], ...] = ()


class NoGraftError(ValueError):
    """Some `grafts`, at least one, cannot be set in; a boolean has to do it."""

    def __init__(self, what: str, *grafts: Graft) -> None:
        super().__init__(what)
        self.grafts = grafts


def grafted(whole: Owned, grafts: Sequence[Graft]) -> Owned:
    """A solid of one shell with plugs set in that stand apart.

    Raises:
        NoGraftError: if a plug's face is not found, or a volume or the shell does not come out.
    """
    if not grafts:
        return whole
    if count_of(whole.shape, TopAbs.TopAbs_SHELL) != 1:
        raise NoGraftError("there is not one shell to be pierced", *grafts)
    standing, origins = faces_of(whole.shape), origins_of(whole)
    places: dict[int, list[Graft]] = defaultdict(list)
    for graft in grafts:
        places[_place(graft, standing, origins)].append(graft)
    every = [(face, origin) for k, (face, origin) in enumerate(zip(standing, origins, strict=True)) if k not in places]
    for k, group in places.items():
        pierced = list(_pierced(standing[k], group))
        _weigh(standing[k], pierced, group)
        every += [(face, origins[k]) for face in pierced]
        every += [(face, graft.origin) for graft in group for face in graft.faces]
    shell = TopoDS.TopoDS_Shell()
    BUILDER.MakeShell(shell)
    for face, _ in every:
        BUILDER.Add(shell, face)
    if not BRep.BRep_Tool.IsClosed_s(shell):
        raise NoGraftError("the shell with the plugs is open", *grafts)
    named = [(face, origin) for face, origin in every if origin is not None]
    return Owned(solid_of(shell), tuple(face for face, _ in named), tuple(origin for _, origin in named))


def _weigh(face: Any, pierced: Sequence[Any], grafts: Sequence[Graft]) -> None:
    """Sees that a face with its plugs gains the volume that it should over the bare one."""
    around = [*pierced, *(wall for graft in grafts for wall in graft.faces), face.Reversed()]
    expected, most = sum(graft.gain for graft in grafts), CLOSE * sum(abs(graft.gain) for graft in grafts)
    gained = (volume_inside(around, error) for error in (FAIR, EXACT))
    if all(abs(volume - expected) > most for volume in gained):
        raise NoGraftError(f"plugs do not change the volume by {expected:.4f} mm³", *grafts)


def _place(graft: Graft, standing: Sequence[Any], origins: Sequence[Origin | None]) -> int:
    """Index of the face that a plug goes through."""
    heirs = [k for k, origin in enumerate(origins) if origin == graft.host]
    if len(heirs) > 1:
        heirs = [k for k in heirs if holds(standing[k], graft.at)]
    if len(heirs) != 1:
        raise NoGraftError(f"{len(heirs)} faces hold the plug at {graft.at}", graft)
    return heirs[0]


def holds(face: Any, at: Vector) -> bool:
    """Whether a point of a face's surface lies inside its borders."""
    found = OCP.BRepClass.BRepClass_FaceClassifier(face, gp.gp_Pnt(*at), SAME)
    return bool(found.State() == TopAbs.TopAbs_IN)


def _pierced(face: Any, grafts: Sequence[Graft]) -> Iterator[Any]:
    """A face with plugs' holes, and a face for each island that they leave of it."""
    bare = TopoDS.TopoDS.Face_s(face.Oriented(TopAbs.TopAbs_FORWARD))
    for edge, trace in (pair for graft in grafts for pair in graft.traces):
        BUILDER.UpdateEdge(edge, trace, bare, SAME)
    outer = OCP.BRepTools.BRepTools.OuterWire_s(bare)
    turned = face.Orientation() == TopAbs.TopAbs_REVERSED
    islands = [island for graft in grafts for island in graft.islands]
    parts: dict[int, list[Any]] = {-1: [outer], **{k: [_turn(i.border, turned)] for k, i in enumerate(islands)}}
    for border in wires(bare):
        if not border.IsSame(outer):
            parts[_home(start_of(border), islands)].append(border)
    for graft in grafts:
        parts[_home(graft.at, islands)].append(_turn(graft.hole, turned))
    for borders in parts.values():
        made = TopoDS.TopoDS.Face_s(bare.EmptyCopied())
        for border in borders:
            BUILDER.Add(made, border)
        yield made.Reversed() if turned else made


def _home(at: Vector, islands: Sequence[Island]) -> int:
    """Number of the innermost island that holds a point, -1 for the face itself."""
    around = [k for k, island in enumerate(islands) if island.holds(at)]
    return min(around, key=lambda k: islands[k].outline.area, default=-1)


def _turn(wire: Any, turned: bool) -> Any:
    return wire.Reversed() if turned else wire


def wires(face: Any) -> Iterator[Any]:
    """Wires of a face, running as they do in it."""
    found = OCP.TopExp.TopExp_Explorer(face, TopAbs.TopAbs_WIRE)
    while found.More():
        yield TopoDS.TopoDS.Wire_s(found.Current())
        found.Next()


def start_of(wire: Any) -> Vector:
    """A corner of a wire."""
    corner = OCP.TopExp.TopExp_Explorer(wire, TopAbs.TopAbs_VERTEX).Current()
    at = BRep.BRep_Tool.Pnt_s(TopoDS.TopoDS.Vertex_s(corner))
    return (at.X(), at.Y(), at.Z())
