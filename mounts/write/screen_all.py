"""Every check of a report, as `--all` prints it: what fails first, what warns, what was not measured, what is to be
done by hand, what passes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import inf
from typing import TYPE_CHECKING

from mounts.findings.report import Finding, Report, Verdict
from mounts.findings.wording import decisive, value_with_limit
from mounts.geometry.ties import least_of
from mounts.lengths import Units
from mounts.write.screen import STYLES
from mounts.write.text_shaping import plain_text

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.text import Text

_GAP = 2  # columns between verdict, words and value
_MISSING = "Not checked, so not known to fit: take these readings and write them into the panel's file."

Marks = tuple[tuple[str, int], ...]  # sides, and the number of a finding's mark on each one's picture
Told = tuple[tuple[str, ...], Finding, Marks]  # the sides for which a finding holds, the finding, and its marks


def report_table(report: Report, width: int, *, pictures: bool = True) -> RenderableType:
    """Return the report for the screen.

    A finding takes a line with its verdict as a word, what was looked at, the value and its limit, and below it what
    to do. One that holds for both sides alike is said once. Colour only repeats what the words say, and the console
    leaves it out under NO_COLOR. All text is shown as it is: none of it is markup.

    Args:
        report: report of one job.
        width: columns of the screen; 80 is enough.
        pictures: whether there are pictures, with marks that can be named; else places are given by their figures.
    """
    from rich.console import Group

    told, units = _gathered(report), report.units
    missing = _gathered_missing(report)
    sides = tuple(dict.fromkeys(part.side for part in report.parts))
    lines: list[RenderableType] = [_headline(report, told, missing)]
    for verdict in (Verdict.FAIL, Verdict.WARN):
        lines += _said(told, verdict, sides, width, units, pictures=pictures)
    if missing:
        lines += ["", *(_row("NOT MEASURED", _named(path, where, sides), "", width) for path, where in missing.items())]
        lines.append(_beneath(_MISSING, len("NOT MEASURED") + _GAP))
    lines += _said(told, Verdict.DO, sides, width, units, pictures=pictures)
    passed = [row for row in told if row[1].verdict is Verdict.PASS]
    if passed:
        rows = _tightest(passed, sides)
        lines += [
            "",
            *(_row("pass", what, value_with_limit(finding, units), width, fold=False) for what, finding in rows),
        ]
    cautions = list(dict.fromkeys(text for part in report.parts for text in part.cautions))
    if cautions:
        lines += ["", _beneath("before you begin", 0), *(_beneath(f"• {text}", _GAP) for text in cautions)]
    return Group(*lines)


def _said(
    told: Sequence[Told], verdict: Verdict, sides: tuple[str, ...], width: int, units: Units, *, pictures: bool
) -> Iterator[RenderableType]:
    """Return the findings of one verdict, each with its place and what to do."""
    for same in _alike([row for row in told if row[1].verdict is verdict]):
        where, finding, _ = same[0]
        more = f" (and {len(same) - 1} more alike)" if len(same) > 1 else ""
        marks = tuple(mark for row in same for mark in row[2])
        yield ""
        yield from _grave(finding, _named(finding.what, where, sides) + more, width, units)
        for text in _places(same, marks, units, pictures=pictures):
            yield _beneath(text, len(verdict.word) + _GAP)


def _alike(rows: Sequence[Told]) -> Iterator[list[Told]]:
    """Put together findings of one code that show the same value and ask for the same."""
    groups: dict[tuple[object, ...], list[Told]] = {}
    for row in rows:
        groups.setdefault((row[0], row[1].code, value_with_limit(row[1]), row[1].advice), []).append(row)
    yield from groups.values()


def _tightest(passed: Sequence[Told], sides: tuple[str, ...]) -> Iterator[tuple[str, Finding]]:
    """Yield the finding of each code that is nearest to its limit, with its name and how many it stands for."""
    codes: dict[str, list[Told]] = {}
    for row in passed:
        codes.setdefault(row[1].code, []).append(row)
    for same in codes.values():
        where, tightest, _ = least_of(same, key=lambda row: _margin(row[1]))
        many = f" (tightest of {len(same)})" if len(same) > 1 else ""
        yield f"{_named(tightest.what, where, sides)}{many}", tightest


def _margin(finding: Finding) -> float:
    value = decisive(finding)
    return inf if value is None or finding.limit is None else abs(value - finding.limit)


def _gathered(report: Report) -> list[Told]:
    """Return findings in the report's order, those that say the same of several sides put together."""
    sides: dict[tuple[object, ...], list[str]] = {}
    marks: dict[tuple[object, ...], list[tuple[str, int]]] = {}
    first: dict[tuple[object, ...], Finding] = {}
    for part in report.parts:
        for finding in part.findings:
            key = (
                finding.code,
                finding.verdict,
                finding.what,
                value_with_limit(finding),
                finding.advice,
                finding.between,
            )
            first.setdefault(key, finding)
            sides.setdefault(key, []).append(part.side)
            found = [number for number, marked in enumerate(part.marked, start=1) if marked is finding]
            marks.setdefault(key, []).extend((part.side, number) for number in found)
    return [(tuple(dict.fromkeys(sides[key])), finding, tuple(marks[key])) for key, finding in first.items()]


def _gathered_missing(report: Report) -> dict[str, tuple[str, ...]]:
    sides: dict[str, list[str]] = {}
    for part in report.parts:
        for path in part.not_measured:
            sides.setdefault(path, []).append(part.side)
    return {path: tuple(dict.fromkeys(where)) for path, where in sides.items()}


def _headline(report: Report, told: Sequence[Told], missing: Mapping[str, object]) -> Text:
    from rich.text import Text

    def count(verdict: Verdict) -> int:
        return sum(1 for _, finding, _ in told if finding.verdict is verdict)

    tally = [(count(Verdict.FAIL), "fail"), (count(Verdict.WARN), "warn")]
    tally += [(len(missing), "not measured"), (count(Verdict.DO), "to do"), (count(Verdict.PASS), "pass")]
    word = report.verdict.word
    said = ", ".join(f"{number} {name}" for number, name in tally if number) or "nothing was checked"
    far = (" as far as measured", STYLES["NOT MEASURED"]) if missing and report.verdict is not Verdict.FAIL else ""
    return Text.assemble((plain_text(report.job), "bold"), ": ", (word, STYLES[word]), far, f" ({said})")


def _named(what: str, where: tuple[str, ...], sides: tuple[str, ...]) -> str:
    """Return what was looked at, with the sides for which it holds where it does not hold for all."""
    named = ", ".join(filter(None, where))
    return f"{named}: {plain_text(what)}" if named and where != sides else plain_text(what)


def _grave(finding: Finding, what: str, width: int, units: Units) -> Iterator[RenderableType]:
    word = finding.verdict.word
    yield _row(word, what, value_with_limit(finding, units), width)
    if finding.unnamed:
        yield _beneath("between {} and {}".format(*finding.unnamed), len(word) + _GAP)
    if finding.advice:
        yield _beneath(f"→ {finding.advice}", len(word) + _GAP)


def _places(same: Sequence[Told], marks: Marks, units: Units, *, pictures: bool) -> Iterator[str]:
    """Yield its place: its marks on the pictures, or its place on the part."""
    if not pictures:
        at = same[0][1].at
        if at is not None:
            yield "at x {}, y {}, z {}".format(*(units.cell(value + 0.0) for value in at)) + units.sign
    elif marks:
        numbers = dict.fromkeys(number for _, number in marks)
        each = [f"{number}" if len(numbers) == 1 else f"{number} ({side})" for side, number in marks]
        yield f"mark {', '.join(dict.fromkeys(each))} on the picture"


def _row(word: str, what: str, value: str, width: int, *, fold: bool = True) -> RenderableType:
    """One line: the verdict at the left, the value at the right, and what it is about between them."""
    from rich.table import Table
    from rich.text import Text

    table = Table.grid(padding=(0, _GAP, 0, 0), pad_edge=False)
    table.width = width
    table.add_column(no_wrap=True, width=len(word))
    table.add_column(no_wrap=not fold, overflow="fold" if fold else "ellipsis", ratio=1)
    table.add_column(no_wrap=True, justify="right")
    table.add_row(Text(word, STYLES[word]), Text(what, "bold" if fold else ""), Text(value))
    return table


def _beneath(text: str, indent: int) -> RenderableType:
    from rich.padding import Padding
    from rich.text import Text

    return Padding(Text(plain_text(text)), (0, 0, 0, indent))
