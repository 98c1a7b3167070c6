"""Results of a kit: a row for each part, lighter than its report, so that a thousand of them can be shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from mounts.findings.causes import causes, seen_findings
from mounts.findings.report import Estimate, Finding, PartReport, Report, Verdict, gravest
from mounts.lengths import Units

How = Literal["made", "kept", "lost"]


@dataclass(frozen=True, slots=True)
class KitRow:
    """Result of one part of a kit.

    Attributes:
        job: name of its job.
        side: left, right, or nothing.
        copies: for all vehicles together.
        verdict: of its report; fail for one that is lost.
        how: made now, kept from an earlier run, or lost.
        why: for a lost one, the reason.
        files: paths from the kit's folder.
        worst: the gravest of its findings that did not pass; None when all passed.
        missing: how many readings would have been checked had they been taken.
        estimate: of one copy; None where nothing is printed.
        units: in which its lengths are shown.
    """

    job: str
    side: str
    copies: int
    verdict: Verdict
    how: How
    why: str = ""
    files: tuple[str, ...] = ()
    worst: Finding | None = None
    missing: int = 0
    estimate: Estimate | None = None
    units: Units = Units.MM


@dataclass(frozen=True, slots=True)
class BedRow:
    """Content of one bed of a kit.

    Attributes:
        number: from 1.
        printer, material: what it is printed on and of.
        parts: name and number of copies of each part on it.
        files: in the kit's folder.
        estimate: of all of it; its errors are those of one part, as if all erred alike.
    """

    number: int
    printer: str
    material: str
    parts: tuple[tuple[str, int], ...]
    files: tuple[str, ...]
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class TooLarge:
    """Part that goes on no bed of its printer.

    Attributes:
        part: its name.
        least_bed: that would take it, [x, y, z] mm.
        printer: of the kit, which would take it; empty where none would.
    """

    part: str
    least_bed: tuple[float, float, float]
    printer: str = ""


@dataclass(frozen=True, slots=True)
class LaidOut:
    """Layout of parts on beds.

    Attributes:
        beds: in order.
        too_large: parts that go on none.
    """

    beds: tuple[BedRow, ...] = ()
    too_large: tuple[TooLarge, ...] = ()


@dataclass(frozen=True, slots=True)
class KitReport:
    """Report of all parts of a kit, in the order of its file, and of the beds that they are printed on."""

    kit: str
    vehicle: str
    vehicles: int
    rows: tuple[KitRow, ...]
    laid: LaidOut = LaidOut()

    @property
    def verdict(self) -> Verdict:
        """Gravest verdict among the parts."""
        return gravest(row.verdict for row in self.rows)

    @property
    def lost(self) -> tuple[KitRow, ...]:
        """Parts that were not made."""
        return tuple(row for row in self.rows if row.how == "lost")


def summed(estimates: Iterable[tuple[Estimate, int]]) -> Estimate:
    """Return the estimate of several parts together, each so many times."""
    told = list(estimates)
    costs = [one.cost * count for one, count in told if one.cost is not None]
    return Estimate(
        sum(one.grams * count for one, count in told),
        sum(one.hours * count for one, count in told),
        sum(costs) if costs else None,
        max(one.mass_error_pct for one, _ in told),
        max(one.time_error_pct for one, _ in told),
    )


def worst_of(report: PartReport) -> Finding | None:
    """Return the finding that the part's own screen leads with; None when all passed."""
    found = causes(seen_findings(Report("", (report,))), Verdict.FAIL, Verdict.WARN, Verdict.DO)
    return found[0].worst.finding if found else None
