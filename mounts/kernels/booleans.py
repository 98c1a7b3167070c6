"""Booleans of all bodies at once, with the origin of every face carried through.

There are two ways, since the kernel's intersections can go astray on shallow crossings, and seldom on both: `in_turn`
fuses, then cuts; `together` splits all bodies by each other at once and keeps the cells that make the part. Pieces of a
face that this leaves are not joined again: cadquery's `clean` ran out of memory on a sound ring.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from mounts.kernels.cad import OCP, cq, func

Origin = tuple[int, int, int]  # index of a feature, of a body in it, and of a face of that body


@dataclass(frozen=True, slots=True, eq=False)
class Owned:
    """A shape whose faces know where they come from.

    Attributes:
        shape: a solid or a compound.
        origins: where its faces come from, and perhaps some that are gone.
    """

    shape: cq.Shape
    origins: Mapping[cq.Face, Origin]


Way = Callable[[Sequence[Owned], Sequence[Owned]], Owned]


def in_turn(added: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
    """Return the union of the added bodies, at least one, and then that less the tools.

    Raises:
        RuntimeError: if the kernel fails.
    """
    whole = added[0] if len(added) == 1 else _fused(added)
    return _cut(whole, tools) if tools else whole


def together(added: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
    """Return the union of the added bodies, at least one, less the tools, from one splitting of all of them.

    By raw bindings: cadquery has no verb for the kernel's cells.
    """
    if len(added) == 1 and not tools:
        return added[0]
    cells = OCP.BOPAlgo.BOPAlgo_CellsBuilder()
    for body in (*added, *tools):
        cells.AddArgument(body.shape.wrapped)
    _set_up(cells)
    cells.Perform()
    away = _list(tool.shape for tool in tools)
    for body in added:
        cells.AddToResult(_list([body.shape]), away, 1, False)
    cells.RemoveInternalBoundaries()
    return _inherited(cells, (*added, *tools))


def _fused(bodies: Sequence[Owned]) -> Owned:
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
    return Owned(shape, origins)


def _cut(whole: Owned, tools: Sequence[Owned]) -> Owned:
    """Return a body less all tools at once.

    By raw bindings: cadquery's free `cut` takes a single tool, and tools that overlap must not be one compound;
    `Shape.cut` takes several, but does not tell what becomes of a face, nor sort out pairs by their oriented boxes.
    """
    operation = OCP.BRepAlgoAPI.BRepAlgoAPI_Cut()
    operation.SetArguments(_list([whole.shape]))
    operation.SetTools(_list(tool.shape for tool in tools))
    _set_up(operation)
    operation.Build()
    if not operation.IsDone():
        raise RuntimeError(f"the cut by {len(tools)} tools failed")
    return _inherited(operation, (whole, *tools))


def _set_up(operation: Any) -> None:
    operation.SetRunParallel(True)
    operation.SetUseOBB(True)
    operation.SetNonDestructive(True)


def _inherited(operation: Any, bodies: Iterable[Owned]) -> Owned:
    """Return an operation's shape; its faces come from where those did that they were made of."""
    origins: dict[cq.Face, Origin] = {}
    for body in bodies:
        for face, origin in body.origins.items():
            if not operation.IsDeleted(face.wrapped):
                heirs = [cq.Face(heir) for heir in operation.Modified(face.wrapped)]
                origins = dict.fromkeys(heirs or [face], origin) | origins
    return Owned(cq.Shape.cast(operation.Shape()), origins)


def _list(shapes: Iterable[cq.Shape]) -> Any:
    made = OCP.TopTools.TopTools_ListOfShape()
    for shape in shapes:
        made.Append(shape.wrapped)
    return made
