"""Slips of the hand that a panel's figures show: another unit, width and height swapped, an angle from the floor.

A figure that is only unusual is asked about: written with its unit, it counts as meant. Ranges are common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import hypot
from typing import TYPE_CHECKING, Any

from mounts.errors import Problem
from mounts.geometry.outline import Outline
from mounts.lengths import Units
from mounts.load.models.outline import OutlineSpec
from mounts.load.models.panel import Located, Panel
from mounts.load.parse.document import Document, Trail
from mounts.load.parse.typed_units import find_units

if TYPE_CHECKING:
    from mounts.geometry.survey.readings import Readings

NEAREST = 150.0  # mm from an opening's centre to an ear or a hip, at least
UPRIGHT, LYING = 45.0, 90.0  # degrees that the skin of a door, and any other panel, leans or is turned at most
HOLES = (2.0, 30.0)  # mm, diameters of holes that a mount is fastened by
SHALLOW = 12.0  # mm: a window's glass is deeper behind the face
BESIDE = 60.0  # mm from the opening's edge, within which fixings lie
UNITS = {"cm": ("cm", 10.0), "in": ("inches", 25.4)}


def find_angle_slips(panel: Located, document: Document) -> Iterator[Problem]:
    """Yield angles and distances to listeners that no panel has."""
    most = UPRIGHT if panel.place == "door" and isinstance(panel, Panel) else LYING
    for key, zero in (("lean", "stands upright"), ("toe", "faces straight inboard")):
        found: float = getattr(panel, key)
        if abs(found) > most and _is_bare(document.data.get(key)):
            turned = f"; give {abs(found) - 90:g} if it was read from the floor" if key == "lean" and found > 90 else ""
            what = f"{key} is 0 where the panel {zero}, and {found:g} is more than {most:g}"
            yield document.problem((key,), f'{what}{turned}; write "{found:g} deg" if it is meant')
    for key, word in (("ears", "ear"), ("seats", "hip point")):
        for name, seat in _seats(getattr(panel, key)):
            straight = hypot(*seat.vector)
            if straight < NEAREST:
                away = find_units(document, panel)(straight, 0)
                what = f"the {word} is {away} from the opening's centre, nearer than any"
                yield document.problem((key, name), f'{what}: write the unit that was read, as in "54 cm" or "21 in"')


def find_place_slips(panel: Panel, document: Document) -> Iterator[Problem]:
    """Yield one problem for what makes several figures of opening, fixings or glass impossible at once."""
    glass = panel.behind.glass if panel.behind else None
    if glass and max(glass.at_clock.values()) < SHALLOW and _is_bare(document.data["behind"]["glass"]):
        worst = max(glass.at_clock.values())
        what = f"the glass is {worst:g} or less behind the face all round, nearer than in any door"
        yield document.problem(("behind", "glass"), f'{what}; write "{worst:g} cm", or "{worst:g} mm" if it is meant')
    for trail, size in _hole_sizes(panel):
        if not HOLES[0] <= size <= HOLES[1]:
            units = find_units(document, panel)
            other = f'"{size:g} cm"' if size < HOLES[0] else f"{size / 10:g}"
            meant = f"is {other} meant?" if units is Units.MM else "measure again"
            what = f"a hole of {units.named(size)} holds no mount"
            yield document.problem(trail, f"{what}; {units(HOLES[0])} to {units(HOLES[1])} is usual: {meant}")
            return
    shape = panel.opening
    inside = _inside(panel, shape.outline())
    key = "oblong" if shape.oblong else "rectangle"
    wide, high = (shape.oblong or shape.rectangle or (0.0, 0.0))[:2]
    if inside and wide != high and not _inside(panel, _turned(shape).outline()):
        across, up = map(find_units(document, panel), (wide, high))
        what = f"[{across}, {up}] is width, then height: {_listed(inside)} in it, and none does in [{up}, {across}]"
        yield document.problem(("opening", key), f"{what}; are they swapped?")
    elif len(inside) == len(panel.fixings.points) and panel.fixings.given_key == "at":
        yield from _other_unit(panel, document)


def find_reading_slips(readings: Readings, opening: OutlineSpec) -> Iterator[tuple[str, Trail, Readings]]:
    """Yield what a caliper's readings may mean instead: what is asked, where, and the readings by that."""
    level = readings.level
    if level is not None:
        first, second = readings.names[level.first], readings.names[level.second]
        one = f"the way from {first} to {second} rises by {readings.units(-level.rise)}"
        what = f"all readings agree where {one}: has the level the wrong sign? A rise is positive, a fall negative"
        if level.rise:
            yield what, ("fixings", "distances", "level"), replace(readings, level=replace(level, rise=-level.rise))
        what = f"all readings agree where level is [{second}, {first}, …]: are the two holes swapped?"
        turned = replace(level, first=level.second, second=level.first)
        yield what, ("fixings", "distances", "level"), replace(readings, level=turned)
    wide, high = (opening.oblong or opening.rectangle or (0.0, 0.0))[:2]
    if wide != high:
        key = "oblong" if opening.oblong else "rectangle"
        swapped = ", ".join(map(readings.units, (high, wide)))
        what = f"all readings agree with an opening of [{swapped}], width, then height: are they swapped?"
        yield what, ("opening", key), replace(readings, opening=_turned(opening).outline())
    for a, b in combinations(range(len(readings.names)), 2):
        letter = {a: b, b: a}
        between = tuple(
            replace(each, first=letter.get(each.first, each.first), second=letter.get(each.second, each.second))
            for each in readings.between
        )
        both = f"{readings.names[a]} and {readings.names[b]}"
        what = f"the distances between holes agree with all else where {both} change places: are these letters swapped?"
        yield what, ("fixings", "distances", "readings"), replace(readings, between=between)


def _other_unit(panel: Panel, document: Document) -> Iterator[Problem]:
    """Yield the unit in which fixings that all lie inside the opening lie well outside it."""
    opening, points = panel.opening.outline(), panel.fixings.points
    for unit, (word, times) in UNITS.items():
        away = [-opening.depth((x * times, y * times)) for x, y in points.values()]
        if min(away) > 0 and max(away) < BESIDE:
            name, (x, _) = next(iter(points.items()))
            what = f"all fixings lie inside the opening, and beside it if they were read in {word}"
            written = f'write each with its unit, as in {name}: ["{x:g} {unit}", …]'
            yield document.problem(("fixings", "at"), f"{what}: {written}")
            return


def _inside(panel: Panel, opening: Outline) -> list[str]:
    """Return the names of the fixings whose holes reach into an opening."""
    hole = panel.fixings.hole or 0.0
    return [name for name, at in panel.fixings.points.items() if opening.depth(at) > -hole / 2]


def _turned(shape: OutlineSpec) -> OutlineSpec:
    """Return an oblong or a rectangle with width and height swapped."""
    if shape.rectangle:
        wide, high, corner = shape.rectangle
        return shape.model_copy(update={"rectangle": (high, wide, corner)})
    return shape.model_copy(update={"oblong": shape.oblong and shape.oblong[::-1]})


def _listed(names: list[str]) -> str:
    return f"fixing{'s' * (len(names) > 1)} {', '.join(names)} lie{'s' * (len(names) == 1)}"


def _hole_sizes(panel: Panel) -> Iterator[tuple[tuple[str, ...], float]]:
    if panel.fixings.hole is not None:
        yield ("fixings", "hole"), panel.fixings.hole
    for name, size in panel.fixings.holes.items():
        yield ("fixings", "holes", name), size


def _seats(given: Any) -> Iterator[tuple[str, Any]]:
    for name in ("this_seat", "other_seat"):
        seat = getattr(given, name, None)
        if seat is not None:
            yield name, seat


def _is_bare(raw: Any) -> bool:
    """Return whether none of some figures, as they were written, has a unit."""
    if isinstance(raw, dict):
        return all(map(_is_bare, raw.values()))
    return not isinstance(raw, str) or raw.strip()[-1:].isdigit()
