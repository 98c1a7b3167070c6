"""Clearance between two real things, and the finding that it becomes."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mounts.findings.compare import SEARCHED, at_least
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Vector
from mounts.identity import Pair, Role


@dataclass(frozen=True, slots=True)
class Gap:
    """Least distance between two things that must not touch.

    Attributes:
        code: code of the finding.
        between: the two things.
        gap: mm, negative when they interfere.
        wanted: less than this warns.
        least: less than this fails.
        source: where the limits come from.
        at: the place on the first thing that comes nearest, panel frame.
        reading: path of the measurement it rests on.
        sd: one standard deviation of the gap from that measurement, mm; None when none enters.
        measured: the same distance measured between the finished mesh and the thing's envelope; None when not measured
            or when they interfere.
        overlap: volume that the two share, mm³; 0 when they do not interfere.
        bound: whether `gap` is only what it is at least, so that what is measured decides where it is there.
    """

    code: str
    between: Pair
    gap: float
    wanted: float
    least: float
    source: str
    at: Vector
    reading: str = ""
    sd: float | None = None
    measured: float | None = None
    overlap: float = 0.0
    bound: bool = False

    @property
    def verdict(self) -> Verdict:
        """Verdict: pass, warn below `wanted`, fail below `least`."""
        return self.finding().verdict

    @property
    def what(self) -> str:
        """Name of the gap in words: "body to glass", "speaker to bore while fitting"."""
        one, other = self.between
        if Role.WAY in (one.role, other.role):
            first, second = (end.name if end.role is Role.WAY else end.label for end in self.between)
            return f"{first} to {second} while fitting"
        return f"{one} to {other}"

    def finding(self, advice: str = "") -> Finding:
        """Return the finding, with what to do about it when it does not pass."""
        decides = self.measured if self.bound and self.measured is not None else self.gap
        advice = f"{advice}; they share {self.overlap:.0f} mm³" if self.overlap else advice
        found = at_least(
            self.code,
            decides,
            self.wanted,
            self.what,
            missed=Verdict.WARN,
            least=self.least,
            margin=SEARCHED,
            at=self.at,
            between=self.between,
            source=self.source,
            advice=advice,
            hint=advice if self.overlap else "",
            margin_sd=self.sd,
        )
        return replace(found, measured=self.measured, closed_form=self.gap)
