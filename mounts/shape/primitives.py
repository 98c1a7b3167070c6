"""Primitive bodies of which every part is drawn. They are values: a kernel turns them into solids.

All places are in the panel frame, in mm. A body is closed and free of self-contact; the plan sees to that.

Ruled bodies lofted through level outlines, one above the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mounts.geometry.frames import PANEL, Frame
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Outline


def loft_levels(levels: Sequence[tuple[float, Outline]]) -> Ruled:
    """Return the ruled body through (height, outline) pairs in rising order; convex outlines, spans matched."""
    outlines = match_spans(*(outline for _, outline in levels))
    return Ruled(tuple(Section(PANEL.lifted(z), outline) for (z, _), outline in zip(levels, outlines, strict=True)))


@dataclass(frozen=True, slots=True)
class Prism:
    """Outline less its islands, swept along the frame's z from `low` to `high`.

    Attributes:
        outline: any closed outline, convex or not.
        low, high: along the frame's z in mm, low < high.
        frame: the outline lies in its x-y plane.
        islands: outlines inside the outline, apart from it and from each other, that stay free of material.
    """

    outline: Outline
    low: float
    high: float
    frame: Frame = PANEL
    islands: tuple[Outline, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """Outline in the x-y plane of a frame."""

    frame: Frame
    outline: Outline


@dataclass(frozen=True, slots=True)
class Ruled:
    """Ruled body through two or more sections, span k of each joined to span k of the next by straight lines.

    Every section has the same number of spans; spans that belong together are both lines or both arcs of equal sweep,
    and points at equal fractions of them are joined. A line may have no length and an arc no diameter. Sections follow
    each other along +z of their frames, so that outlines run counter-clockwise seen from the far end.

    With `ring` the last section is joined to the first and there are no caps: three or four sections, inside and
    outside outlines at two levels, make a groove or a wall. Their order is outside low, outside high, inside high,
    inside low.

    Attributes:
        sections: in order.
        ring: whether the last is joined to the first.
    """

    sections: tuple[Section, ...]
    ring: bool = False


@dataclass(frozen=True, slots=True)
class Revolved:
    """Body of revolution about the frame's z.

    Attributes:
        frame: its z is the axis.
        profile: (place along z, diameter) pairs with rising or equal places; the body fills from the axis out to the
            polyline through them, flat at both ends.
    """

    frame: Frame
    profile: tuple[tuple[float, float], ...]


Body = Prism | Ruled | Revolved
