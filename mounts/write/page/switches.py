"""The envelopes round a part as meshes to be looked at, gathered under the switches that show and hide them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import Manifold

from mounts.geometry.facets import Whole
from mounts.geometry.frames import PANEL, Array
from mounts.geometry.outline import rectangle
from mounts.identity import Ident, Role
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.shape.primitives import Body, Prism
from mounts.shape.recipe import Envelope

SEGMENTS = 128  # chords of a large circle: at 120 mm across they lie within 0.02 mm of it
ROUND = 30.0  # mm of something endless that are shown round the part and what it carries
SHEET, THING = 6.0, 24.0  # mm that are drawn of what is endlessly thick: plates, and things behind
FAR = 1e4

GROUPS = {  # key: label of the switch, and whether it is on at first
    "speaker": ("Speaker, at rest", True),
    "travel": ("Cone at full travel", False),
    "sheet": ("Panel", True),
    "glass": ("Glass, where it comes nearest", True),
    "trim": ("Trim", True),
    "grille": ("Grille", True),
    "hardware": ("Screws, washers and what stands on the face", True),
    "tools": ("Tool paths", False),
    "ways": ("Ways in: speaker and trim", False),
    "end": ("What is behind", True),
}
ROLES = {  # of an envelope: its group
    Role.CONE: "travel",
    Role.SHEET: "sheet",
    Role.BEAD: "sheet",
    Role.OVER: "sheet",
    Role.GLASS: "glass",
    Role.TRIM: "trim",
    Role.GRILLE: "grille",
    Role.HEAD: "hardware",
    Role.HARDWARE: "hardware",
    Role.TOOL: "tools",
    Role.WAY: "ways",
    Role.END: "end",
    Role.THING: "things",  # each has a switch of its own
}

APART = (Role.CONE, Role.THING)  # whose envelopes have a switch each


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A closed mesh of a thing: vertices (n, 3) float in mm, triangles (m, 3) int."""

    ident: Ident
    vertices: Array
    triangles: Whole

    @property
    def corners(self) -> Array:
        """(m, 3, 3) float."""
        return self.vertices[self.triangles]


@dataclass(frozen=True, slots=True)
class Switch:
    """Switch, and what it shows and hides.

    Attributes:
        key: key of its colour and its look.
        label: the words beside it.
        on: state at first.
        shapes: what it shows.
    """

    key: str
    label: str
    on: bool
    shapes: tuple[Shape, ...]


def list_switches(part: Part, envelopes: Sequence[Envelope]) -> tuple[Switch, ...]:
    """Return all envelopes of a scene under their switches; those that go on endlessly end near the part."""
    near = _near(part, [e for e in envelopes if group_of(e) in ("speaker", "hardware")])
    found: dict[tuple[str, str], tuple[str, list[Shape]]] = {}
    for envelope in envelopes:
        key = group_of(envelope)
        label = _label(envelope, key)
        shape = _shape(envelope, key, near)
        if shape is not None:
            role, ident = envelope.ident.role, envelope.ident.id
            apart = ident if role in APART else "device" if role is Role.DEVICE else ""
            found.setdefault((key, apart), (label, []))[1].append(shape)
    order = [*GROUPS, "things"]
    return tuple(
        Switch(key, label, GROUPS[key][1] if key in GROUPS else True, tuple(shapes))
        for (key, _), (label, shapes) in sorted(found.items(), key=lambda item: order.index(item[0][0]))
    )


def group_of(envelope: Envelope) -> str:
    """Return the key of the switch under which an envelope goes, by its role."""
    return ROLES.get(envelope.ident.role, "speaker")


def _label(envelope: Envelope, key: str) -> str:
    if key == "things":
        return envelope.ident.label
    if key == "travel":
        return envelope.ident.label.capitalize()
    return "Device, with cable and plug" if envelope.ident.role is Role.DEVICE else GROUPS[key][0]


def _near(part: Part, envelopes: Sequence[Envelope]) -> Manifold:
    """Return an endless post that stands round the part and what it carries."""
    places = [part.vertices, *(_vertices(mesh.union(e.bodies, 32)) for e in envelopes)]
    low = np.min([place.min(axis=0) for place in places], axis=0)[:2] - ROUND
    high = np.max([place.max(axis=0) for place in places], axis=0)[:2] + ROUND
    wide, tall = (float(length) for length in high - low)
    x, y = (float(centre) for centre in (low + high) / 2)
    return mesh.solid(Prism(rectangle(wide, tall, ROUND / 2), -FAR, FAR, PANEL.shifted(x, y)), 64)


def _shape(envelope: Envelope, key: str, near: Manifold) -> Shape | None:
    """Return an envelope's mesh as far as it is near; None where nothing of it is."""
    solid = mesh.union([_thin_trim(body, key) for body in envelope.bodies], SEGMENTS)
    if key not in ("speaker", "travel", "hardware", "tools"):
        solid ^= near
    if solid.is_empty():
        return None
    return Shape(envelope.ident, _vertices(solid), np.asarray(solid.to_mesh64().tri_verts, dtype=np.int64))


def _vertices(solid: Manifold) -> Array:
    return np.array(solid.to_mesh64().vert_properties[:, :3], dtype=float)


def _thin_trim(body: Body, key: str) -> Body:
    """Return a body that is drawn endlessly thick, with no more of it than shows what it is; its near side stays."""
    if not isinstance(body, Prism):
        return body
    if key in ("trim", "ways"):
        return replace(body, high=min(body.high, body.low + SHEET))
    return replace(body, low=max(body.low, body.high - THING)) if key == "things" else body
