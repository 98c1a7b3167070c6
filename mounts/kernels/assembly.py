"""A part among its real surroundings as a cadquery assembly, for export to other CAD programs."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from mounts.identity import Role
from mounts.kernels.brep_solids import solid
from mounts.kernels.cad import cq
from mounts.shape.recipe import Scene

PART = ("part", (0.30, 0.42, 0.55, 1.0))
THINGS: dict[str, tuple[tuple[float, float, float, float], tuple[Role, ...]]] = {
    "speaker": (
        (0.15, 0.15, 0.16, 1.0),
        (Role.SPEAKER, Role.BODY, Role.FLANGE, Role.FRONT, Role.TERMINAL, Role.DEVICE),
    ),
    "panel": ((0.72, 0.74, 0.76, 1.0), (Role.SHEET, Role.BEAD, Role.PLATE)),
    "hardware": ((0.80, 0.66, 0.30, 1.0), (Role.HARDWARE, Role.HEAD, Role.SPEAKER_HEAD, Role.NUT, Role.WASHER)),
    "glass": ((0.55, 0.78, 0.85, 0.35), (Role.GLASS,)),
    "trim": ((0.55, 0.50, 0.45, 0.35), (Role.TRIM,)),
    "grille": ((0.25, 0.25, 0.25, 0.35), (Role.GRILLE,)),
    "things": ((0.75, 0.45, 0.40, 0.60), (Role.THING, Role.FLOOR)),
}
GROUP = {role: name for name, (_, roles) in THINGS.items() for role in roles}


def build_assembly(part: Any, scene: Scene) -> cq.Assembly:
    """Return the assembly of a part and its surroundings, one coloured child for each sort of thing.

    Tools, and the room that something moves through, are no things and are left out.

    Args:
        part: its `cadquery.Solid`.
        scene: its envelopes.
    """
    found = cq.Assembly(name=scene.recipe.name)
    found.add(part, name=PART[0], color=cq.Color(*PART[1]))
    bodies: dict[str, list[Any]] = defaultdict(list)
    for envelope in scene.envelopes:
        if group := GROUP.get(envelope.ident.role):
            bodies[group] += map(solid, envelope.bodies)
    for name, (colour, _) in THINGS.items():
        if name in bodies:
            found.add(cq.Compound.makeCompound(bodies[name]), name=name, color=cq.Color(*colour))
    return found
