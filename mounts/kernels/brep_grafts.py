"""The grafts of a recipe: its plugs, each in the face of its host that takes it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from mounts.kernels.brep_boolean import Origin, Owned
from mounts.kernels.brep_graft import Graft
from mounts.kernels.brep_plug import plane_graft
from mounts.kernels.brep_sheet import Sheet
from mounts.kernels.brep_sunk import curved_graft, sheets
from mounts.kernels.plugs import Key, plugs
from mounts.shape.recipe import Recipe


def grafts_of(recipe: Recipe, bodies: Mapping[Key, Owned]) -> list[Graft]:
    """What can be set into a recipe's part without a boolean.

    Args:
        recipe: the part.
        bodies: its bodies' solids by feature and body.
    """

    @cache
    def curved(host: Key) -> list[tuple[Sheet, Origin]]:
        return sheets(bodies[host])

    made = (plane_graft(plug, bodies[plug.host]) or curved_graft(plug, curved(plug.host)) for plug in plugs(recipe))
    return [graft for graft in made if graft is not None]
