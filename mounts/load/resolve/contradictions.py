"""Contradictions within one profile: numbers that are each possible, but not together.

Readings by the clock against each other: of four or more, one far off the plane of all others is misread.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise
from math import cos, dist, radians, sin
from statistics import median

from mounts.errors import Problem
from mounts.geometry.outline import Outline
from mounts.lengths import Units
from mounts.load.models.device import Device
from mounts.load.models.fastener import SetNut
from mounts.load.models.job import PanelFixing
from mounts.load.models.limits import Limits
from mounts.load.models.outline import Point
from mounts.load.models.panel import Panel, Side
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.parse.document import Document, Trail
from mounts.load.parse.typed_units import find_units
from mounts.load.parse.units import clock, format_clock, quote_value
from mounts.load.resolve.slips import find_angle_slips, find_place_slips

FEWEST = 4  # readings: three of them make the plane
FAR = 30.0  # mm: hardly any glass, trim or grille is so bent round one opening; common practice, no source
# A bent trim is off the plane of the others everywhere alike, by up to four times as much as off the middle of all; a
# slip is as far off the one as off the other.
ALONE = 0.5

Place = tuple[float, float, float]
FURTHEST = 500.0  # mm: no fixing of a loudspeaker lies further from the opening's centre
WIDEST = 300.0  # mm: no two pins of one tweeter's cup are further apart
APART = 2.0  # mm of panel that must be left between two holes
ALIKE = 2.0  # mm by which the same distance may differ on the two sides of a vehicle and still be one pattern
READ = 3.0  # standard deviations of a hole's reading by which it may exceed what still holds the hardware


def find_outliers(panel: Panel, document: Document) -> Iterator[Problem]:
    """Yield for glass, trim and grille the one reading that contradicts all others, if there is one."""
    for trail, read, rim in _planes(panel):
        places = {one: _place(rim, one, height) for one, height in read.items()}
        off = {one: read[one] - _of_others(places, one) for one in read}
        usual = median(read.values())  # four round a circle contradict each other alike: then the odd one out
        worst = max(off, key=lambda one: (round(abs(off[one]), 3), abs(read[one] - usual)))
        if abs(off[worst]) > FAR and abs(read[worst] - usual) > ALONE * abs(off[worst]):
            units = find_units(document, panel)
            given = f"{read[worst]:.4g}" if units is Units.MM else units(read[worst])
            what = f"{given} lies far off the plane of the other readings, which make it"
            whole = units(read[worst] - off[worst], 0)
            yield document.problem(_as_written(trail, worst, document), f"{what} {whole}")


def _planes(panel: Panel) -> Iterator[tuple[Trail, Mapping[float, float], Outline]]:
    """Yield what was read by the clock: its trail, the readings and the rim at which they were taken."""
    behind, front = panel.behind, panel.in_front
    for trail, found, rim in (
        (("behind", "glass"), behind.glass if behind else None, panel.opening.outline()),
        (("in_front", "trim"), front.trim if front else None, panel.trim_rim),
        (("in_front", "grille"), front.grille if front else None, panel.trim_rim),
    ):
        if found is not None and len(found.at_clock) >= FEWEST:
            yield trail, found.at_clock, rim


def _place(rim: Outline, direction: float, height: float) -> Place:
    """Return the place of a reading on the ellipse in the rim's box, an approximation that suffices here."""
    x0, y0, x1, y1 = rim.box
    return (sin(radians(direction)) * (x1 - x0) / 2, cos(radians(direction)) * (y1 - y0) / 2, height)


def _of_others(places: Mapping[float, Place], left_out: float) -> float:
    """Return the height of the least-squares plane of all other readings at the place of one, mm."""
    others = [place for one, place in places.items() if one != left_out]
    mx, my, mz = (sum(place[k] for place in others) / len(others) for k in range(3))
    away = [(x - mx, y - my, z - mz) for x, y, z in others]
    xx, xy, yy, xz, yz = (_product(away, *pair) for pair in ((0, 0), (0, 1), (1, 1), (0, 2), (1, 2)))
    whole = xx * yy - xy * xy
    if whole < 1e-6:  # all in one line
        return mz
    x, y, _ = places[left_out]
    return mz + ((xz * yy - yz * xy) * (x - mx) + (yz * xx - xz * xy) * (y - my)) / whole


def _product(away: Sequence[Place], one: int, other: int) -> float:
    return sum(place[one] * place[other] for place in away)


def _as_written(trail: Trail, direction: float, document: Document) -> Trail:
    """Return the trail of a reading in the file, with its direction as it was written."""
    at_clock = (*trail, "at_clock")
    written = document.data[trail[0]][trail[1]]["at_clock"]
    return (*at_clock, next((key for key in written if clock(key) == direction), format_clock(direction)))


def find_contradictions(profile: object, document: Document) -> Iterator[Problem]:
    """Yield everything in a profile that cannot be true at once, each with its place."""
    match profile:
        case Panel():
            slips = [*find_angle_slips(profile, document), *(places := list(find_place_slips(profile, document)))]
            yield from slips if places else (*slips, *_fixings(profile, document))
            yield from _readings(profile, document)
        case PinPanel():
            yield from find_angle_slips(profile, document)
            yield from _pins(profile, document)
            yield from _check_readings(profile, profile.points, document)
        case Device():
            yield from _device(profile, document)
        case Speaker():
            yield from _body(profile, document)
            yield from _terminals(profile, document)
            yield from _holes(profile, document)


def _fixings(panel: Panel, document: Document) -> Iterator[Problem]:
    units = find_units(document, panel)
    opening, hole = panel.opening.outline(), panel.fixings.hole or 0.0
    for name, at in panel.fixings.points.items():
        trail = _fixing(panel, name)
        inside = opening.depth(at)
        if inside > -hole / 2:
            what = "lies inside the opening" if inside > 0 else "breaks into the opening"
            yield document.problem(trail, f"fixing {name} {what}; there is nothing to fasten to")
        if (away := dist(at, (0, 0))) > FURTHEST:
            what = f"fixing {name} lies {units(away, 0)} from the opening's centre; {units(FURTHEST, 0)} is the most"
            yield document.problem(trail, what)
    for (one, p), (other, q) in combinations(panel.fixings.points.items(), 2):
        if (apart := dist(p, q)) < hole + APART:
            what = (
                f"fixings {one} and {other} are {units(apart, 2)} apart; holes of {units(hole)} "
                f"need {units(hole + APART)}"
            )
            yield document.problem(_fixing(panel, other), what)


def _pins(panel: PinPanel, document: Document) -> Iterator[Problem]:
    """Yield pairs of pins too far apart for one cup."""
    units = find_units(document, panel)
    for (one, p), (other, q) in combinations(panel.points.items(), 2):
        if (apart := dist(p, q)) > WIDEST:
            what = f"pins {one} and {other} are {units(apart, 0)} apart; {units(WIDEST, 0)} is the most"
            yield document.problem(("pins", other, "at"), what)


def _fixing(panel: Panel, name: str) -> Trail:
    way = panel.fixings.given_key
    return ("fixings", way, name) if way in ("at", "points") else ("fixings", way)


def _readings(panel: Panel, document: Document) -> Iterator[Problem]:
    units = find_units(document, panel)
    if panel.face.bead and panel.face.bead.inside < panel.opening.least:
        what = f"the bead begins at {units(panel.face.bead.inside)}, inside the opening of {units(panel.opening.least)}"
        yield document.problem(("face", "bead", "inside"), what)
    yield from find_outliers(panel, document)
    yield from _check_readings(panel, panel.fixings.points, document)


def _check_readings(panel: Panel | PinPanel, points: Mapping[str, Point], document: Document) -> Iterator[Problem]:
    """Compare distances between fixings read on the other side with those of the pattern."""
    units = find_units(document, panel)
    if panel.other_side is None:
        return
    for pair, read in panel.other_side.check.items():
        trail = ("other_side", "check", pair)
        ends = pair.split("-")
        if len(ends) != 2 or any(end not in points for end in ends):
            what = f"{quote_value(pair)} names no two fixings; write it as {'-'.join(list(points)[:2])}"
            yield document.problem(trail, what, key=True)
        elif abs(read - (here := dist(points[ends[0]], points[ends[1]]))) > ALIKE:
            what = (
                f"{pair} is {units(read)} on the other side but {units(here, 2)} here; measure "
                "that side as a panel of its own"
            )
            yield document.problem(trail, what)


def _body(speaker: Speaker, document: Document) -> Iterator[Problem]:
    units = find_units(document, speaker)
    least = speaker.cutout.least
    for i, step in enumerate(speaker.body):
        if step.across > least:
            what = (
                f"the body is {units(step.across)} across at depth {units(step.depth)}; the "
                f"cutout passes {units(least)}"
            )
            yield document.problem(("body", i, "across"), what)
        if step.depth > speaker.depth:
            what = f"the body goes on to {units(step.depth)}, deeper than the speaker's depth of {units(speaker.depth)}"
            yield document.problem(("body", i, "depth"), what)
    for i, (before, after) in enumerate(pairwise(speaker.body), 1):
        if after.depth < before.depth:
            what = f"depth {units(after.depth)} comes after {units(before.depth)}; give the body in rising depth"
            yield document.problem(("body", i, "depth"), what)


def _terminals(speaker: Speaker, document: Document) -> Iterator[Problem]:
    units = find_units(document, speaker)
    single = isinstance(document.data.get("terminals"), dict)
    for i, terminals in enumerate(speaker.terminals):
        if terminals.depth[1] > speaker.depth:
            trail: Trail = ("terminals", "depth", 1) if single else ("terminals", i, "depth", 1)
            what = (
                f"the terminals reach {units(terminals.depth[1])}, deeper than the speaker's "
                f"depth of {units(speaker.depth)}"
            )
            yield document.problem(trail, what)


def _holes(speaker: Speaker, document: Document) -> Iterator[Problem]:
    if speaker.holes is None:
        return
    cutout, flange, hole = speaker.cutout.outline(), speaker.flange.outline(), speaker.holes.diameter
    for name, at in speaker.holes.points.items():
        trail: Trail = ("holes", "bolt_circle", "diameter")
        if speaker.holes.at is not None:
            listed = isinstance(document.data["holes"]["at"], list)
            trail = ("holes", "at", int(name) - 1 if listed else name)
        if cutout.depth(at) > -hole / 2:
            what = "lies inside the cutout" if cutout.depth(at) > 0 else "breaks into the cutout"
            yield document.problem(trail, f"screw hole {name} {what}; there is nothing to screw into")
        elif flange.depth(at) < 0 and speaker.flange.ears is None:
            what = f"screw hole {name} lies outside the flange; give flange its ears: the width round each hole"
            yield document.problem(trail, what)
        if speaker.holes.at is None and cutout.is_circle and flange.is_circle:
            return  # what holds for one hole of a bolt circle holds for all


def _device(device: Device, document: Document) -> Iterator[Problem]:
    """Yield holes outside the device's outline, and a body larger than it."""
    units = find_units(document, device)
    whole = device.outline.outline()
    listed = isinstance(document.data["holes"]["at"], list)
    for name, at in device.holes.at.items():
        if whole.depth(at) < 0:
            trail: Trail = ("holes", "at", int(name) - 1 if listed else name)
            yield document.problem(trail, f"hole {name} lies outside the outline; the outline has the ears in it")
    if device.body is not None and device.body.across > device.outline.across + 1e-6:
        what = f"the body is {units(device.body.across, 1)} across and the outline {units(device.outline.across, 1)}"
        yield document.problem(("body",), f"{what}; the outline holds the body and its ears")


def oversized_holes(panel: Panel, document: Document, fixing: PanelFixing | None, limits: Limits) -> Iterator[Problem]:
    """Yield panel holes surely too large for the hardware to be set in them.

    A smaller one can be opened up; one that is too large by no more than its reading may be off is left to a gauge.
    """
    units = find_units(document, panel)
    needed = fixing.hardware.needs if fixing and isinstance(fixing.hardware, SetNut) else None
    spare = READ * limits.uncertainty(panel.read_with.holes)
    sizes: dict[Trail, float | None] = {("fixings", "hole"): panel.fixings.hole}
    sizes |= {("fixings", "holes", name): size for name, size in panel.fixings.holes.items()}
    for trail, given in sizes.items():
        if fixing and needed and given and given > needed + limits.panel_hole + spare + 1e-9:
            what = f"the hole is {units(given)}, but {fixing.hardware.name} holds in {units(needed)} to"
            what = (
                f"{what} {units(needed + limits.panel_hole)}, and a reading is off by {units(round(spare, 2))} at most"
            )
            yield document.problem(trail, f"{what}; choose larger hardware, or measure again")


def repeated_sides(sides: tuple[Side, ...], document: Document) -> Iterator[Problem]:
    """Yield a problem where a side is given more than once, or none is."""
    if len(set(sides)) < len(sides) or (not sides and "sides" in document.data):
        yield document.problem(("sides",), "give each side once: [left], [right] or [left, right]")
