"""Checks as a person reads them on paper: the verdict, each cause once with what mends it, and the tightest passes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from mounts.findings.causes import Cause, Seen, causes, count_causes, seen_findings, tightest_passes
from mounts.findings.report import PartReport, Report, Verdict
from mounts.findings.wording import value_with_limit
from mounts.lengths import Units
from mounts.papers.entry import BookletEntry
from mounts.papers.values import Block, Paragraph, TableBlock, VerdictBox
from mounts.papers.wording import describe_reading, join_words

OTHERS = 2  # further findings of a cause that are named
TIGHTEST = 3  # passes that are named


def read_together(parts: Sequence[BookletEntry]) -> tuple[Seen, ...]:
    """Return the findings of some parts, those that say the same of several put together."""
    several = len({one.chapter.job for one in parts}) > 1
    named = [(one.chapter.name if several else one.chapter.part, one.report) for one in parts]
    return seen_findings(Report("", tuple(replace(report, side=name) for name, report in named)))


def _shared_units(parts: Sequence[BookletEntry]) -> Units:
    """Return the units in which lengths of all parts are written."""
    return Report("", tuple(one.report for one in parts)).units


def count_words(seen: Sequence[Seen]) -> str:
    """Return how many faults, warnings and tasks there are, as the screen counts them: each cause once."""
    return count_causes(causes(seen, Verdict.FAIL, Verdict.WARN), causes(seen, Verdict.DO))


def part_words(report: PartReport) -> str:
    """Return the counts of one part; OK where it has none."""
    counted = count_words(seen_findings(Report("", (report,))))
    return counted or ("not all measured" if report.not_measured else "OK")


def banner(parts: Sequence[BookletEntry]) -> VerdictBox:
    """Return the gravest verdict, and what it means for the person who holds the paper."""
    seen = read_together(parts)
    counted = count_words(seen)
    verdicts = {one.finding.verdict for one in seen}
    missing = list(dict.fromkeys(path for one in parts for path in one.report.not_measured))
    unread = (
        f" Not measured, so not checked: {join_words(describe_reading(path) for path in missing)}." if missing else ""
    )
    if Verdict.FAIL in verdicts:
        return VerdictBox("NOT OK", f"Do not print or fit this as it is: {counted}.{unread}", grave=True)
    if Verdict.WARN in verdicts or missing:
        lead = f"{counted[:1].upper()}{counted[1:]}: read below before you print. " if counted else ""
        rest = "Everything else" if Verdict.WARN in verdicts else "Everything"
        word = "UNKNOWN" if missing else "OK, BUT"
        return VerdictBox(word, f"{lead}{rest} that could be checked is within its limits.{unread}")
    by_hand = f" {counted[:1].upper()}{counted[1:]}, marked DO." if counted else ""
    return VerdictBox("OK", f"Everything that was measured was checked and is within its limits.{by_hand}")


def grave_blocks(parts: Sequence[BookletEntry]) -> Iterator[Block]:
    """Yield each cause of what does not pass once, the gravest first, with what to do about it."""
    seen = read_together(parts)
    found = (*causes(seen, Verdict.FAIL, Verdict.WARN), *causes(seen, Verdict.DO))
    if found:
        several = len({one.chapter.job for one in parts}) > 1
        shares = (1.3, 3.2, 6.6, 3.0) if several else (1.3, 1.5, 7.8, 3.0)
        rows = tuple(_row(cause, _shared_units(parts)) for cause in found)
        yield TableBlock(("", "part", "what, and what to do", "value"), rows, shares, strong=(0,))


def _row(cause: Cause, units: Units) -> tuple[str, ...]:
    worst = cause.worst.finding
    names = [*dict.fromkeys(one.finding.what for one in cause.others if one.finding.what != worst.what)]
    more = f" and {len(names) - OTHERS} more" if len(names) > OTHERS else ""
    also = f"; also {'; '.join(names[:OTHERS])}{more}" if names else ""
    where = dict.fromkeys(side for one in (cause.worst, *cause.others) for side in one.sides)
    return (
        worst.verdict.word,
        ", ".join(filter(None, where)),
        f"{worst.what}{also}{f' → {worst.advice}' if worst.advice else ''}",
        value_with_limit(worst, units),
    )


def passed_blocks(parts: Sequence[BookletEntry]) -> Iterator[Block]:
    """Yield one line on what passes, with the tightest."""
    seen = read_together(parts)
    passed = sum(one.finding.verdict is Verdict.PASS for one in seen)
    if passed:
        units = _shared_units(parts)
        near = [one.finding for one in tightest_passes(seen, TIGHTEST)]
        tight = [f"{one.what}: {value_with_limit(one, units)}" for one in near]
        nearest = f", the tightest: {'; '.join(tight)}" if tight else ""
        yield Paragraph(f"{passed} checks passed{nearest}. report.json and --all have every one.", "small")
