"""Way of the tweeter into its cup and out again, straight along its axis, and what stands in that way.

The flange lies before the seat, so the tweeter goes in from the front: through the grille's opening once the cup is
staked, where the grille comes off and the flange passes; else into the cup before it is staked. A nut or clip goes on
from behind in both cases. What the ribs grip is no part of these gaps: it is pushed through them.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

import numpy as np

from mounts.design.body import Least, body_rings, terminal_block, terminal_corners
from mounts.findings.compare import SEARCHED
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Frame
from mounts.geometry.outline import Outline, circle, rectangle
from mounts.geometry.ties import first_least_rows
from mounts.identity import BORE, CUP, Ident, Role
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.seat import ROOM, seat_for
from mounts.kinds.cup.stakes import pin_heads
from mounts.kinds.cup.values import CupPlan, CupSeat, Way
from mounts.load.models.pins import Grille
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Envelope

BEFORE = 60.0  # mm before the seat from where the tweeter is put in
OVER = 0.4  # mm over seat, lip or lugs from which the flange's way is measured: what lies under it, it touches
RIM = 1.0  # mm: least depth of an opening's wall, where its grille lies in the rear face itself
SPAN = 400.0  # mm: wider than any cup
FLANGE_WAY = Ident(Role.WAY, "flange", "flange on its way in and out")
BODY_WAY = Ident(Role.WAY, "body", "body on its way in and out")
PLUG_WAY = Ident(Role.WAY, "plugs on the terminals", "plugs on the terminals on their way in and out")
OPENING_WAY = Ident(Role.WAY, "grille's opening", "grille's opening, the grille off")


def choose_way(job: CupJob, seat: CupSeat) -> Way:
    """Return whether the flange passes the grille's opening, or goes in with the cup."""
    through = opening_gap(job, seat.frame, seat.flange)
    return "grille" if through is not None and through[0] >= job.limits.passing - SEARCHED else "cup"


def find_way(job: CupJob) -> Way:
    """Return the way before anything else is planned."""
    return choose_way(job, seat_for(job, pin_heads(job)))


def opening_gap(job: CupJob, frame: Frame, outline: Outline) -> Least | None:
    """Return how far from the wall of the grille's opening an outline passes along a frame's z, mm, and where.

    It is negative where the outline does not pass; None is returned where no grille was read that comes off.
    """
    grille = _open_grille(job)
    if grille is None:
        return None
    opening = grille.outline().moved(*grille.at)
    edge, own = (np.insert(one.points(1e-3, least=40), 2, 0.0, axis=1) for one in (opening, outline))
    levels, own = np.linspace(0.0, max(grille.height, RIM), 9), frame.out(own)
    wall = np.concatenate([np.add(edge, (0.0, 0.0, z)) for z in levels])
    passing = np.concatenate([own + np.outer((z - own[:, 2]) / frame.z[2], frame.z) for z in levels])
    apart = np.concatenate([-depths(outline, frame.into(wall)[:, :2]), depths(opening, passing[:, :2])])
    k = int(first_least_rows(apart))
    x, y, z = (float(value) for value in np.concatenate([wall, passing])[k])
    return float(apart[k]), (x, y, z)


def _open_grille(job: CupJob) -> Grille | None:
    grille = job.panel.grille
    return grille if grille is not None and grille.cover == "comes off" else None


def way_gaps(job: CupJob, plan: CupPlan) -> Iterator[Gap]:
    """Yield the gaps on that way: flange to cup, body and plugs to the bore, flange to the grille's opening."""
    seat, limit, at = plan.seat, job.limits.passing, plan.seat.frame.origin
    aside = float(depths(seat.room, seat.flange.points(1e-3, least=40)).min())
    yield Gap("way.tweeter", (FLANGE_WAY, CUP), aside, ROOM, ROOM, PRACTICE, at)
    if seat.press is None:
        body = seat.bore.depth((0.0, 0.0)) - _widest(job)[1] / 2
        yield Gap("way.tweeter", (BODY_WAY, BORE), body, limit, limit, PRACTICE, at)
    if job.speaker.terminals:
        free = circle(seat.press.inside) if seat.press else seat.bore  # ribs are taken as a ring
        corners = np.concatenate([terminal_corners(one, seat.turn, 0.0)[:, :2] for one in job.speaker.terminals])
        plugs, ribbed = float(depths(free, corners).min()), seat.press is not None
        yield Gap("way.tweeter", (PLUG_WAY, BORE), plugs, limit, -inf, PRACTICE, at, bound=ribbed)
    through = opening_gap(job, seat.frame, seat.flange)
    if through is not None:
        pair = (FLANGE_WAY, OPENING_WAY)
        yield Gap("way.tweeter", pair, through[0], limit, -inf, PRACTICE, through[1], "panel.grille")


def _widest(job: CupJob) -> tuple[float, float]:
    """Return level and diameter of the widest place of the body, the deepest of equal ones."""
    return max(body_rings(job.speaker, 0.0), key=lambda ring: (ring[1], -ring[0]))


def way_envelopes(job: CupJob, plan: CupPlan) -> Iterator[Envelope]:
    """Yield what flange, body and plugs sweep on that way, and the wall of the grille's opening.

    Body and plugs are swept from half-way down the bore, which has one section all the way.
    """
    seat, press = plan.seat, plan.seat.press
    start = OVER + (press.under + press.thick + press.slope if press else 0.0)
    yield Envelope(FLANGE_WAY, (Prism(seat.flange, start, BEFORE, seat.frame),))
    level, across = _widest(job)
    yield Envelope(BODY_WAY, (Prism(circle(across), max(level, -seat.grip / 2), BEFORE, seat.frame),))
    plugs = []
    for terminal in job.speaker.terminals:
        block, high = terminal_block(terminal, seat.frame, seat.turn, 0.0), terminal.depth[0]
        plugs.append(Prism(block.outline, max(-block.deep, high - seat.grip / 2), BEFORE, block.frame))
    yield Envelope(PLUG_WAY, tuple(plugs))
    grille = _open_grille(job)
    if grille is not None:
        opening = grille.outline().moved(*grille.at)
        wall = Prism(rectangle(SPAN, SPAN, 1.0), 0.0, max(grille.height, RIM), PANEL, (opening,))
        yield Envelope(OPENING_WAY, (wall,))
