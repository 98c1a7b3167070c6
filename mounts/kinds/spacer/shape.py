"""Drawing of the spacer: every feature one or more primitives in its place. No dimension is decided here.

Datum: the panel's face is z = 0, the cabin lies towards +z. Cutters overshoot what they cut through by PAST.

Envelopes of the real things round a spacer: the panel, the device with its cable and plug, what is behind.

Findings name gaps by these identities. A press fit overlaps, as it does before it is pushed in.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan

from mounts.geometry.frames import PANEL
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Outline, circle, offset_outline, polar_point, rectangle
from mounts.identity import BORE, DEVICE, PANEL_SHEET, SLEEVE, Ident, Role, called
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.values import BEHIND, CABLE, LIP, OVERMOULD, Bore, Rib, SpacerPlan
from mounts.shape.primitives import Prism, Ruled, Section, loft_levels
from mounts.shape.recipe import Envelope, Feature, Recipe, Scene

SPAN = 400.0  # mm: wider than any spacer with what is near it
THICK = 3.0  # mm: a plate that stands for something endless
BEZEL = 1.5  # mm: how thick a bezel is drawn, since nobody measures it
DRAWN = 25.0  # mm of cable drawn behind a device, and of plug before it
PAST = 1.0  # mm
OVERLAP = 0.2  # mm that stacked cutters share
SLICE = 3.0  # mm, height of the first-check slice: fifteen layers


def surroundings(job: SpacerJob, plan: SpacerPlan) -> tuple[Envelope, ...]:
    """Return every envelope that the measurements give."""
    return (_panel(job, plan), *_device(job, plan), *_behind(job))


def _panel(job: SpacerJob, plan: SpacerPlan) -> Envelope:
    """Return the panel round its opening, which narrows behind the face when it has a taper."""
    opening, deep = plan.outside.opening, job.port.panel or job.port.depth or THICK
    plate = rectangle(SPAN, SPAN, 1.0)
    if not job.port.taper:
        return Envelope(PANEL_SHEET, (Prism(plate, -deep, 0.0, islands=(opening,)),))
    outer, back, face = match_spans(plate, offset_outline(opening, -deep * tan(radians(job.port.taper))), opening)
    low, high = PANEL.lifted(-deep), PANEL
    sections = (Section(low, outer), Section(high, outer), Section(high, face), Section(low, back))
    return Envelope(PANEL_SHEET, (Ruled(sections, ring=True),))


def _device(job: SpacerJob, plan: SpacerPlan) -> Iterator[Envelope]:
    bore, device = plan.bore, job.device
    body = Prism(bore.device, bore.device_back, bore.device_front)
    yield Envelope(DEVICE, (body,))
    if device.bezel is not None:
        outline = device.bezel.outline().moved(*job.at)
        bezel = Prism(outline, bore.device_front, bore.device_front + BEZEL)
        yield Envelope(Ident(Role.DEVICE, "bezel", "device's bezel"), (bezel,))
    if device.cable is not None:
        cable = Prism(circle(device.cable, bore.device.middle), bore.device_back - DRAWN, bore.device_back)
        yield Envelope(CABLE, (cable,))
    if device.plug is not None:
        plug = Prism(device.plug.outline().moved(*job.at), bore.device_front, bore.device_front + DRAWN)
        yield Envelope(OVERMOULD, (plug,))


def _behind(job: SpacerJob) -> Iterator[Envelope]:
    if job.port.room is not None:
        end = Prism(rectangle(SPAN, SPAN, 1.0), -job.port.room - THICK, -job.port.room)
        yield Envelope(BEHIND, (end,))


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
