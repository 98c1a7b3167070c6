"""Booleans of all bodies at once, with the owner of every face carried through.

There are two ways, since the kernel's intersections can go astray on shallow crossings, and seldom on both: `together`
splits all bodies by each other and keeps the cells that make the part; `in_turn` fuses first, then cuts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from mounts.errors import KernelError
from mounts.kernels.occ import OCP

BRepAlgoAPI = OCP.BRepAlgoAPI


@dataclass(frozen=True, slots=True, eq=False)
class Owned:
    """A shape whose faces know where they come from.

    Attributes:
        shape: the kernel's solid or compound.
        faces: faces of it, and perhaps some that are gone.
        owners: of each face, the index of its feature.
    """

    shape: Any
    faces: tuple[Any, ...]
    owners: tuple[int, ...]


def together(added: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
    """The union of the added bodies less the tools, from one splitting of all of them.

    Raises:
        KernelError: if nothing is added, or the kernel fails.
    """
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
    return _merged(_inherited(cells, (*added, *tools)))


def in_turn(added: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
    """The union of the added bodies, and then that less the tools.

    Raises:
        KernelError: if nothing is added, or the kernel fails.
    """
    whole = added[0] if len(added) == 1 else _done(BRepAlgoAPI.BRepAlgoAPI_Fuse(), added[:1], added[1:])
    return _done(BRepAlgoAPI.BRepAlgoAPI_Cut(), [whole], tools) if tools else whole


Way = Callable[[Sequence[Owned], Sequence[Owned]], Owned]
WAYS: tuple[Way, ...] = (together, in_turn)


def _merged(whole: Owned) -> Owned:
    """The shape with faces made one that the splitting has cut apart, but never those of two features."""
    unify = OCP.ShapeUpgrade.ShapeUpgrade_UnifySameDomain(whole.shape, False, True, False)
    unify.KeepShapes(_borders(whole))
    unify.Build()
    history = unify.History()
    faces: list[Any] = []
    owners: list[int] = []
    for face, owner in zip(whole.faces, whole.owners, strict=True):
        heirs = [] if history.IsRemoved(face) else list(history.Modified(face)) or [face]
        faces += heirs
        owners += [owner] * len(heirs)
    return Owned(unify.Shape(), tuple(faces), tuple(owners))


def _borders(whole: Owned) -> Any:
    """Edges at which faces of different features meet."""
    known = OCP.TopTools.TopTools_IndexedMapOfShape()
    first: dict[int, int] = {}
    borders = OCP.TopTools.TopTools_MapOfShape()
    for face, owner in zip(whole.faces, whole.owners, strict=True):
        edges = OCP.TopExp.TopExp_Explorer(face, OCP.TopAbs.TopAbs_EDGE)
        while edges.More():
            if first.setdefault(known.Add(edges.Current()), owner) != owner:
                borders.Add(edges.Current())
            edges.Next()
    return borders


def _done(operation: Any, arguments: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
    operation.SetArguments(_list(body.shape for body in arguments))
    operation.SetTools(_list(body.shape for body in tools))
    _set_up(operation)
    operation.Build()
    if not operation.IsDone():
        raise KernelError(f"the boolean of {len(arguments)} bodies with {len(tools)} tools failed")
    return _inherited(operation, (*arguments, *tools))


def _set_up(operation: Any) -> None:
    operation.SetRunParallel(True)
    operation.SetUseOBB(True)
    operation.SetNonDestructive(True)


def _inherited(operation: Any, bodies: Iterable[Owned]) -> Owned:
    """An operation's shape, its faces owned as those were that they came from."""
    faces: list[Any] = []
    owners: list[int] = []
    for body in bodies:
        for face, owner in zip(body.faces, body.owners, strict=True):
            heirs = [] if operation.IsDeleted(face) else list(operation.Modified(face)) or [face]
            faces += heirs
            owners += [owner] * len(heirs)
    return Owned(operation.Shape(), tuple(faces), tuple(owners))


def _list(shapes: Iterable[Any]) -> Any:
    made = OCP.TopTools.TopTools_ListOfShape()
    for shape in shapes:
        made.Append(shape)
    return made
