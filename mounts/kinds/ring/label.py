"""The ring's lettering: name and side where the tower is highest, and UP with an arrow where its wall faces sideways.

At 3:00 and at 9:00 the tower's wall runs up and down the vehicle, so an arrow along it points up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from mounts.design.lettering import Label, Lettering, Places, Strip, fitted, strip_on
from mounts.geometry.distance import depths
from mounts.kinds.ring.values import Base, Fixing, Passage, Seat, Tower
from mounts.load.models.resolved import Job
from mounts.shape.sheet import Sheet

DEPTH = 0.6  # mm: three layers, or a line and a half on a wall
MARGIN = 0.8  # mm of bare wall above and below the letters
BESIDE = 1.5  # mm from a letter's place to a tool path or the wire's passage


def labels_for(
    job: Job, body: tuple[Base, Seat, Tower], fixings: Sequence[Fixing], wire: Passage | None
) -> tuple[Label, ...]:
    """The labels that find room; none when the job wants none.

    The leaning wall between base and band is tried first, then the band itself between the speaker's screws.
    """
    if job.label is None:
        return ()
    base, seat, tower = body
    top = base.thickness
    lean, band = (_clear_of(strip_on(Sheet(tower.outside[k : k + 2]), top, MARGIN), fixings, wire) for k in (0, 1))
    strips = [lean, band.without(_beside_screws(band, seat))]
    how = Lettering(job.glyphs, job.label == "raised", DEPTH)
    side = job.side.upper()
    found = []
    for wishes in (
        ((("UP →",), 90.0), (("← UP",), 270.0)),
        (((f"{job.name} {side}", f"{job.name} {side[0]}", side, side[0]), None),),
    ):
        label = _first(strips, how, wishes)
        if label:
            found.append(label)
    return tuple(found)


def _first(strips: list[Strip], how: Lettering, wishes: Iterable[tuple[Sequence[str], float | None]]) -> Label | None:
    """The first wish that a strip can take; what it takes is gone from that strip."""
    for texts, facing in wishes:
        for k, strip in enumerate(strips):
            done = fitted(strip, how, texts, facing)
            if done:
                strips[k] = strip.without(done[1])
                return done[0]
    return None


def _beside_screws(strip: Strip, seat: Seat) -> Places:
    """Places of the band that have a speaker screw's pocket behind them."""
    flat = seat.frame.into(strip.middle)[:, :2]
    taken = np.zeros(len(flat), dtype=bool)
    for screw in seat.screws:
        taken |= np.hypot(*(flat - np.asarray(screw.at)).T) < screw.boss / 2 + DEPTH + BESIDE
    return taken


def _clear_of(strip: Strip, fixings: Sequence[Fixing], wire: Passage | None) -> Strip:
    """The strip without what tool paths and the wire's passage take away."""
    taken = np.zeros(len(strip.free), dtype=bool)
    for fixing in fixings:
        taken |= depths(fixing.relief, strip.middle[:, :2]) > -BESIDE
    if wire is not None:
        away = wire.frame.into(strip.middle)
        taken |= (away[:, 2] > 0) & (np.abs(away[:, 0]) < wire.diameter / 2 + BESIDE)
    return strip.without(taken)
