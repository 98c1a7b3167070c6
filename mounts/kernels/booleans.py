"""Booleans of all bodies at once, with the origin of every face carried through.

There are two ways, since the kernel's intersections can go astray on shallow crossings, and seldom on both:
`fuse_then_cut` fuses, then cuts; `build_from_cells` splits all bodies by each other at once and keeps the cells that
make the part. Pieces of a face that this leaves are not joined again: cadquery's `clean` ran out of memory on a sound
ring.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from mounts.kernels.cad import OCP, cq, func

Origin = tuple[int, int, int]  # index of a feature, of a body in it, and of a face of that body


@dataclass(frozen=True, slots=True, eq=False)
class TrackedShape:
    """Shape with the origin of each of its faces.

    Attributes:
        shape: a solid or a compound.
        origins: origin of each face, perhaps with some faces that are gone.
    """

    shape: cq.Shape
    origins: Mapping[cq.Face, Origin]


Way = Callable[[Sequence[TrackedShape], Sequence[TrackedShape]], TrackedShape]


def fuse_then_cut(added: Sequence[TrackedShape], tools: Sequence[TrackedShape]) -> TrackedShape:
    """Return the union of the added bodies, at least one, and then that less the tools.

    Raises:
        RuntimeError: if the kernel fails.
    """
    whole = added[0] if len(added) == 1 else _fuse(added)
    return _cut(whole, tools) if tools else whole


def build_from_cells(added: Sequence[TrackedShape], tools: Sequence[TrackedShape]) -> TrackedShape:
    """Return the union of the added bodies, at least one, less the tools, from one splitting of all of them.

    By raw bindings: cadquery has no verb for the kernel's cells.
    """
    if len(added) == 1 and not tools:
        return added[0]
    cells = OCP.BOPAlgo.BOPAlgo_CellsBuilder()
    for body in (*added, *tools):
        cells.AddArgument(body.shape.wrapped)
    _set_options(cells)
    cells.Perform()
    away = _shape_list(tool.shape for tool in tools)
    for body in added:
        cells.AddToResult(_shape_list([body.shape]), away, 1, False)
    cells.RemoveInternalBoundaries()
    return _inherit_origins(cells, (*added, *tools))


def _fuse(bodies: Sequence[TrackedShape]) -> TrackedShape:
    """Return the union of two bodies or more."""
    history = func.History()
    shape = func.fuse(*(body.shape for body in bodies), history=history)
    done, gone, left = history[-1], set(history[-1].deleted().Faces()), set(shape.Faces())
    origins: dict[cq.Face, Origin] = {}
    for body in bodies:
        for face, origin in body.origins.items():
            if face not in gone:
                heirs = [face] if face in left else done.modified(face).Faces()
                origins = dict.fromkeys(heirs, origin) | origins
    return TrackedShape(shape, origins)


def _cut(whole: TrackedShape, tools: Sequence[TrackedShape]) -> TrackedShape:
    """Return a body less all tools at once.

    By raw bindings: cadquery's free `cut` takes a single tool, and tools that overlap must not be one compound;
    `Shape.cut` takes several, but does not tell what becomes of a face, nor sort out pairs by their oriented boxes.
    """
    operation = OCP.BRepAlgoAPI.BRepAlgoAPI_Cut()
    operation.SetArguments(_shape_list([whole.shape]))
    operation.SetTools(_shape_list(tool.shape for tool in tools))
    _set_options(operation)
    operation.Build()
    if not operation.IsDone():
        raise RuntimeError(f"the cut by {len(tools)} tools failed")
    return _inherit_origins(operation, (whole, *tools))


def _set_options(operation: Any) -> None:
    """Set an operation to run in parallel, prune pairs by oriented boxes and leave its arguments as they are."""
    operation.SetRunParallel(True)
    operation.SetUseOBB(True)
    operation.SetNonDestructive(True)


def _inherit_origins(operation: Any, bodies: Iterable[TrackedShape]) -> TrackedShape:
    """Return an operation's shape; its faces come from where those did that they were made of."""
    origins: dict[cq.Face, Origin] = {}
    for body in bodies:
        for face, origin in body.origins.items():
            if not operation.IsDeleted(face.wrapped):
                heirs = [cq.Face(heir) for heir in operation.Modified(face.wrapped)]
                origins = dict.fromkeys(heirs or [face], origin) | origins
    return TrackedShape(cq.Shape.cast(operation.Shape()), origins)


def _shape_list(shapes: Iterable[cq.Shape]) -> Any:
    """Return shapes as a list of the kernel, which its raw bindings take."""
    made = OCP.TopTools.TopTools_ListOfShape()
    for shape in shapes:
        made.Append(shape.wrapped)
    return made
