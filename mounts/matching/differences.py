"""Differences between two panels whose holes are the same, as far as a mount must know."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import dist, hypot

from mounts.geometry.registration import Motion
from mounts.load.catalogue.panel_summary import PanelSummary

SEEN = 0.05  # mm: less is the same figure


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that is otherwise here.

    Attributes:
        what: it is.
        here: value of the panel that was looked for, mm or words; None where it was not measured.
        there: the same of the library's panel.
        worse: whether a mount made for there has less room here, or what it rests on is missing.
        unit: of its figures, mm or deg.
    """

    what: str
    here: float | str | None
    there: float | str | None
    worse: bool
    unit: str = "mm"


def differences(
    other: PanelSummary, known: PanelSummary, motion: Motion, pairs: Sequence[tuple[str, str]]
) -> tuple[Difference, ...]:
    """Return everything that differs.

    Args:
        other: the library's panel.
        known: the one that was looked for.
        motion: motion from there to here.
        pairs: names of the points that lie on each other, the library's first.
    """
    return (
        *_openings(other, known, motion),
        *_of_points("diameter of pin" if known.pins else "panel hole", other.sizes, known.sizes, pairs),
        *_of_points("height of pin" if known.pins else "step of the face, fixing", other.heights, known.heights, pairs),
        *_rooms("depth to", other.depths, known.depths),
        *_things(other, known, motion),
        *_rooms("height of", other.fronts, known.fronts),
        *_face(other, known),
        *([Difference("place", known.place or None, other.place or None, True)] if known.place != other.place else []),
    )


def _openings(other: PanelSummary, known: PanelSummary, motion: Motion) -> Iterator[Difference]:
    what = "grille" if known.pins else "opening"
    there, here = other.opening, known.opening
    if there is None or here is None:
        if there is not here:
            yield Difference(what, here[3] if here else None, there[3] if there else None, True)
        return
    if there[3] != here[3]:
        yield Difference(what, here[3], there[3], min(here[1] - there[1], here[2] - there[2]) < 0)
    (x, y), (u, v), sd = motion.moved(there[0]), here[0], hypot(other.sd, known.sd)
    off = hypot(x - u, y - v)
    if off > max(sd, SEEN):
        yield Difference(f"middle of the {what} off by", round(off, 2), 0.0, off > 3 * sd)
    if here[2] - here[1] > SEEN and abs(motion.turn) % 180 > 1:
        yield Difference(f"{what} lies turned by", round(abs(motion.turn), 1), 0.0, True, "deg")


def _of_points(
    what: str, there: Mapping[str, float], here: Mapping[str, float], pairs: Sequence[tuple[str, str]]
) -> Iterator[Difference]:
    """Yield sizes that differ at the points; one difference where all differ alike."""
    found = {two: (here.get(two), there.get(one)) for one, two in pairs}
    other = {name: both for name, both in found.items() if _differ(*both)}
    if len(other) == len(found) and len(set(other.values())) == 1:
        mine, theirs = next(iter(other.values()))
        yield Difference(f"{what}, all of them", mine, theirs, True)
        return
    for name, (mine, theirs) in other.items():
        yield Difference(f"{what} {name}", mine, theirs, True)


def _rooms(what: str, there: Mapping[str, float], here: Mapping[str, float]) -> Iterator[Difference]:
    """Yield differences of room behind or in front: less is worse, and so is a measurement on one panel only."""
    for name in dict.fromkeys((*here, *there)):
        mine, theirs = here.get(name), there.get(name)
        if _differ(mine, theirs):
            yield Difference(f"{what} {name}", mine, theirs, mine is None or theirs is None or mine < theirs)


def _things(other: PanelSummary, known: PanelSummary, motion: Motion) -> Iterator[Difference]:
    """Yield differences of depths to things, which are paired by place, the nearest first, not by name."""
    ways = sorted(
        (dist(motion.moved(there[1]), here[1]), mine, theirs)
        for mine, here in enumerate(known.things)
        for theirs, there in enumerate(other.things)
    )
    same: dict[int, int] = {}
    for off, mine, theirs in ways:
        reach = max(known.things[mine][2], other.things[theirs][2]) / 2
        if off <= reach and mine not in same and theirs not in same.values():
            same[mine] = theirs
    for mine, (label, _, _, depth) in enumerate(known.things):
        there = other.things[same[mine]][3] if mine in same else None
        if _differ(depth, there):
            yield Difference(f"depth to {label}", depth, there, there is None or depth < there)
    for theirs, (label, _, _, depth) in enumerate(other.things):
        if theirs not in same.values():
            yield Difference(f"depth to {label}", None, depth, True)


def _face(other: PanelSummary, known: PanelSummary) -> Iterator[Difference]:
    for what in dict.fromkeys((*known.told, *other.told)):
        mine, theirs = known.told.get(what), other.told.get(what)
        if _differ(mine, theirs):
            yield Difference(f"{what} {'height' if what == 'bead' else 'thickness'}", mine, theirs, True)


def _differ(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is not other
    return abs(one - other) > SEEN
