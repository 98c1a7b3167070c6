"""Constructors of findings: a value against the limit or the target that decides it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypedDict, Unpack

from mounts.findings.codes import CODES, Sense
from mounts.findings.report import Finding, Verdict
from mounts.identity import Pair

ROUNDING = 1e-6  # in the value's unit, or of a limit over 1: nearer than this reaches a limit; rounding stays far below
SEARCHED = 1e-4  # mm: as near as a search comes to the limits of clearances and walls that hold a place
AGREE = 0.05  # mm or degrees by which plan and mesh may differ; the triangles' sag is 0.02


class Said(TypedDict, total=False):
    """Optional fields of a finding besides its values; each as in `Finding`.

    Attributes:
        unit: only where the code's own differs from finding to finding.
        advice: kept only when the finding does not pass; a function is called only then.
        hint: what to do although it passes.
    """

    unit: str
    at: tuple[float, float, float] | None
    between: Pair | None
    case: str
    source: str
    advice: str | Callable[[], str]
    hint: str
    margin_sd: float | None


def at_least(
    code: str,
    value: float | None,
    limit: float,
    what: str,
    *,
    measured: float | None = None,
    missed: Verdict = Verdict.FAIL,
    least: float | None = None,
    margin: float = 0.0,
    **said: Unpack[Said],
) -> Finding:
    """Return the finding that a value reaches a limit, or falls short of it by rounding alone.

    Args:
        code: of the finding.
        value: computed on the plan; None where it is only measured.
        limit: that it should reach.
        what: was looked at, in a fabricator's words.
        measured: read off the finished part; decides where it is given.
        missed: verdict when it does not reach the limit.
        least: a second limit under the first; what does not reach that fails, and it is then the limit that is shown.
        margin: to which the value is known, where that is coarser than rounding; what is nearer reaches the limit.
        said: what else there is to say.
    """
    decides = _decisive(value, measured)
    if least is not None and decides < least - _margin(least, margin):
        limit, missed = least, Verdict.FAIL
    verdict = Verdict.PASS if decides >= limit - _margin(limit, margin) else missed
    return state(code, verdict, what, value, limit, measured=measured, sense=Sense.LEAST, **said)


def at_most(
    code: str,
    value: float | None,
    limit: float,
    what: str,
    *,
    measured: float | None = None,
    missed: Verdict = Verdict.FAIL,
    **said: Unpack[Said],
) -> Finding:
    """Return the finding that a value does not exceed a limit; its arguments are as in `at_least`."""
    verdict = Verdict.PASS if _decisive(value, measured) <= limit + _margin(limit) else missed
    return state(code, verdict, what, value, limit, measured=measured, sense=Sense.MOST, **said)


def in_band(
    code: str,
    value: float,
    band: tuple[float, float],
    what: str,
    *,
    missed: Verdict = Verdict.FAIL,
    **said: Unpack[Said],
) -> Finding:
    """Return the finding that a value lies between two limits, against the nearer of both."""
    low, high = band
    compare, limit = (at_least, low) if value < (low + high) / 2 - ROUNDING else (at_most, high)
    return compare(code, value, limit, what, missed=missed, **said)


def within(
    code: str,
    measured: float,
    target: float,
    tolerance: float,
    what: str,
    *,
    missed: Verdict = Verdict.FAIL,
    **said: Unpack[Said],
) -> Finding:
    """Return the finding that a value of the finished part is what was planned, give or take a tolerance."""
    off = measured - target
    verdict = Verdict.PASS if abs(off) <= tolerance + _margin(target) else missed
    limit = target + (tolerance if off >= -ROUNDING else -tolerance)
    return state(code, verdict, what, target, limit, measured=measured, sense=Sense.TARGET, **said)


def state(
    code: str,
    verdict: Verdict,
    what: str,
    value: float | None = None,
    limit: float | None = None,
    *,
    measured: float | None = None,
    sense: Sense | None = None,
    unit: str = "",
    at: tuple[float, float, float] | None = None,
    between: Pair | None = None,
    case: str = "",
    source: str = "",
    advice: str | Callable[[], str] = "",
    hint: str = "",
    margin_sd: float | None = None,
) -> Finding:
    """Return a finding whose verdict is known; advice is kept only when it does not pass.

    Args:
        sense: of the limit; where there is one, the code's only sense if nothing else is given.
        unit: only where the code's own differs from finding to finding.
        hint: what to do although it passes.
        others: as in `Finding`.

    Raises:
        ValueError: if no such code is declared, or not with this sense or unit.
    """
    row = CODES.get(code)
    if row is not None:
        unit = unit or row.unit
        if limit is not None and sense is None and len(row.senses) == 1:
            sense = row.senses[0]
    if verdict is Verdict.PASS:
        advice = hint
    words = advice if isinstance(advice, str) else advice()
    decided = (measured, value, limit, unit, at, between)
    return Finding(code, verdict, what, *decided, source, words, margin_sd, sense, case=case)


def _margin(limit: float, known: float = 0.0) -> float:
    """Return how near a value counts as reaching a limit."""
    return max(known, ROUNDING * max(1.0, abs(limit)))


def _decisive(value: float | None, measured: float | None) -> float:
    """Return the value that decides: measured where there is one, else computed."""
    decides = value if measured is None else measured
    assert decides is not None
    return decides
