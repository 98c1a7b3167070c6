"""Posterior values of instruments and printers from all outcomes at once; today's table is the prior.

An instrument's variance is learned from gaps, whose errors its readings make, and from the tightest hole, whose offset
squared estimates the variance of a hole's reading once printer and nuts are taken off (weighted by its degrees of
freedom, as F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110, does sums of variances).

A size drawn d reads d (1 − s/100) less the holes' growth g where it is an inside, more the outsides' growth e where it
is an outside: linear in s, g and e. What strays by more than `FAR` standard deviations is no error of its instrument
but a slip: it is left out, and said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import median

import numpy as np

from mounts.learning.conjugate import Linear, prior_variance, update_linear, update_variance
from mounts.load.models.limits import Limits
from mounts.load.models.outcome import Learned, LearnedInstrument, LearnedPrinter, Outcome, SeenGap, SeenHole, SeenSize
from mounts.load.models.workshop import Material, Printer

TABLE = 4.0  # readings that the table's figure of an instrument counts like
FAR = 5.0  # standard deviations
NORMAL = 1.4826  # times the median of absolute deviations, the standard deviation of a normal distribution
CALIPER = 0.05  # mm, one standard deviation of a caliper's reading on a print, as on a coupon
USUAL_SPREAD = 0.1  # mm, one standard deviation of an outside's growth where it was not measured


@dataclass(frozen=True, slots=True)
class Slip:
    """An answer that nothing was learned from: of which mount, what, and how far off it is in standard deviations."""

    mount: str
    what: str
    times: float

    def __str__(self) -> str:
        return f"{self.mount}: {self.what} is {self.times:.0f} times as far off as usual; nothing is learned from it"


def learn(
    outcomes: Sequence[Outcome], found: Callable[[str, str], tuple[Printer, Material] | None]
) -> tuple[Learned, tuple[Slip, ...]]:
    """Return what some outcomes show, and the answers that were left out.

    Args:
        outcomes: in any order.
        found: printer and material of these names as their own files say; None where a file is not there any more.
    """
    slips: list[Slip] = []
    instruments: dict[str, LearnedInstrument] = {}
    printers: dict[str, dict[str, LearnedPrinter]] = {}
    for name in sorted({one.instrument for _, one in _errors(outcomes)}):
        if hasattr(Limits(), name.replace(" ", "_")):
            instruments[name] = _instrument(name, outcomes, slips)
    for pair in sorted({(one.printer, one.material) for one in outcomes if any(_sizes([one]))}):
        if (known := found(*pair)) is not None:
            own = [one for one in outcomes if (one.printer, one.material) == pair]
            printers.setdefault(pair[0], {})[pair[1]] = _printer(*known, own, slips)
    told = Learned(kind="learned", mounts=len(outcomes), instruments=instruments, printers=printers)
    return told, tuple(slips)


def _errors(outcomes: Iterable[Outcome]) -> Iterator[tuple[Outcome, SeenGap | SeenHole]]:
    return ((of, one) for of in outcomes for one in of.seen if not isinstance(one, SeenSize))


def _sizes(outcomes: Iterable[Outcome]) -> Iterator[tuple[Outcome, SeenSize]]:
    return ((of, one) for of in outcomes for one in of.seen if isinstance(one, SeenSize))


def _instrument(name: str, outcomes: Sequence[Outcome], slips: list[Slip]) -> LearnedInstrument:
    seen = [(of, one) for of, one in _errors(outcomes) if one.instrument == name]
    table = Limits().uncertainty(name)
    squares = [_square(one) for _, one in seen]
    usual = max(table, NORMAL * median(sqrt(max(one, 0.0)) for one in squares))
    kept = [k for k, square in enumerate(squares) if square <= (FAR * usual) ** 2]
    slips += [_slip(*seen[k], sqrt(squares[k]) / usual) for k in range(len(seen)) if k not in kept]
    weights = [one.worth if isinstance(one, SeenHole) else 1.0 for _, one in seen]
    posterior = update_variance(prior_variance(table, TABLE), [squares[k] for k in kept], [weights[k] for k in kept])
    return LearnedInstrument(
        sd=round(posterior.sd, 4), error=round(posterior.sd_error, 4), mounts=_count(seen[k][0] for k in kept)
    )


def _square(one: SeenGap | SeenHole) -> float:
    """Return the estimate of a reading's variance that an answer gives, mm²."""
    return (one.seen - one.planned) ** 2 if isinstance(one, SeenGap) else (one.seen**2 - one.others) / one.each


def _slip(of: Outcome, one: SeenGap | SeenHole | SeenSize, times: float) -> Slip:
    return Slip(f"{of.job}, {of.part}", "the tightest hole" if isinstance(one, SeenHole) else one.what, times)


def _count(outcomes: Iterable[Outcome]) -> int:
    return len({(one.job, one.part, one.record) for one in outcomes})


def printer_prior(printer: Printer, material: Material) -> Linear:
    """Return what is known of shrink, growth of holes and growth of outsides before any mount is measured.

    A usual range counts as a normal distribution about its middle with its whole width as the standard deviation, since
    a printer may well lie outside what is usual.
    """
    own = printer.model_copy(update={"slicer_corrects": False})
    (low, high, sd), (less, more, growth_sd) = own.shrink(material), own.growth_error(material)
    grown = own.growth(material.name)
    mean = np.array([(low + high) / 2, grown + (less + more) / 2, own.spread(material.name)])
    known = np.array([max(high - low, sd, 0.02), max(more - less, growth_sd, 0.02), USUAL_SPREAD])
    noise = prior_variance(sqrt(printer.error**2 + CALIPER**2), TABLE)
    return Linear(mean, np.diag((known / noise.sd) ** 2), noise)


def _printer(printer: Printer, material: Material, outcomes: Sequence[Outcome], slips: list[Slip]) -> LearnedPrinter:
    seen, prior = list(_sizes(outcomes)), printer_prior(printer, material)
    rows = np.array([_row(one) for _, one in seen])
    short = np.array([one.drawn - one.seen for _, one in seen])
    far = np.abs(short - rows @ prior.mean) / np.sqrt(prior.noise.sd**2 + (rows**2) @ prior.sd**2)
    kept = far <= FAR
    fitted = update_linear(prior, rows[kept], short[kept])
    off = np.abs(short - rows @ fitted.mean)
    usual = max(prior.noise.sd, NORMAL * float(np.median(off)))
    kept &= off <= FAR * usual
    slips += [_slip(*seen[k], float(max(far[k], off[k] / usual))) for k in np.flatnonzero(~kept)]
    fitted = update_linear(prior, rows[kept], short[kept])
    (shrink, growth, _), (shrink_sd, growth_sd, _) = fitted.mean.tolist(), fitted.sd.tolist()
    return LearnedPrinter(
        shrink_pct=round(shrink, 4), shrink_sd_pct=round(shrink_sd, 4),
        hole_growth=round(growth, 4), hole_growth_sd=round(growth_sd, 4),
        error=round(sqrt(max(fitted.noise.sd**2 - CALIPER**2, (printer.error / 4) ** 2)), 4),
        mounts=_count(of for (of, _), one in zip(seen, kept, strict=True) if one),
    )  # fmt: skip


def _row(one: SeenSize) -> list[float]:
    """Return what a unit of shrink (per cent), of holes' and of outsides' growth takes from a size as drawn."""
    return [one.drawn / 100, float(one.shows != "outside"), -float(one.shows == "outside")]
