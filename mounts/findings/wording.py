"""A finding's value with its limit, in words that cannot be misread: the same on screen, paper and page.

A length in mm stands without its unit, since plain numbers are millimetres everywhere: `2.2 (min 2.1)`, `45.7° (max
46)`, `8.00° (8 ± 0.1)`, `overlaps by 1.3 (min 3)`, `short by 0.4`. In inches it is `0.087 in (min 0.083)`; where a job
mixes both, `2.2 (min 2.1), 0.087 in (min 0.083)`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isclose, isfinite

from mounts.findings.codes import BOUNDS, CHANCES, Sense
from mounts.findings.compare import AGREE, ROUNDING, SEARCHED
from mounts.findings.report import Finding, Verdict
from mounts.geometry.ties import decimals
from mounts.lengths import EXTRA, INCH, Units

POWERS = {"mm": (1, ""), "mm²": (2, "²"), "mm³": (3, "³")}  # of a length in a unit
UNITS = {"1": "", "mm": "", "deg": "°", "C": " °C", "%": " %"}
WORDS = {Sense.LEAST: "min", Sense.MOST: "max", None: "limit"}
DISTANCES = ("clear.", "way.", "access.", "wall.", "seal.l", "wrap.", "fit.halves")  # below nothing two things overlap
FITS = ("fit.panel.", "fit.device.")
SUREST = 99.9  # per cent: no chance is shown as more
FINEST = 4  # decimals, where fewer would show a missed limit as reached
ROUND = 100.0  # from here on no decimals are shown


def decisive(finding: Finding) -> float | None:
    """Return the value that decided the verdict: the plan's where the mesh confirms it, else what was measured.

    The plan's is exact, while the mesh's moves by some hundredths with how the triangles happen to lie. Of two that
    differ it is the one that agrees with the verdict.
    """
    value, planned = finding.measured, finding.closed_form
    if value is None or planned is None or finding.sense in (None, Sense.TARGET):
        return planned if value is None else value
    fits, agrees = (_passes(finding, one) == (finding.verdict is Verdict.PASS) for one in (value, planned))
    confirmed = bool(planned) and not _differ(finding)
    return planned if agrees and (confirmed or not fits) else value


def _passes(finding: Finding, value: float) -> bool:
    if finding.limit is None:
        return True
    margin = max(SEARCHED, ROUNDING * abs(finding.limit))
    return value >= finding.limit - margin if finding.sense is Sense.LEAST else value <= finding.limit + margin


def value_with_limit(finding: Finding, units: Units = Units.MM) -> str:
    """Return the value that decided and its limit: `2.2 (min 2.1)`; empty where there is neither.

    Where plan and mesh differ by more than they may, both are given.

    Args:
        finding: any.
        units: in which its lengths are written.
    """
    plain = _Figures(1.0, unit_sign(finding.unit))
    if finding.unit not in POWERS or units is Units.MM:
        return plain.write(finding)
    power, sign = POWERS[finding.unit]
    shown = (*((plain,) if units is Units.BOTH else ()), _Figures(INCH**power, f" in{sign}"))
    return ", ".join(filter(None, (figures.write(finding) for figures in shown)))


@dataclass(frozen=True, slots=True)
class _Figures:
    """Writes findings' values in a unit.

    Attributes:
        scale: how much of the finding's unit it is.
        sign: what stands behind a value.
    """

    scale: float
    sign: str = ""

    def write(self, finding: Finding) -> str:
        """Return the value that decided and its limit."""
        value, limit, unit = decisive(finding), finding.limit, self.sign
        if value is None:
            return "" if limit is None else f"{WORDS.get(finding.sense, 'must be')} {self.number(limit)}{unit}"
        if limit is None:
            return f"{self.number(value, 0 if abs(value) >= ROUND else 1)}{unit}"
        if finding.code in CHANCES:
            value = min(value, max(SUREST, limit))
        if finding.sense is Sense.TARGET:
            return self._against_target(finding, value, limit)
        figures = self._told_apart(finding, value, limit)
        bounds = f"({WORDS[finding.sense]} {figures[1]})"
        if short := self._negative(finding, value, limit, bounds):
            return short
        shown = f"{figures[0]}{unit}"
        if _differ(finding):
            planned = finding.closed_form if value == finding.measured else finding.measured
            assert planned is not None
            where = ("measured", "planned") if value == finding.measured else ("planned", "measured")
            shown = f"{shown} {where[0]}, {self.number(planned)}{unit} {where[1]}"
        return f"{shown} {bounds}"

    def number(self, value: float, places: int | None = None) -> str:
        """Return a figure as `number` does, `places` being those that it would have in the finding's own unit."""
        if self.scale == 1.0:
            return number(value, places)
        return number(value / self.scale, max(_places(value) if places is None else places, 1) + EXTRA)

    def decimals(self, value: float, places: int) -> str:
        """Return a value with its decimals, `places` being those in the finding's own unit."""
        return decimals(value / self.scale, places + EXTRA * (self.scale != 1.0))

    def _against_target(self, finding: Finding, value: float, limit: float) -> str:
        target = finding.closed_form
        if target is None or isclose(target, limit, abs_tol=ROUNDING):
            return f"{self.number(value)}{self.sign} (must be {self.number(limit)})"
        tolerance = abs(limit - target)
        for places in range(min(_places(tolerance) + 1, 2), FINEST + 1):
            figures = self.decimals(value, places), self.number(target, places)
            off = abs(float(figures[0]) - float(figures[1])) * self.scale
            if finding.verdict is Verdict.PASS or off > tolerance + ROUNDING:
                break
        return f"{figures[0]}{self.sign} ({figures[1]} ± {self.number(tolerance)})"

    def _negative(self, finding: Finding, value: float, limit: float, bounds: str) -> str:
        """Return a negative length in words, with its limit where that says more; empty for any other value."""
        if finding.unit != "mm" or finding.sense is None or not value <= -SEARCHED:  # NaN is not
            return ""
        if finding.code.startswith(FITS):  # less than no play is a press
            other = WORDS[Sense.MOST if finding.sense is Sense.LEAST else Sense.LEAST]
            return f"presses by {self.number(-value)}{self.sign} ({other} {self.number(abs(limit))})"
        if finding.code.startswith(DISTANCES):
            return f"overlaps by {self.number(-value)}{self.sign} {bounds}"
        return f"short by {self.number(limit - value)}{self.sign}" if value < limit else ""

    def _told_apart(self, finding: Finding, value: float, limit: float) -> tuple[str, str]:
        """Return value and limit with as few decimals as keep a missed limit from looking reached, a near one met."""
        places = 0 if abs(value) >= ROUND else max(1, _places(limit))
        figures = self.number(value, places), self.number(limit)
        if finding.sense is None or not isfinite(value) or abs(value - limit) <= SEARCHED:
            return figures
        sign = 1 if value > limit else -1
        for n in range(places, (places + 1 if finding.verdict is Verdict.PASS else FINEST) + 1):
            inexact = figures[1] != f"{limit / self.scale:g}"
            figures = self.number(value, n), self.number(limit, max(n, _places(limit)) if inexact else None)
            if sign * (float(figures[0]) - float(figures[1])) > 0:
                break
        return figures


def _differ(finding: Finding) -> bool:
    """Return whether plan and mesh differ by more than they may, and neither is only a bound of the other."""
    if finding.measured is None or not finding.closed_form or finding.unit not in ("mm", "deg"):
        return False
    off = finding.measured - finding.closed_form
    return abs(off) > AGREE + ROUNDING and not (off > 0 and finding.code in (*BOUNDS, "clear.terminals"))


def _places(value: float) -> int:
    """Return how many decimals a limit is given with, up to two."""
    if abs(value) >= ROUND:
        return 0
    inexact = 1 if abs(value) >= ROUND / 10 else 2
    return next((n for n in (0, 1, 2) if isclose(round(value, n), value, abs_tol=1e-5)), inexact)


def number(value: float, places: int | None = None) -> str:
    """Return a figure without idle noughts, in two significant figures at least: 2.2, 0.04, 249.

    Args:
        value: any; NaN and infinity are "unknown".
        places: most decimals; as many as a limit is given with where it is not said.
    """
    if not isfinite(value):
        return "unknown"
    if places is None:
        places = max(_places(value), 1 if 0 < abs(value) < ROUND else 0)
    if 0 < abs(value) < 0.95 * 10**-places:
        places = next((n for n in (2, 3, 4) if float(decimals(value, n))), places)
    shown = decimals(value, places)
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def unit_sign(unit: str) -> str:
    """Return what stands behind a figure for its unit; nothing for millimetres."""
    return UNITS.get(unit, f" {unit}")
