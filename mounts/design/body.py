"""The speaker as solid things: rings of its body, its terminals, its front; told in a seat's frame or sampled in space.

Level is measured along the seat's z from the seat plane; the speaker stands `lift` above it on its squeezed gasket.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from mounts.geometry.frames import Array, Frame, heading
from mounts.load.models.resolved import SpeakerFixing
from mounts.load.models.speaker import Speaker, Terminals

Ring = tuple[float, float]  # level, diameter


def body_rings(speaker: Speaker, lift: float) -> tuple[Ring, ...]:
    """Level and diameter of every corner of the body's profile, from the seat to the rearmost point.

    Without a measured profile the body is taken as wide as its cutout over its whole depth.
    """
    steps = [(step.depth, step.across) for step in speaker.body] or [(0.0, speaker.cutout.least)]
    if steps[-1][0] < speaker.depth:
        steps.append((speaker.depth, steps[-1][1]))
    return tuple((lift - depth, across) for depth, across in steps)


def front_rings(speaker: Speaker, lift: float, fixing: SpeakerFixing | None) -> tuple[tuple[str, float, float], ...]:
    """What stands in front of the seat and does not move: (what, level of its top, diameter)."""
    top = lift + speaker.flange.thickness
    found = [("flange", top, speaker.flange.across)]
    if speaker.front is not None and speaker.piston_diameter is not None:
        found.append(("surround", lift + speaker.front.height, speaker.piston_diameter))
    if speaker.holes is not None and fixing is not None and fixing.screw is not None:
        reach = max(float(np.hypot(*at)) for at in speaker.holes.points.values())
        sunk = fixing.screw.head == "countersunk"
        height = 0.0 if sunk else fixing.screw.head_height
        found.append(("speaker screws", top + height, 2 * reach + fixing.screw.head_diameter))
    return tuple(found)


def body_points(seat: Frame, rings: tuple[Ring, ...], *, spacing: float = 1.0) -> Array:
    """Points of the body's surface, (n, 3) float in the panel frame, no further apart than about `spacing` mm."""
    levels, widths = _filled(rings, spacing)
    around = np.linspace(0, 2 * np.pi, max(12, int(np.pi * widths.max() / spacing)), endpoint=False)
    shell = _circles(levels, widths, around)
    end, across = rings[-1]
    within = across * np.linspace(0, 1, max(2, int(across / 2 / spacing)))
    rear = _circles(np.full(len(within), end), within, around)
    return seat.out(np.concatenate([shell, rear]))


def through_sheet(seat: Frame, rings: tuple[Ring, ...], low: float, high: float) -> Array:
    """Points (x, y) of the body's surface between two heights of the panel, (n, 2) float; both heights are met exactly.

    A ruling of the body runs along the axis from ring to ring, so where it crosses a height follows linearly.
    """
    around = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    found = []
    for (l0, d0), (l1, d1) in pairwise(rings):
        a, b = (seat.out(_circles(np.array([lev]), np.array([dia]), around)) for lev, dia in ((l0, d0), (l1, d1)))
        found += [p[(p[:, 2] >= low) & (p[:, 2] <= high)] for p in (a, b)]
        rise = b[:, 2] - a[:, 2]
        for z in (low, high):
            share = (z - a[:, 2]) / np.where(np.abs(rise) < 1e-12, np.inf, rise)
            crosses = (share > 0) & (share < 1)
            found.append(a[crosses] + share[crosses, None] * (b - a)[crosses])
    return np.concatenate(found)[:, :2]


def terminal_corners(terminal: Terminals, turn: float, lift: float) -> Array:
    """The eight corners of a terminal in the seat's frame, (8, 3) float; its inner side lies on the axis."""
    ahead = np.array(heading(terminal.at + turn))
    aside = np.array([ahead[1], -ahead[0]]) * terminal.width / 2
    flat = [ahead * reach + way * aside for reach in (0.0, terminal.reach) for way in (-1, 1)]
    return np.array([(*place, lift - depth) for place in flat for depth in terminal.depth])


def _filled(rings: tuple[Ring, ...], spacing: float) -> tuple[Array, Array]:
    levels, widths = np.array(rings, dtype=float).T
    run = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(levels), np.diff(widths) / 2))])
    places = np.unique(np.concatenate([run, np.arange(0, run[-1], spacing)]))
    return np.interp(places, run, levels), np.interp(places, run, widths)


def _circles(levels: Array, widths: Array, around: Array) -> Array:
    ring = np.stack([np.cos(around), np.sin(around)], axis=1)
    flat = widths[:, None, None] / 2 * ring
    deep = np.broadcast_to(levels[:, None, None], (*flat.shape[:2], 1))
    return np.concatenate([flat, deep], axis=2).reshape(-1, 3)
