"""Envelopes of the real things round a spacer: the panel, the device with its cable and plug, what is behind.

Findings name gaps by these identities. A press fit overlaps, as it does before it is pushed in.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan

from mounts.geometry.frames import PANEL
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import circle, offset_outline, rectangle
from mounts.identity import DEVICE, PANEL_SHEET, Ident, Role
from mounts.kinds.spacer.values import BEHIND, CABLE, OVERMOULD, SpacerPlan
from mounts.load.models.job_kinds import SpacerJob
from mounts.shape.primitives import Prism, Ruled, Section
from mounts.shape.recipe import Envelope

SPAN = 400.0  # mm: wider than any spacer with what is near it
THICK = 3.0  # mm: a plate that stands for something endless
BEZEL = 1.5  # mm: how thick a bezel is drawn, since nobody measures it
DRAWN = 25.0  # mm of cable drawn behind a device, and of plug before it


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
        x0, y0, x1, y1 = bore.device.box
        cable = Prism(circle(device.cable, ((x0 + x1) / 2, (y0 + y1) / 2)), bore.device_back - DRAWN, bore.device_back)
        yield Envelope(CABLE, (cable,))
    if device.plug is not None:
        plug = Prism(device.plug.outline().moved(*job.at), bore.device_front, bore.device_front + DRAWN)
        yield Envelope(OVERMOULD, (plug,))


def _behind(job: SpacerJob) -> Iterator[Envelope]:
    if job.port.room is not None:
        end = Prism(rectangle(SPAN, SPAN, 1.0), -job.port.room - THICK, -job.port.room)
        yield Envelope(BEHIND, (end,))
