"""Report of a job: findings with stable codes, of each part and of all."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from mounts.findings.codes import CODES, PLACES, UNNAMED, Sense
from mounts.identity import Pair
from mounts.lengths import Units

Pose = tuple[tuple[float, ...], ...]  # a rigid transform, 4 rows of 4
AS_BUILT: Pose = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
SCHEMA = 2  # of report.json; rises when a field changes its meaning
PRACTICE = "common practice, no source"  # of a limit that no one has published


class Verdict(StrEnum):
    """Verdict of a finding, rising in gravity."""

    PASS = "pass"
    DO = "do"  # right once the fabricator has done what the advice says by hand, as was planned
    WARN = "warn"
    FAIL = "fail"

    @property
    def word(self) -> str:
        """Word of the verdict for display, in capitals unless it passes."""
        return self.value if self is Verdict.PASS else self.value.upper()


@dataclass(frozen=True, slots=True)
class Finding:
    """One checked statement, with the value and the limit that decide it; the functions of `compare` make it.

    Attributes:
        code: stable name of the check, such as "clear.glass"; one that `codes` declares.
        verdict: how it came out.
        what: what was looked at, in words a fabricator uses.
        measured: the value read off the finished mesh, None when it is not measured there.
        closed_form: the value computed on the plan, None where no closed form exists.
        limit: the value that decides; for a target the furthest that is allowed on the side of the value.
        unit: of the three values: "mm", "deg", "N", "MPa", "C", "1" for a plain number.
        at: a point in the panel frame, mm.
        between: the two features or things it lies between.
        case: which of several findings of its code, where `between` does not say; no text for people, and in no
            report.json.
        source: where the limit comes from.
        advice: what to do about it; empty when it passes.
        margin_sd: standard deviation of the margin from the instruments, mm; None when no reading enters.
        sense: whether the limit is a least, a most, or belongs to a target, which is the closed form; None without one.
        change: a line of the job's file, such as "height: 23.3", that was tried on a plan and mends this and all other
            clearances and walls; empty where nothing was tried or nothing mends it. It stands in no report.json.

    Raises:
        ValueError: if no such code is declared, or not with this sense or unit.
    """

    code: str
    verdict: Verdict
    what: str
    measured: float | None = None
    closed_form: float | None = None
    limit: float | None = None
    unit: str = "mm"
    at: tuple[float, float, float] | None = None
    between: Pair | None = None
    source: str = ""
    advice: str = ""
    margin_sd: float | None = None
    sense: Sense | None = None
    change: str = ""
    case: str = ""

    @property
    def unnamed(self) -> Pair | None:
        """The two things it lies between, where its words do not name both; readers show them beside it."""
        return self.between if self.code in UNNAMED else None

    def __post_init__(self) -> None:
        row = CODES.get(self.code)
        if row is None:
            raise ValueError(f"no code of a finding: {self.code}")
        if self.sense is not None and self.sense not in row.senses:
            raise ValueError(f"{self.code} has no limit that is a {self.sense}")
        if self.unit != (row.unit or self.unit or "…"):
            raise ValueError(f"{self.code} is given in {row.unit or 'a unit'}, not in {self.unit or 'none'}")


@dataclass(frozen=True, slots=True)
class Estimate:
    """Estimate of what printing takes.

    Attributes:
        grams: of material, without brim and supports.
        hours: without heating up.
        cost: in the workshop's own money; None where nothing has a price.
        mass_error_pct, time_error_pct: one standard deviation, per cent.
    """

    grams: float
    hours: float
    cost: float | None
    mass_error_pct: float
    time_error_pct: float


@dataclass(frozen=True, slots=True)
class PartReport:
    """Report of one part.

    Attributes:
        side: "left", "right" or "" for a part that belongs to no side; "left.a" and "left.b" for two halves.
        findings: in the order in which reprints happen.
        not_measured: paths of readings that would have been checked had they been taken.
        pose: rigid transform (4 rows of 4) from the panel frame to the print pose.
        files: names of the files written, filled by the writer's caller.
        cautions: what can hurt someone, in the order of the work.
        estimate: what printing it takes; None where nothing is printed.
        units: in which its lengths are shown to a person; those of the findings are mm all the same.
    """

    side: str
    findings: tuple[Finding, ...]
    not_measured: tuple[str, ...] = ()
    pose: Pose = AS_BUILT
    files: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    estimate: Estimate | None = None
    units: Units = Units.MM

    @property
    def verdict(self) -> Verdict:
        """Gravest verdict among the findings."""
        return gravest(finding.verdict for finding in self.findings)

    def has_passed(self, code: str) -> bool:
        """Return whether there are findings of a code and all of them pass."""
        found = {finding.verdict for finding in self.findings if finding.code == code}
        return found == {Verdict.PASS}

    @property
    def marked(self) -> tuple[Finding, ...]:
        """Findings that did not pass and have a place: the marks 1, 2, 3 … on the part's picture."""
        return tuple(f for f in self.findings if f.verdict is not Verdict.PASS and f.at is not None)


@dataclass(frozen=True, slots=True)
class Report:
    """Report of one job; `files` are those that belong to all parts, filled by the writer's caller."""

    job: str
    parts: tuple[PartReport, ...]
    files: tuple[str, ...] = ()

    @property
    def units(self) -> Units:
        """Unit in which lengths are shown: that of its parts, both where these differ."""
        return Units.shared(part.units for part in self.parts)

    @property
    def verdict(self) -> Verdict:
        """Gravest verdict among the parts."""
        return gravest(part.verdict for part in self.parts)


def gravest(verdicts: Iterable[Verdict]) -> Verdict:
    """Return the gravest of some verdicts; PASS when there are none."""
    order = list(Verdict)
    return max(verdicts, key=order.index, default=Verdict.PASS)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings in the order in which reprints happen, that of their codes; those of one row stay as they are."""
    return tuple(sorted(findings, key=lambda finding: PLACES[finding.code]))
