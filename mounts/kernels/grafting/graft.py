"""Setting plugs into a finished solid without a boolean: the face they go through is made again with their outlines.

A plug stands alone in one smooth face (see `plugs`), so all that a boolean would find is known beforehand: the face
gains a hole, and an island for each of the plug's own, and the plug's walls and floor follow and share their edges.
All is by raw bindings, since cadquery's verbs for faces make edges of their own, which would have to be sewn.

    _______       ________
           |_____|              a pocket: the plug's walls and floor, turned inside out
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from mounts.geometry.frames import Frame, Vector
from mounts.geometry.outline import Outline
from mounts.kernels.booleans import Origin, TrackedShape
from mounts.kernels.brep_solids import SAME
from mounts.kernels.cad import OCP, cq, func

BRep, TopAbs, TopoDS = OCP.BRep, OCP.TopAbs, OCP.TopoDS
BUILDER = BRep.BRep_Builder()
EXACT, FAIR = 1e-8, 1e-6  # relative errors asked of the kernel's integrals
CLOSE = 0.003  # of the plugs' volumes: what a graft may be off, since those in curved faces are estimated


@dataclass(frozen=True, slots=True, eq=False)
class Island:
    """Part of a face that stays inside a plug: the wire round it, which is an outline in the plug's frame."""

    border: Any
    outline: Outline
    frame: Frame

    def holds(self, at: Vector) -> bool:
        """Return whether a point of the face lies inside."""
        x, y, _ = self.frame.into(at)
        return self.outline.holds((float(x), float(y)))


@dataclass(frozen=True, slots=True, eq=False)
class Graft:
    """Change of a face by a plug. Wires and faces run as they are to stand in the finished solid.

    Attributes:
        host: origin of the face that it goes through.
        origin: of the faces that it brings.
        at: a place of the host's face on the plug's outline.
        hole: wire that bounds what is taken out of the face.
        islands: what stays of it inside.
        faces: walls and floor.
        gain: volume in mm³, negative since material goes.
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
    """Some `grafts`, at least one, that cannot be set in; a boolean has to do it."""

    def __init__(self, what: str, *grafts: Graft) -> None:
        super().__init__(what)
        self.grafts = grafts


def apply_grafts(whole: TrackedShape, grafts: Sequence[Graft]) -> TrackedShape:
    """Return a solid of one shell with plugs set in that stand apart.

    Raises:
        NoGraftError: if a plug's face is not found, or a volume or the shell does not come out.
    """
    if not grafts:
        return whole
    if len(whole.shape.Shells()) != 1:
        raise NoGraftError("there is not one shell to be pierced", *grafts)
    standing = whole.shape.Faces()
    origins = [whole.origins.get(face) for face in standing]
    places: dict[int, list[Graft]] = defaultdict(list)
    for graft in grafts:
        places[_host_index(graft, standing, origins)].append(graft)
    every = [(face.wrapped, origins[k]) for k, face in enumerate(standing) if k not in places]
    for k, group in places.items():
        pierced = list(_pierce_face(standing[k].wrapped, group))
        _check_volume(standing[k].wrapped, pierced, group)
        every += [(face, origins[k]) for face in pierced]
        every += [(face, graft.origin) for graft in group for face in graft.faces]
    shell = TopoDS.TopoDS_Shell()
    BUILDER.MakeShell(shell)
    for face, _ in every:
        BUILDER.Add(shell, face)
    if not BRep.BRep_Tool.IsClosed_s(shell):
        raise NoGraftError("the shell with the plugs is open", *grafts)
    shell.Closed(True)
    solid = TopoDS.TopoDS_Solid()
    BUILDER.MakeSolid(solid)
    BUILDER.Add(solid, shell)
    return TrackedShape(cq.Solid(solid), {cq.Face(face): origin for face, origin in every if origin is not None})


def _check_volume(face: Any, pierced: Sequence[Any], grafts: Sequence[Graft]) -> None:
    """Check that a face with its plugs changes the volume by what was expected.

    Raises:
        NoGraftError: if it does not.
    """
    around = [*pierced, *(wall for graft in grafts for wall in graft.faces), face.Reversed()]
    expected, most = sum(graft.gain for graft in grafts), CLOSE * sum(abs(graft.gain) for graft in grafts)
    gained = (_volume_inside(around, error) for error in (FAIR, EXACT))
    if all(abs(volume - expected) > most for volume in gained):
        raise NoGraftError(f"plugs do not change the volume by {expected:.4f} mm³", *grafts)


def _volume_inside(faces: Iterable[Any], error: float) -> float:
    """Return the volume in mm³ inside faces that together close, in any order, integrated to a relative error.

    By raw bindings: cadquery's `Volume` takes no error.
    """
    gathered, found = func.compound(*map(cq.Face, faces)), OCP.GProp.GProp_GProps()
    OCP.BRepGProp.BRepGProp.VolumeProperties_s(gathered.wrapped, found, error, False, False)
    return float(found.Mass())


def _host_index(graft: Graft, standing: Sequence[cq.Face], origins: Sequence[Origin | None]) -> int:
    """Return the index of the face that a plug goes through.

    Raises:
        NoGraftError: if not exactly one face holds it.
    """
    heirs = [k for k, origin in enumerate(origins) if origin == graft.host]
    if len(heirs) > 1:
        heirs = [k for k in heirs if _contains_point(standing[k].wrapped, graft.at)]
    if len(heirs) != 1:
        raise NoGraftError(f"{len(heirs)} faces hold the plug at {graft.at}", graft)
    return heirs[0]


def _contains_point(face: Any, at: Vector) -> bool:
    """Return whether a point of a face's surface lies inside its borders.

    By raw bindings: cadquery's `isInside` is for solids.
    """
    found = OCP.BRepClass.BRepClass_FaceClassifier(face, OCP.gp.gp_Pnt(*at), SAME)
    return bool(found.State() == TopAbs.TopAbs_IN)


def _pierce_face(face: Any, grafts: Sequence[Graft]) -> Iterator[Any]:
    """Yield a face with plugs' holes, and a face for each island that they leave of it."""
    bare = TopoDS.TopoDS.Face_s(face.Oriented(TopAbs.TopAbs_FORWARD))
    for edge, trace in (pair for graft in grafts for pair in graft.traces):
        BUILDER.UpdateEdge(edge, trace, bare, SAME)
    turned = face.Orientation() == TopAbs.TopAbs_REVERSED
    islands = [island for graft in grafts for island in graft.islands]
    parts: dict[int, list[Any]] = {
        -1: [cq.Face(bare).outerWire().wrapped],
        **{k: [_orient(i.border, turned)] for k, i in enumerate(islands)},
    }
    for border in cq.Face(bare).innerWires():
        parts[_innermost_island(border.Vertices()[0].toTuple(), islands)].append(border.wrapped)
    for graft in grafts:
        parts[_innermost_island(graft.at, islands)].append(_orient(graft.hole, turned))
    for borders in parts.values():
        made = TopoDS.TopoDS.Face_s(bare.EmptyCopied())
        for border in borders:
            BUILDER.Add(made, border)
        yield made.Reversed() if turned else made


def _innermost_island(at: Vector, islands: Sequence[Island]) -> int:
    """Return the number of the innermost island that holds a point, -1 for the face itself."""
    around = [k for k, island in enumerate(islands) if island.holds(at)]
    return min(around, key=lambda k: islands[k].outline.area, default=-1)


def _orient(wire: Any, turned: bool) -> Any:
    """Return a wire, reversed if `turned`."""
    return wire.Reversed() if turned else wire
