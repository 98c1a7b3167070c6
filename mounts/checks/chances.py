"""Chances that a mount goes on and that nothing then touches, from the uncertainty of the readings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from mounts.design.clearances import ReadingGap, chance_clear, worst_reading
from mounts.findings.compare import ROUNDING, state
from mounts.findings.gap import Gap
from mounts.findings.report import Finding, Verdict
from mounts.geometry.ties import least_of
from mounts.identity import Ident

EVEN = 0.5  # a chance under this fails: it is likelier not to than to; one under what is wanted warns
HELPS = 0.005  # of a chance: a reading that would add less than this is not worth repeating
SOURCE = "normal errors of the readings by their instruments; clear is what does not touch"

Shares = Mapping[Ident, float]

Rests = Callable[[Gap], Shares]  # by how much one standard deviation of each reading moves a gap, mm


@dataclass(frozen=True, slots=True)
class Remedy:
    """A remedy, and the chance with it, 0 to 1."""

    what: str
    then: float


def verdict_of(chance: float, sure: float) -> Verdict:
    """Return pass at the wanted chance, warn below it, fail where failure is likelier."""
    if chance >= sure - ROUNDING:
        return Verdict.PASS
    return Verdict.WARN if chance >= EVEN else Verdict.FAIL


def percent(share: float) -> str:
    """Return a chance in words, never as a certainty."""
    return f"{min(100 * share, 99.9):.3g} %"


def clear_findings(
    gaps: Sequence[Gap], rests: Rests, sure: float, goes_on: float, fit: Callable[[], Remedy]
) -> Iterator[Finding]:
    """Yield the chance that each thing that was read stays clear, and that all do and the mount goes on.

    Args:
        gaps: as planned; those on which no reading bears do not count.
        rests: what each rests on.
        sure: wanted chance.
        goes_on: chance that it goes on its fixings, independent of the rest.
        fit: what would help that chance.
    """
    resting = [(gap, ReadingGap(gap.gap, shares)) for gap in gaps if (shares := rests(gap))]
    for other in dict.fromkeys(gap.between[1] for gap, _ in resting):
        yield _of_one(other, [one for one in resting if one[0].between[1] == other], sure)
    everything = [one for _, one in resting]
    yield _of_all(everything, sure, goes_on, fit)


def _of_one(other: Ident, found: Sequence[tuple[Gap, ReadingGap]], sure: float) -> Finding:
    resting = [one for _, one in found]
    nearest, tightest = least_of(found, key=lambda one: one[1].sigmas)
    chance = chance_clear(resting)
    kept = chance_clear([ReadingGap(gap.gap - gap.wanted, one.shares) for gap, one in found])
    return state(
        "chance.clear",
        verdict_of(chance, sure),
        f"chance to clear the {other}; {nearest.between[0]} is nearest, limits are kept in {percent(kept)}",
        100 * chance,
        100 * sure,
        at=nearest.at,
        between=nearest.between,
        source=SOURCE,
        advice=lambda: _repeat(resting).what,
        margin_sd=tightest.sd,
    )


def _of_all(resting: Sequence[ReadingGap], sure: float, goes_on: float, fit: Callable[[], Remedy]) -> Finding:
    clear = chance_clear(resting)
    chance = goes_on * clear
    return state(
        "chance.mount",
        verdict_of(chance, sure),
        "chance that it goes on and clears all that was read",
        100 * chance,
        100 * sure,
        source=f"fixings and gaps together, independent of each other; {SOURCE}",
        advice=lambda: _better(fit(), goes_on, _repeat(resting), clear),
    )


def _better(fit: Remedy, goes_on: float, reading: Remedy, clear: float) -> str:
    """Return whichever remedy raises the joint chance more."""
    gained = fit.then * clear - reading.then * goes_on
    return fit.what if gained > HELPS or (gained > -HELPS and goes_on <= clear) else reading.what


def _repeat(resting: Sequence[ReadingGap]) -> Remedy:
    """Return as a remedy the reading to repeat: the one that would help most if it were exact."""
    reading, then = worst_reading(resting)
    if then <= chance_clear(resting) + HELPS:
        return Remedy("make more room, as the clearances say: no single reading would help", then)
    return Remedy(f"repeat the reading of {reading}: if it were exact, {percent(then)}", then)
