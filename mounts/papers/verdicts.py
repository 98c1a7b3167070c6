"""Checks as a person reads them: what fails and why first, then every clearance, then the rest by its tightest."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from math import inf

from mounts.findings.report import Finding, PartReport, Verdict
from mounts.findings.wording import value_with_limit
from mounts.geometry.ties import least_of
from mounts.lengths import Units
from mounts.made import Made
from mounts.papers.entry import BookletEntry
from mounts.papers.values import Block, Paragraph, TableBlock, VerdictBox
from mounts.papers.wording import deciding_value, describe_reading, join_words

GRAVEST = tuple(Verdict)[::-1]
NUMBERED = re.compile(r"\b([A-Z]|\d+)\b")  # which fixing or screw
CLEARANCES = ("clear.", "way.", "proven.", "access.")


def banner(reports: Sequence[PartReport]) -> VerdictBox:
    """Return the gravest verdict, and what it means for whoever holds the paper."""
    told = {(f.verdict, f.what, value_with_limit(f), f.advice) for report in reports for f in report.findings}
    fails, warns, tasks = (sum(one[0] is verdict for one in told) for verdict in GRAVEST[:-1])
    missing = list(dict.fromkeys(path for report in reports for path in report.not_measured))
    unread = (
        f" Not measured, so not checked: {join_words(describe_reading(path) for path in missing)}." if missing else ""
    )
    if fails:
        text = (
            f"Do not print or fit this as it is: {fails} "
            f"{'check breaks its limit' if fails == 1 else 'checks break their limits'}."
        )
        return VerdictBox("NOT OK", f"{text}{unread}", grave=True)
    by_hand = f" Marked DO: {tasks} {'thing' if tasks == 1 else 'things'} to do by hand." if tasks else ""
    if warns or missing:
        warned = f"{warns} {'warning' if warns == 1 else 'warnings'}: read them before you print. " if warns else ""
        rest = "Everything else" if warns else "Everything"
        word = "UNKNOWN" if missing else "OK, BUT"
        return VerdictBox(word, f"{warned}{rest} that could be checked is within its limits.{by_hand}{unread}")
    return VerdictBox("OK", f"Everything that was measured was checked and is within its limits.{by_hand}")


def grave_blocks(parts: Sequence[BookletEntry]) -> Iterator[Block]:
    """Yield all that does not pass, the gravest first, each with what to do; once where several parts share it."""
    several = len({one.chapter.job for one in parts}) > 1
    rows: dict[tuple[str, ...], list[str]] = {}
    for verdict in GRAVEST[:-1]:
        for one in parts:
            for finding in one.report.findings:
                if finding.verdict is verdict:
                    key = (verdict.word, finding.what, value_with_limit(finding, one.report.units), finding.advice)
                    rows.setdefault(key, []).append(one.chapter.name if several else one.chapter.part)
    if rows:
        cells = tuple(
            (word, ", ".join(filter(None, dict.fromkeys(where))), _describe(what, advice), value)
            for (word, what, value, advice), where in rows.items()
        )
        shares = (1.3, 3.8, 6.6, 2.4) if several else (1.2, 1.5, 8.0, 3.4)
        yield TableBlock(("", "part", "what, and what to do", "value"), cells, shares, strong=(0,))


def checked_blocks(made: Made) -> Iterator[Block]:
    """Yield every clearance, and of all other checks that pass the tightest of each sort."""
    findings = made.report.findings
    near = [f for f in findings if f.code.startswith(CLEARANCES)]
    if near:
        yield Paragraph("Clearances", "head")
        yield _table(near, made.job.units)
    rest = list(_tightest([f for f in findings if f not in near]))
    if rest:
        yield Paragraph("All other checks, the tightest of each sort", "head")
        yield _table(rest, made.job.units)


def _table(findings: Sequence[Finding], units: Units) -> TableBlock:
    """Return two findings a row, read down the left half first; those that differ by a letter or number stand once."""
    alike: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        alike.setdefault((NUMBERED.sub("", finding.what), finding.verdict), []).append(finding)
    told = [(least_of(same, key=_margin), len(same)) for same in alike.values()]
    cells = [_cells(*one, units) for one in sorted(told, key=lambda one: GRAVEST.index(one[0].verdict))]
    half = (len(cells) + 1) // 2
    rows = tuple((*left, *right) for left, right in zip_longest(cells[:half], cells[half:], fillvalue=("", "", "")))
    return TableBlock(("", "what", "value (limit)") * 2, rows, (1.3, 5.6, 2.6) * 2, strong=(0, 3), small=True)


def _cells(finding: Finding, count: int, units: Units) -> tuple[str, str, str]:
    many = f" (tightest of {count})" if count > 1 else ""
    return finding.verdict.word, f"{finding.what}{many}", value_with_limit(finding, units)


def _tightest(findings: Sequence[Finding]) -> Iterator[Finding]:
    """Yield what does not pass, and of what passes the nearest to its limit of each code."""
    codes: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        key = finding.what if finding.verdict is not Verdict.PASS else ""
        codes.setdefault((finding.code, key), []).append(finding)
    for same in codes.values():
        yield least_of(same, key=_margin)


def _margin(finding: Finding) -> float:
    value = deciding_value(finding)
    return inf if value is None or finding.limit is None else abs(value - finding.limit)


def _describe(what: str, advice: str) -> str:
    return f"{what} → {advice}" if advice else what
