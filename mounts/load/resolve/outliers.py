"""Readings by the clock against each other: of four or more, one far off the plane of all others is misread."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import cos, radians, sin
from statistics import median

from mounts.errors import Problem
from mounts.geometry.outline import Outline
from mounts.lengths import Units
from mounts.load.models.panel import Panel
from mounts.load.parse.document import Document, Trail
from mounts.load.parse.typed_units import typed_units
from mounts.load.parse.units import clock, format_clock

FEWEST = 4  # readings: three of them make the plane
FAR = 30.0  # mm: hardly any glass, trim or grille is so bent round one opening; common practice, no source
# A bent trim is off the plane of the others everywhere alike, by up to four times as much as off the middle of all; a
# slip is as far off the one as off the other.
ALONE = 0.5

Place = tuple[float, float, float]


def find_outliers(panel: Panel, document: Document) -> Iterator[Problem]:
    """Yield for glass, trim and grille the one reading that contradicts all others, if there is one."""
    for trail, read, rim in _planes(panel):
        places = {one: _place(rim, one, height) for one, height in read.items()}
        off = {one: read[one] - _of_others(places, one) for one in read}
        usual = median(read.values())  # four round a circle contradict each other alike: then the odd one out
        worst = max(off, key=lambda one: (round(abs(off[one]), 3), abs(read[one] - usual)))
        if abs(off[worst]) > FAR and abs(read[worst] - usual) > ALONE * abs(off[worst]):
            units = typed_units([(document.data, type(panel))])
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
