"""Booleans of all bodies at once, with the origin of every face carried through.

There are two ways, since the kernel's intersections can go astray on shallow crossings, and seldom on both: `in_turn`
fuses, then cuts; `together` splits all bodies by each other at once and keeps the cells that make the part. Pieces of a
face that this leaves are not joined again: the kernel's own means for that ran out of memory on a sound ring.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from mounts.kernels.brep_triangles import faces_of
from mounts.kernels.occ import OCP

BRepAlgoAPI, TopTools = OCP.BRepAlgoAPI, OCP.TopTools
Origin = tuple[int, int, int]  # index of a feature, of a body in it, and of a face of that body


@dataclass(frozen=True, slots=True, eq=False)
class Owned:
    """A shape whose faces know where they come from.

    Attributes:
        shape: the kernel's solid or compound.
        faces: faces of it, and perhaps some that are gone.
        origins: where each of them comes from.
    """

    shape: Any
    faces: tuple[Any, ...]
    origins: tuple[Origin, ...]


def origins_of(whole: Owned) -> list[Origin | None]:
    """Origin of every face of a shape, in the order in which it is explored; None for one that nobody knows."""
    known = TopTools.TopTools_IndexedMapOfShape()
    found: dict[int, Origin] = {}
    for face, origin in zip(whole.faces, whole.origins, strict=True):
        found.setdefault(known.Add(face), origin)
    return [found.get(known.FindIndex(face)) for face in faces_of(whole.shape)]


def in_turn(added: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
    """The union of the added bodies, at least one, and then that less the tools.

    Raises:
        RuntimeError: if the kernel fails.
    """
    whole = added[0] if len(added) == 1 else _done(BRepAlgoAPI.BRepAlgoAPI_Fuse(), added[:1], added[1:])
    return _done(BRepAlgoAPI.BRepAlgoAPI_Cut(), [whole], tools) if tools else whole


def together(added: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
    """The union of the added bodies, at least one, less the tools, from one splitting of all of them."""
    if len(added) == 1 and not tools:
        return added[0]
    cells = OCP.BOPAlgo.BOPAlgo_CellsBuilder()
    for body in (*added, *tools):
        cells.AddArgument(body.shape)
    _set_up(cells)
    cells.Perform()
    away = _list(tool.shape for tool in tools)
    for body in added:
        cells.AddToResult(_list([body.shape]), away, 1, False)
    cells.RemoveInternalBoundaries()
    return _inherited(cells.Shape(), (*added, *tools), cells.Modified, cells.IsDeleted)


Way = Callable[[Sequence[Owned], Sequence[Owned]], Owned]


def _done(operation: Any, arguments: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
    operation.SetArguments(_list(body.shape for body in arguments))
    operation.SetTools(_list(body.shape for body in tools))
    _set_up(operation)
    operation.Build()
    if not operation.IsDone():
        raise RuntimeError(f"the boolean of {len(arguments)} bodies with {len(tools)} tools failed")
    return _inherited(operation.Shape(), (*arguments, *tools), operation.Modified, operation.IsDeleted)


def _set_up(operation: Any) -> None:
    operation.SetRunParallel(True)
    operation.SetUseOBB(True)
    operation.SetNonDestructive(True)


def _inherited(
    shape: Any, bodies: Iterable[Owned], modified: Callable[[Any], Any], deleted: Callable[[Any], bool]
) -> Owned:
    """An operation's shape; its faces come from where those did that they were made of."""
    faces: list[Any] = []
    origins: list[Origin] = []
    for body in bodies:
        for face, origin in zip(body.faces, body.origins, strict=True):
            heirs = [] if deleted(face) else list(modified(face)) or [face]
            faces += heirs
            origins += [origin] * len(heirs)
    return Owned(shape, tuple(faces), tuple(origins))


def _list(shapes: Iterable[Any]) -> Any:
    made = TopTools.TopTools_ListOfShape()
    for shape in shapes:
        made.Append(shape)
    return made
