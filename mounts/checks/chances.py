"""Chances that a mount goes on and that nothing then touches, from the uncertainty of the readings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from mounts.design.chance import Errors
from mounts.design.clearances import ReadingGap, chance_clear, worst_reading
from mounts.findings.compare import ROUNDING, state
from mounts.findings.gap import Gap
from mounts.findings.report import Finding, Verdict
from mounts.findings.wording import SUREST
from mounts.geometry.ties import least_of
from mounts.identity import Ident
from mounts.load.models.job import Job

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


@dataclass(frozen=True, slots=True)
class FitChance:
    """Chance that a part goes on its fixings, 0 to 1.

    Attributes:
        printed: as it comes off this printer.
        calibrated: as it comes off once printer and slicer are set to what a coupon shows.
        unknown: what of the printer was never measured; "" for nothing.
        shrink: least of the linear shrink that it is left with, per cent.
    """

    printed: float
    calibrated: float
    unknown: str
    shrink: float

    def verdict(self, sure: float, clear: float = 1.0) -> Verdict:
        """Return the verdict; what fails only by what is unknown of the printer warns."""
        once = self.calibrated if self.unknown else self.printed
        return verdict_of(self.printed * clear, sure, once * clear)

    def calibrate(self, job: Job, clear: float) -> Remedy:
        """Return as a remedy how its printer is measured or set; `clear` is the chance that all else stays clear."""
        then, printer = percent(self.calibrated * clear), job.printer.name
        if self.unknown:
            verb = "are" if " and " in self.unknown else "is"
            coupon = f"print the coupon (mounts coupon {printer} --material {job.material.name})"
            return Remedy(f"{then} once {self.unknown} {verb} measured: {coupon}", self.calibrated)
        scale = f"scale by {100 / (1 - self.shrink / 100):.2f} % in the slicer"
        words = f"{then} once the slicer corrects shrink: {scale}, and write slicer_corrects: true into {printer}"
        return Remedy(words, self.calibrated)


def compute_fit(errors: Errors, chance_of: Callable[[Errors], float]) -> FitChance:
    """Return a part's chances from its errors and a function that gives the chance with some."""
    ranges = {"shrink": errors.shrink, "hole growth": errors.narrower}
    unknown = " and ".join(name for name, (least, most, _) in ranges.items() if most > least)
    return FitChance(chance_of(errors), chance_of(errors.calibrated), unknown, errors.shrink[0])


def verdict_of(chance: float, sure: float, once: float = 0.0) -> Verdict:
    """Return pass at the wanted chance, warn below it, fail where failure is likelier, `once` all is known too."""
    if chance >= sure - ROUNDING:
        return Verdict.PASS
    return Verdict.WARN if max(chance, once) >= EVEN else Verdict.FAIL


def percent(share: float) -> str:
    """Return a chance in words, never as a certainty."""
    return f"{min(100 * share, SUREST):.3g} %"


def clear_findings(
    gaps: Sequence[Gap], rests: Rests, sure: float, fit: FitChance, helps: Callable[[float], Remedy]
) -> Iterator[Finding]:
    """Yield the chance that each thing that was read stays clear, and that all do and the mount goes on.

    Args:
        gaps: as planned; those on which no reading bears do not count.
        rests: what each rests on.
        sure: wanted chance.
        fit: that it goes on its fixings, independent of the rest.
        helps: what would help that, from the chance that all stays clear.
    """
    resting = [(gap, ReadingGap(gap.gap, shares)) for gap in gaps if (shares := rests(gap))]
    for other in dict.fromkeys(gap.between[1] for gap, _ in resting):
        yield _of_one(other, [one for one in resting if one[0].between[1] == other], sure)
    everything = [one for _, one in resting]
    clear = chance_clear(everything)
    yield state(
        "chance.mount",
        fit.verdict(sure, clear),
        "chance that it goes on and clears all that was read",
        100 * fit.printed * clear,
        100 * sure,
        source=f"fixings and gaps together, independent of each other; {SOURCE}",
        advice=lambda: _better(helps(clear), fit.printed, _repeat(everything), clear),
    )


def _of_one(other: Ident, found: Sequence[tuple[Gap, ReadingGap]], sure: float) -> Finding:
    resting = [one for _, one in found]
    nearest, tightest = least_of(found, key=lambda one: one[1].sigmas)
    chance = chance_clear(resting)
    kept = percent(chance_clear([ReadingGap(gap.gap - gap.wanted, one.shares) for gap, one in found]))
    limit = f"; the limit itself is kept in {kept} of cases" if kept != percent(chance) else ""
    return state(
        "chance.clear",
        verdict_of(chance, sure),
        f"chance to clear the {other} ({nearest.between[0]} is nearest{limit})",
        100 * chance,
        100 * sure,
        at=nearest.at,
        between=nearest.between,
        source=SOURCE,
        advice=lambda: _repeat(resting).what,
        margin_sd=tightest.sd,
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
