"""Envelopes of the real things round a cup; findings name gaps by these identities."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.body import body_rings, terminal_block
from mounts.design.measured_planes import things_standing
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import circle, rectangle
from mounts.identity import BODY, GRILLE, REAR_FACE, ROOM_END, TWEETER
from mounts.kinds.cup.seat import disc_outline, front_discs, grille_aperture
from mounts.kinds.cup.values import CupPlan
from mounts.load.models.job_kinds import CupJob
from mounts.shape.primitives import Body, Prism, Revolved
from mounts.shape.recipe import Envelope

SPAN = 400.0  # mm: wider than any cup with what is near it
THICK = 3.0  # mm: plates that stand for something endless, away from the cup


def surroundings(job: CupJob, plan: CupPlan) -> tuple[Envelope, ...]:
    """Return every envelope that the measurements give."""
    return (*_tweeter(job, plan), *_panel(job), *_behind(job, plan))


def _tweeter(job: CupJob, plan: CupPlan) -> Iterator[Envelope]:
    seat = plan.seat
    body: list[Body] = [Revolved(seat.frame, tuple(reversed(body_rings(job.speaker, 0.0))))]
    yield Envelope(BODY, tuple(body))
    for terminal in job.speaker.terminals:
        block = terminal_block(terminal, seat.frame, seat.turn, 0.0)
        body.append(Prism(block.outline, -block.deep, 0.0, block.frame))
    yield Envelope(TWEETER, tuple(body))
    for front in front_discs(job, seat.flange):
        yield Envelope(front.ident, (Prism(disc_outline(seat, front), 0.0, front.over, seat.frame),))


def _panel(job: CupJob) -> Iterator[Envelope]:
    grille, hole = job.panel.grille, grille_aperture(job)
    if grille is not None and hole is not None:
        cover = Prism(rectangle(SPAN, SPAN, 1.0), grille.height, grille.height + THICK)
        yield Envelope(GRILLE, (cover,))
    face = Prism(rectangle(SPAN, SPAN, 1.0), 0.0, THICK, PANEL, (hole,) if hole else ())
    yield Envelope(REAR_FACE, (face,))
    for ident, thing in things_standing(job.panel):
        body = Prism(thing.outline(), -thing.height, 0.0)
        yield Envelope(ident, (body,))


def _behind(job: CupJob, plan: CupPlan) -> Iterator[Envelope]:
    end = Prism(rectangle(SPAN, SPAN, 1.0), -job.panel.room - THICK, -job.panel.room)
    yield Envelope(ROOM_END, (end,))
    for s in plan.stakes:
        head = Prism(circle(s.head.diameter, s.at), -s.seat - s.head.height, -s.seat)
        yield Envelope(s.pin_head, (head,))
