"""Findings that do not pass, gathered by what causes them: each cause once, with its worst value and one remedy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf

from mounts.findings.codes import CHANCES, CODES, Group, Sense
from mounts.findings.report import Finding, Report, Verdict
from mounts.findings.wording import SUREST, decisive, value_with_limit
from mounts.geometry.ties import MARGIN, least_of, sort_with_ties

FOLLOWS = ("chance.clear", "chance.mount")  # where a clearance is missed, its chance is missed with it
WHOLE = "chance.mount"
PRINTER = ("mounts coupon", "slicer_corrects")  # in the advice on all that a printer is to be measured or set for
HELD = "aim.limit"  # says again of a clearance or wall that no place was found that keeps it
MISSED = ("clear.", "way.")
PLACED = "clear.thing"  # what mends the clearance to one thing need not mend that to another
EXACT = 1e-3  # of a limit: what the plan has put on its limit says nothing of how tight the design is
SILENT = (Group.PROOF, Group.HANDWORK)  # read back or done by hand: no margin of the design


@dataclass(frozen=True, slots=True)
class Seen:
    """One finding and the sides that it holds for."""

    finding: Finding
    sides: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cause:
    """Findings that one remedy mends.

    Attributes:
        worst: the gravest of its findings, by most beyond its limit.
        others: the rest.
    """

    worst: Seen
    others: tuple[Seen, ...]


def seen_findings(report: Report) -> tuple[Seen, ...]:
    """Return the findings in the report's order, those that say the same of several sides put together."""
    sides: dict[tuple[object, ...], list[str]] = {}
    first: dict[tuple[object, ...], Finding] = {}
    for part in report.parts:
        for finding in part.findings:
            key = (finding.code, finding.verdict, finding.what, value_with_limit(finding), finding.advice)
            first.setdefault(key, finding)
            sides.setdefault(key, []).append(part.side)
    return tuple(Seen(finding, tuple(dict.fromkeys(sides[key]))) for key, finding in first.items())


def causes(seen: Sequence[Seen], *verdicts: Verdict) -> tuple[Cause, ...]:
    """Return the causes of the findings with these verdicts, the gravest first."""
    found = [one for one in seen if one.finding.verdict in verdicts]
    missed = next((_key(one.finding) for one in found if one.finding.code.startswith(MISSED)), None)
    ends = {one.finding.between: _key(one.finding) for one in found if one.finding.code != HELD}
    groups: dict[tuple[str, ...], list[Seen]] = {}
    remedies: dict[str, tuple[str, ...]] = {}
    for one in found:
        apart = one.finding.change or is_by_printer(one.finding)
        key = missed if missed and one.finding.code in FOLLOWS and not apart else _key(one.finding)
        if one.finding.code == HELD:
            key = ends.get(one.finding.between, key)
        elif one.finding.advice and not one.finding.change:
            key = remedies.setdefault(one.finding.advice, key)
        groups.setdefault(key, []).append(one)
    gathered = [_cause(group) for group in groups.values()]
    order = list(Verdict)
    return tuple(sorted(gathered, key=lambda cause: -order.index(cause.worst.finding.verdict)))


def count_causes(faults: Sequence[Cause], tasks: Sequence[Cause]) -> str:
    """Return how many faults, warnings and tasks there are, in words; empty without any."""
    warned = sum(cause.worst.finding.verdict is Verdict.WARN for cause in faults)
    counts = [(len(faults) - warned, "fault"), (warned, "warning")]
    said = [f"{count} {name}{'s' * (count > 1)}" for count, name in counts if count]
    said += [f"{len(tasks)} thing{'s' * (len(tasks) > 1)} to do by hand"] if tasks else []
    return ", ".join(said)


def _key(finding: Finding) -> tuple[str, ...]:
    """Return what findings of one cause share: the change that mends them, the printer, else their code."""
    if finding.change:
        return ("change", finding.change)
    if is_by_printer(finding):
        return PRINTER
    thing = finding.between[1].id if finding.code == PLACED and finding.between else ""
    return (finding.code, thing)


def is_by_printer(finding: Finding) -> bool:
    """Return whether a finding is mended by measuring the printer, or by setting its slicer."""
    return any(word in finding.advice for word in PRINTER)


def _cause(group: Sequence[Seen]) -> Cause:
    whole = [one for one in group if one.finding.code == WHOLE and is_by_printer(one.finding)]
    leading = whole or [one for one in group if one.finding.code not in (*FOLLOWS, HELD)] or group
    order = list(Verdict)
    gravest = max(order.index(one.finding.verdict) for one in leading)
    worst = least_of([one for one in leading if order.index(one.finding.verdict) == gravest], key=_margin)
    return Cause(worst, tuple(one for one in group if one is not worst))


def tightest_passes(seen: Sequence[Seen], count: int) -> tuple[Seen, ...]:
    """Return the passes that are nearest to their limits, as shares of these, one of each code.

    What the plan has put on its limit, and what only proves the finished part, is left out.
    """
    nearest: dict[str, Seen] = {}
    for one in _telling(seen):
        held = nearest.get(one.finding.code)
        if held is None or _margin(one) < _margin(held) - MARGIN:
            nearest[one.finding.code] = one
    return tuple(sort_with_ties(nearest.values(), (_margin, MARGIN))[:count])


def _telling(seen: Sequence[Seen]) -> Iterator[Seen]:
    for one in seen:
        finding = one.finding
        if finding.verdict is not Verdict.PASS or finding.code == HELD or CODES[finding.code].group in SILENT:
            continue
        if EXACT < _margin(one) < inf:
            yield one


def _margin(one: Seen) -> float:
    """Return by how much a value keeps its limit, as a share of it; negative where it does not.

    A chance that passes keeps it by a share of what it lacks to certainty; one shown as the surest is never tight.
    """
    finding = one.finding
    value, limit = decisive(finding), finding.limit
    if value is None or limit is None or finding.sense not in (Sense.LEAST, Sense.MOST):
        return inf
    margin = value - limit if finding.sense is Sense.LEAST else limit - value
    if finding.code in CHANCES and margin > 0:
        return inf if value >= SUREST else margin / (100 - limit)
    return margin / max(abs(limit), 1.0)
