"""A hole pattern in words: as text for the screen, and as one JSON document.

`pattern_json` writes, lengths in mm, angles in degrees, figures rounded to 1e-4:

schema: number of this format (1); it rises when a field changes its meaning.
panel, side: whose pattern it is; seen from the cabin, origin at the opening's centre.
measured: {by, on}; null where it was not said.
instrument: {name, sd}: what the holes were read with, and its one standard deviation.
told_by: at, bolt_circle, distances, trace, points or pins.
fixings: one entry a hole: name, at [x, y], size (null when not measured), clock and away, its direction and distance
    from the origin, and ellipse {long, short, turn}: whole axes of the 1-σ ellipse, turn counter-clockwise from +x.
covariance: 2n rows of 2n, x, y of each hole in turn, mm².
readings: one entry a figure: label, read, residual, expected (what the others make it; null where none tell of it),
    expected_sd, sds.
disagreement: null, or {what, suspects}: labels of the readings of which one is wrong.
next: the reading that would sharpen the pattern most; "" when there is none.
rims: one entry for each rim that was fitted: name, shape, sizes, rms, worst.
bolt_circle: null of two holes and of pins, else verdict, diameter, diameter_sd, centre, first, apart (a hole each),
    misfit, allowed, through, off_circle.
files: names of the files written beside.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from math import atan2, degrees, hypot
from textwrap import wrap
from typing import Any

from mounts.design.pattern import HolePattern
from mounts.geometry.fitting.values import RimFit
from mounts.geometry.survey.regular import BoltCircleFit, Regularity
from mounts.geometry.survey.survey import OPENING, ReadingCheck
from mounts.lengths import Units
from mounts.load.models.limits import Limits
from mounts.load.parse.units import format_clock
from mounts.write.text_shaping import plain_text

WORDS = {
    "at": "centres as given",
    "bolt_circle": "given as a bolt circle",
    "distances": "from distances",
    "trace": "from a drawing",
    "points": "from points along each rim",
    "pins": "pins as given",
}


def pattern_text(pattern: HolePattern, width: int = 80, *, every: bool = False) -> str:
    """Return the pattern for the screen: whether the readings agree, places, errors, what to measure next.

    Args:
        pattern: of a panel.
        width: columns of the screen.
        every: with every reading, and with each hole as it lies on a bolt circle.
    """
    blocks = [_head(pattern), _holes(pattern)]
    blocks += [_turn(pattern), _rims(pattern)] if every else []
    blocks += [_readings(pattern)] if every else []
    blocks += [_ring(pattern, every=every), _next(pattern), _hand(pattern)]
    shown = "\n\n".join("\n".join(lines) for block in blocks if (lines := list(block)))
    return "\n".join(part for line in shown.splitlines() for part in _wrapped(line, width))


def _wrapped(line: str, width: int) -> list[str]:
    """Return a line in as many as its words need; a table's line that fits stays as it is."""
    if len(line) <= width:
        return [line]
    indent = " " * (6 if line.startswith(("WARN  ", "      ")) else 2)
    return wrap(line, width, subsequent_indent=indent, break_on_hyphens=False)


def pattern_json(pattern: HolePattern, files: Sequence[str]) -> str:
    """Return the pattern as indented JSON text."""
    survey, measured = pattern.survey, pattern.panel.measured
    name, sd = pattern.instrument
    wrong = survey.disagreement
    tree = {
        "schema": 1,
        "panel": pattern.panel.name,
        "side": pattern.panel.side,
        "measured": {"by": measured.by, "on": measured.on},
        "instrument": {"name": name, "sd": sd},
        "told_by": pattern.way,
        "fixings": [
            {
                "name": hole,
                "at": list(at),
                "size": pattern.sizes[hole],
                "clock": degrees(atan2(*at)) % 360,
                "away": hypot(*at),
                "ellipse": asdict(pattern.ellipses[hole]),
            }
            for hole, at in zip(survey.names, survey.at, strict=True)
        ],
        "covariance": [list(row) for row in survey.covariance(sd, Limits().level)],
        "readings": [
            {
                "label": check.label,
                "read": check.read,
                "residual": check.residual,
                "expected": check.expected,
                "expected_sd": check.expected_sd,
                "sds": check.sds,
            }
            for check in survey.checks
        ],
        "disagreement": {"what": wrong.describe(), "suspects": [one.label for one in wrong.suspects]}
        if wrong
        else None,
        "next": survey.next,
        "rims": [
            {"name": rim or "opening", "shape": fit.shape, "sizes": list(fit.sizes), "rms": fit.rms, "worst": fit.worst}
            for rim, fit in survey.rims
        ],
        "bolt_circle": _ring_tree(pattern.ring) if pattern.ring else None,
        "files": list(files),
    }
    return json.dumps(_round_values(tree), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _ring_tree(ring: BoltCircleFit) -> dict[str, object]:
    return {key: str(value) if key == "verdict" else value for key, value in asdict(ring).items() if key != "at"}


def _round_values(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 4) + 0.0
    if isinstance(value, dict):
        return {key: _round_values(held) for key, held in value.items()}
    return [_round_values(held) for held in value] if isinstance(value, list | tuple) else value


def _head(pattern: HolePattern) -> Iterator[str]:
    panel, (name, sd) = pattern.panel, pattern.instrument
    yield plain_text(f"{panel.name}: {_verdict(pattern)}")
    who = f"measured by {panel.measured.by}" if panel.measured.by else "nobody says who measured it"
    when = f" on {panel.measured.on}" if panel.measured.on else ", or when"
    yield plain_text(f"{panel.side} side, seen from the cabin, {WORDS[pattern.way]}")
    yield plain_text(
        f"{who}{when}, with {name} (one standard deviation "
        f"{pattern.units.figure(sd, 2 if pattern.units is Units.INCHES else None)}{pattern.units.sign})"
    )


def _verdict(pattern: HolePattern) -> str:
    """Return in a line whether the readings agree."""
    survey = pattern.survey
    worst = max((check.sds for check in survey.checked), default=None)
    if survey.disagreement:
        return f"WRONG: {survey.disagreement.describe(pattern.units)}"
    if worst is not None:
        return f"OK: the readings agree: the worst is {worst:.1f} sd off (max {survey.allowed:.1f})"
    return "OK, BUT no reading checks another: read one more distance" if survey.checks else "OK, BUT nothing checks it"


def _holes(pattern: HolePattern) -> Iterator[str]:
    what, cell, sign = "pin" if pattern.way == "pins" else "hole", pattern.units.cell, pattern.units.sign
    head = f"{what:6}{f'x{sign}':>9}{f'y{sign}':>9}{'size':>7}{'away':>8}  {'clock':>5}"
    yield f"{head}   error, 1 sd (long × short at)"
    for name, (x, y) in zip(pattern.survey.names, pattern.survey.at, strict=True):
        size, ellipse = pattern.sizes[name], pattern.ellipses[name]
        told = f"{cell(size, 2):>7}" if size else f"{'?':>7}"
        error = f"± {cell(ellipse.long / 2, 2)} × {cell(ellipse.short / 2, 2)}"
        if ellipse.long > 1.05 * ellipse.short:
            error += f" at {format_clock((90.0 - ellipse.turn) % 180.0)}"
        clock = format_clock(degrees(atan2(x, y)) % 360)
        yield f"{plain_text(name):6}{cell(x, 2):>9}{cell(y, 2):>9}{told}{cell(hypot(x, y), 2):>8}  {clock:>5}   {error}"


def _turn(pattern: HolePattern) -> Iterator[str]:
    """Yield how much of the errors is only the level's, which turns the whole pattern."""
    without = max(ellipse.sd for ellipse in pattern.survey.ellipses(pattern.instrument[1], 0.0).values())
    if without < 0.8 * pattern.worst_sd:
        level = Limits().level
        yield (
            f"most of that is the level (± {level:g} degrees), which turns all alike: without it ± "
            f"{pattern.units(without, 2)}"
        )


def _rims(pattern: HolePattern) -> Iterator[str]:
    for name, fit in pattern.survey.rims:
        of = "rim of the opening" if name == OPENING else f"rim of {plain_text(name)}"
        yield (
            f"{of}: {_shape(fit, pattern.instrument[1], pattern.units)}; points within "
            f"{pattern.units(fit.worst, 2)} of it"
        )


def _shape(fit: RimFit, sd: float, units: Units) -> str:
    sizes = " × ".join(units(size, 2) for size in fit.sizes[:2])
    corner = f", corners {units(fit.sizes[2], 1)}" if len(fit.sizes) > 2 else ""
    turned = f", turned by {fit.turn:.1f} degrees anticlockwise" if abs(fit.turn) >= 0.1 else ""
    return f"{fit.shape} {sizes} (± {units(fit.size_sd * sd, 2)}){corner}{turned}"


def _readings(pattern: HolePattern) -> Iterator[str]:
    survey = pattern.survey
    if not survey.checks:
        return
    wide = max(len(check.label) for check in survey.checks) + 2
    yield f"{'reading':{wide}}{'read':>8}{'left':>8}   the others make it"
    for check in survey.checks:
        if check.expected is None and check.where == ("hole",):
            continue  # a size over which nothing was read
        told, size = "nothing checks it", _written(check, pattern.units)
        if check.expected is not None:
            told = f"{size(check.expected):>8} ± {size(check.expected_sd)}  ({check.sds:.1f} sd off)"
        yield f"{plain_text(check.label):{wide}}{size(check.read):>8}{size(check.residual):>8}   {told}"


def _written(check: ReadingCheck, units: Units) -> Callable[[float], str]:
    """Return what writes a reading's figures: a length in the pattern's units, a level in degrees."""
    return lambda value: f"{value:.2f}" if check.where[-1] == "level" else units.cell(value, 2)


def _ring(pattern: HolePattern, *, every: bool) -> Iterator[str]:
    ring, survey, units = pattern.ring, pattern.survey, pattern.units
    if ring is None or pattern.way == "bolt_circle":
        return
    count, worst = len(survey.at), max(ring.residuals)
    about = (
        f"{count} on {units(ring.diameter, 2)} (± {units(ring.diameter_sd, 2)}), first at {format_clock(ring.first)}"
    )
    x, y = ring.centre
    if ring.verdict is Regularity.REGULAR:
        yield f"a regular bolt circle within the errors of the readings: {about}"
        yield (
            f"its centre lies at ({units(x, 2)}, {units(y, 2)}) from the opening's; the worst hole "
            f"is {units(worst, 2)} off it"
        )
        return
    if ring.verdict is Regularity.IRREGULAR:
        yield f"no regular bolt circle: the nearest, {about}, is {units(worst, 1)} off"
        return
    yield f"WARN  nearly, but not, a regular bolt circle: {about}, misses holes by up to {units(worst, 2)}"
    if not every:
        yield "      build on what was read, not on the circle; --all shows both"
        return
    chance = f"chi squared {ring.misfit:.0f}, where chance gives {ring.allowed:.0f} at most"
    yield f"      build on what was read, not on the circle: the readings show that they differ ({chance})"
    on = f"the holes lie on a circle of {units(ring.through, 2)} within {units(ring.off_circle, 2)}"
    yield f"      {on}" + (", but not evenly spaced" if ring.off_circle < worst / 2 else "")
    yield f"      {'hole':6}{'as read':>18}{'as a bolt circle':>20}{'apart':>8}"
    for name, (ax, ay), (bx, by), apart in zip(survey.names, survey.at, ring.at, ring.residuals, strict=True):
        read, circle = (f"({units.cell(x, 2)}, {units.cell(y, 2)})" for x, y in ((ax, ay), (bx, by)))
        yield f"      {plain_text(name):6}{read:>18}{circle:>20}{units.cell(apart, 2):>8}"


def _next(pattern: HolePattern) -> Iterator[str]:
    if pattern.survey.next:
        yield f"one more reading that would help most: {pattern.survey.next}"


def _hand(pattern: HolePattern) -> Iterator[str]:
    """Yield a warning where distances alone cannot tell a pattern from its mirror image, or which way is up."""
    if pattern.way == "distances":
        yield "hold it against the door; if a hole is on the wrong side, check order, and which hole level names first"
