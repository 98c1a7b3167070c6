"""Drawing of the spacer: every feature one or more primitives in its place. No dimension is decided here.

Datum: the panel's face is z = 0, the cabin lies towards +z. Cutters overshoot what they cut through by PAST.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan

from mounts.geometry.outline import Outline, circle, polar_point
from mounts.identity import BORE, SLEEVE, Role, called
from mounts.kinds.spacer.values import LIP, Bore, Rib, SpacerPlan
from mounts.shape.loft import loft_levels
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe, Scene

PAST = 1.0  # mm
OVERLAP = 0.2  # mm that stacked cutters share
SLICE = 3.0  # mm, height of the first-check slice: fifteen layers


def draw_spacer(plan: SpacerPlan) -> Scene:
    """Draw the spacer as a recipe."""
    outside = plan.outside
    features = [Feature(SLEEVE, (loft_levels(outside.levels),))]
    if plan.lip:
        features.append(Feature(LIP, (loft_levels(plan.lip.levels),)))
    if plan.bump:
        features.append(Feature(called(Role.PIECE, "bump"), (loft_levels(plan.bump.levels),)))
    features += [_rib(rib, outside.taper) for rib in outside.ribs]
    features += [_bore(plan.bore), *_slit(plan, outside.back, plan.front)]
    return Scene(Recipe(plan.name, tuple(features), plan.genus))


def draw_spacer_check(plan: SpacerPlan) -> Scene:
    """Draw a slice with the sleeve's outside, bore and ribs at final size, to try in panel and device."""
    features = [Feature(called(Role.PIECE, "slice"), (Prism(plan.outside.wall, 0.0, SLICE),))]
    features += [
        Feature(called(Role.PIECE, rib.name), (Prism(circle(rib.diameter, rib.centre), 0.0, SLICE),))
        for rib in plan.outside.ribs
    ]
    features.append(Feature(BORE, (Prism(plan.bore.ribbed, -PAST, SLICE + PAST),), cut=True))
    features += [*_slit(plan, 0.0, SLICE)]
    return Scene(Recipe(f"{plan.name}-first-check", tuple(features), plan.genus))


def _rib(rib: Rib, taper: float) -> Feature:
    """Draw an outer rib, upright or along the taper, sunk into the wall at its lower end."""
    slope = tan(radians(taper))
    places = [(rib.bottom, -rib.sunk), (rib.bottom + rib.lead, 0.0), (rib.top, 0.0)]
    levels = [(z, _back(rib, by + slope * min(z, 0.0))) for z, by in places]
    return Feature(called(Role.PIECE, rib.name), (loft_levels(levels),))


def _back(rib: Rib, by: float) -> Outline:
    return circle(rib.diameter, polar_point(rib.centre, 2 * by, rib.angle))


def _bore(bore: Bore) -> Feature:
    """Draw the bore; with ribs as three bodies: the wider part below them, the ribbed part and the mouth."""
    if not bore.ribs:
        return Feature(BORE, (loft_levels(bore.levels),), cut=True)
    ribbed = Prism(bore.ribbed, bore.below - OVERLAP, bore.front + PAST)
    return Feature(BORE, (loft_levels(bore.levels), ribbed, loft_levels(bore.mouth)), cut=True)


def _slit(plan: SpacerPlan, low: float, high: float) -> Iterator[Feature]:
    if plan.slit:
        name = "slit" if plan.slit.half is None else "split"
        yield Feature(called(Role.CUT, name), (Prism(plan.slit.outline, low - PAST, high + PAST),), cut=True)
