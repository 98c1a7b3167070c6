"""Lettering of the ring: name, side, and which way is up.

The base's top is tried first; then the tower's outside, where at 3:00 and 9:00 the wall runs up and down the vehicle,
so that an arrow along it points up; when neither has room, the base gets a tab.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from mounts.design.lettering import SIZES, Label, Lettering, Places, Strip, first_free, fit_label, on_plane, strip_on
from mounts.geometry.distance import depths
from mounts.geometry.outline import Outline, rectangle
from mounts.kinds.remembered import remembered
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Base, Fixing, RingSeat, Tower, WirePassage
from mounts.shape.sheet import Sheet

DEPTH = 0.6  # mm: three layers, or a line and a half on a wall
MARGIN = 0.8  # mm of bare wall above and below the letters
TAB = 2.5  # mm of tab round its letters, and the radius of its corners
ALONG = 15  # places along a text's box where it is asked what lies beside it
BESIDE = 1.5  # mm from a letter's place to a tool path or the wire's passage


@dataclass(frozen=True, slots=True)
class LabelHost:
    """Surfaces of a ring that can be written on, and what stands in the way."""

    base: Base
    seat: RingSeat
    tower: Tower
    silhouette: Outline
    fixings: tuple[Fixing, ...]
    wire: WirePassage | None


def labels_for(job: RingJob, body: LabelHost) -> tuple[tuple[Label, ...], Outline | None]:
    """Return the labels, none when the job wants none, and the tab that the base needs for them, or None."""
    if job.label is None:
        return (), None
    return _labels((Lettering(job.glyphs, job.label == "raised", DEPTH), job.name, job.side.upper(), body))


@remembered(4)  # of both sides; few readings change what can be written on
def _labels(given: tuple[Lettering, str, str, LabelHost]) -> tuple[tuple[Label, ...], Outline | None]:
    how, job, side, body = given
    whole = f"↑ {job} {side}"
    on_base = _on_base(how, whole, body)
    if on_base:
        return (on_base,), None
    strips = _strips(body)
    up = _first(strips, how, ((("UP →",), 90.0), (("← UP",), 270.0)))
    name = _first(strips, how, (((f"{job} {side}", f"{job} {side[0]}"), None),)) if up else None
    if up and name:
        return (up, name), None
    return _on_tab(how, whole, body)


def _on_base(how: Lettering, text: str, body: LabelHost) -> Label | None:
    """Return the text upright on the base's top, as large and as high up as possible; None where it has no room."""
    edge = body.base.edge + BESIDE  # the outline itself may have corners too sharp to be drawn in by so much
    x0, y0, x1, y1 = np.add(body.base.outline.box, (edge, edge, -edge, -edge))
    grid = np.stack(np.meshgrid(np.arange(x0, x1, 2.0), np.arange(y1, y0, -2.0)), axis=-1).reshape(-1, 2)
    taken = [(body.silhouette, BESIDE), *((fixing.relief, BESIDE) for fixing in body.fixings)]
    for cap in SIZES:
        middle = first_free(
            grid, (how.width(text, cap), how.height(text, cap)), (body.base.outline, edge), taken, ALONG
        )
        if middle is not None:
            return on_plane(how, text, cap, middle, body.base.thickness)
    return None


def _on_tab(how: Lettering, text: str, body: LabelHost) -> tuple[tuple[Label, ...], Outline]:
    """Return the text on a tab at 12:00, and the tab's outline, which the base's hull takes in."""
    cap = SIZES[-1]
    width, height = how.width(text, cap) + 2 * TAB, how.height(text, cap) + 2 * TAB
    top = max(body.base.outline.support(90.0), body.silhouette.support(90.0) + BESIDE - TAB)
    y = top + height / 2
    tab = rectangle(width, height, TAB).moved(0.0, y)
    return (on_plane(how, text, cap, (0.0, y), body.base.thickness),), tab


def _strips(body: LabelHost) -> list[Strip]:
    """Return the leaning wall between base and band, and the band between the speaker's screws, as strips."""
    found = []
    for k in (0, 1):
        strip = strip_on(Sheet(body.tower.outside[k : k + 2]), body.base.thickness, MARGIN)
        found.append(_clear_of(strip, body.fixings, body.wire))
    found[1] = found[1].without(_beside_screws(found[1], body.seat))
    return found


def _first(strips: list[Strip], how: Lettering, wishes: Iterable[tuple[Sequence[str], float | None]]) -> Label | None:
    """Return the first wish that a strip can take, and remove its place from that strip."""
    for texts, facing in wishes:
        for k, strip in enumerate(strips):
            done = fit_label(strip, how, texts, facing)
            if done:
                strips[k] = strip.without(done[1])
                return done[0]
    return None


def _beside_screws(strip: Strip, seat: RingSeat) -> Places:
    """Return which places of the band have a speaker screw's pocket behind them."""
    flat = seat.frame.into(strip.middle)[:, :2]
    taken = np.zeros(len(flat), dtype=bool)
    for screw in seat.screws:
        taken |= np.hypot(*(flat - np.asarray(screw.at)).T) < screw.boss / 2 + DEPTH + BESIDE
    return taken


def _clear_of(strip: Strip, fixings: Sequence[Fixing], wire: WirePassage | None) -> Strip:
    """Return the strip without what tool paths and the wire's passage take away."""
    taken = np.zeros(len(strip.free), dtype=bool)
    for fixing in fixings:
        taken |= depths(fixing.relief, strip.middle[:, :2]) > -BESIDE
    if wire is not None:
        away = wire.frame.into(strip.middle)
        taken |= (away[:, 2] > 0) & (np.abs(away[:, 0]) < wire.diameter / 2 + BESIDE)
    return strip.without(taken)
