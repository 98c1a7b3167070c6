"""Findings on a pose that was chosen: its active constraints, and what relaxing each would bring."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.choice import Active, Choice
from mounts.findings.compare import state
from mounts.findings.report import Finding, Verdict
from mounts.lengths import INCH, Units

SHOWN = 0.05  # of a degree or a millimetre: a smaller gain is not shown
READINGS = {
    "in_front.trim": "the trim",
    "in_front.grille": "the grille",
    "behind.glass": "the glass",
    "opening": "the opening",
    "limits.aside": "limits: {aside: …}",
    "aim.within": "within",
    "printer.overhang": "the printer's overhang",
    "printer.bed": "the printer's bed",
    "printer.bed.2": "the printer's height",
}


def aim_findings(choice: Choice | None, units: Units = Units.MM) -> Iterator[Finding]:
    """Yield the choice as findings; none where the job gives the pose."""
    if choice is None:
        return
    for active in choice.active:
        yield _limit(choice, active, units)


def _limit(choice: Choice, active: Active, units: Units) -> Finding:
    """Return the finding on one limit that holds the place; where nothing fits, on one that is missed."""
    need = active.limit + active.spare
    missed = choice.misses > 0 and active.gap < need
    return state(
        "aim.limit",
        Verdict.WARN if missed else Verdict.PASS,
        f"{describe_limit(active)}, {_holds(choice, active, units)}{_buys(choice, active, units)}",
        active.gap,
        need,
        unit=active.unit,
        between=active.between,
        source=_why(choice, active, units),
        advice=lambda: _advice(choice, active, need - active.gap, units),
    )


def describe_limit(active: Active) -> str:
    """Return a limit in words."""
    one, other = active.between
    return f"{one} over {other}" if active.code == "height" else f"{one} to {other}"


def steps_of(active: Active, choice: Choice, units: Units) -> tuple[str, str]:
    """Return a step by which a limit may give way, and what that brings: degrees, or a length; each with its unit."""
    long, gives = (INCH / 16, active.gives / 16 * INCH) if units is Units.INCHES else (1.0, active.gives)
    step, brings = ("1°", active.gives) if active.unit == "deg" else (units.named(long), gives)
    return step, f"{brings:.1f}°" if choice.faced and not choice.misses else units.named(brings, 1)


def _holds(choice: Choice, active: Active, units: Units) -> str:
    """Return what a limit's least is made of, in words, where the reading that it rests on adds to it."""
    if not active.spare:
        return "which holds the place"
    return f"{units(active.limit)} and {units(active.spare, 1)} to be {choice.sure:.0%} sure of the reading"


def _buys(choice: Choice, active: Active, units: Units) -> str:
    """Return what a step more of it would gain, in words."""
    if active.gives < SHOWN:
        return ""
    more, gains = steps_of(active, choice, units)
    return f"; {more} more there gains {gains}{'' if choice.faced or choice.misses else ' of height'}"


def _why(choice: Choice, active: Active, units: Units) -> str:
    if not active.spare:
        return "what the part needs to be drawn, or the job's own limit"
    return (
        f"limit {units(active.limit)} and {units(active.spare, 1)} for the reading: "
        f"{choice.quantile:.2f} standard deviations, "
        f"so that all are kept with {choice.sure:.0%} (shared out among the readings)"
    )


def _advice(choice: Choice, active: Active, missing: float, units: Units) -> str:
    """Return what to do about a limit that the best place misses."""
    reading = READINGS.get(active.reading, active.reading)
    ways = [f"measure {reading} again"] if active.spare else []
    ways.append("take a speaker that is smaller there")
    ways += [f"write a lower `sure` than {choice.sure:g}"] if missing < active.spare else []
    short = (units if active.unit == "mm" else Units.MM).at_least(missing)
    return f"{', or '.join(ways)}: the best place misses this by {short}"
