"""Comparison of two jobs as a table for the screen: what changes, what is printed again, what stays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from mounts.adapting.adapt import Adaptation
from mounts.adapting.compare import FindingRow, SideChange, SizeRow
from mounts.adapting.draft import Draft, NoSleeve, Sleeve
from mounts.findings.report import Finding, Verdict
from mounts.findings.wording import decisive, number, unit_sign
from mounts.geometry.ties import least_of
from mounts.kinds.sizes import NamedSize
from mounts.lengths import Units
from mounts.write.screen import STYLES
from mounts.write.text_shaping import plain_text

if TYPE_CHECKING:
    from rich.console import RenderableType

FINDING_ROWS = 14  # rows of findings on the screen
SAME = "the same"  # of what is bought, where nothing else is
NONE = "–"
PROOF = "solid."  # findings that prove the mesh, not the design
Row = tuple[str, str, str, str, str]  # what, old, new, limit, verdict


def comparison_table(found: Adaptation, width: int, files: Mapping[str, Sequence[str]]) -> RenderableType:
    """Return the comparison for the screen; colour only repeats what words say, and no text is markup.

    Args:
        found: the two jobs.
        width: columns of the screen; 80 is enough.
        files: names of the files that were written, by folder.
    """
    from rich.console import Group
    from rich.text import Text

    old, new, units = found.old_report, found.report, found.report.units
    lines: list[RenderableType] = [
        Text.assemble((plain_text(old.job), "bold"), " → ", (plain_text(new.job), "bold")),
        Text(f"speaker {plain_text(found.speakers[0])} → {plain_text(found.speakers[1])}"),
        Text.assemble("verdict ", _verdict(old.verdict), " → ", _verdict(new.verdict)),
        "",
        *(Text(line) for line in _reprint_lines(found)),
    ]
    reprinted = [side for side in found.sides if not side.serves]
    rows = [*size_rows(reprinted, units), *_finding_rows(reprinted, units)]
    if rows:
        lines += ["", _table([("", "old", "new", "limit", ""), *rows], width)]
        lines += [Text(line) for line in (*_text_rows(reprinted), _count_line(reprinted))]
    for title, texts in (
        ("bought parts", bought_lines(found.sides)),
        ("what stays", found.stays),
        _sleeve_lines(found),
    ):
        if texts:
            lines += ["", Text(title, "bold"), *(_indented(text) for text in texts)]
    lines += ["", *(Text(line) for line in _written_lines(found, files))]
    return Group(*lines)


def new_drafts(found: Adaptation) -> list[Draft]:
    """Return the files of the new job and of its sleeve."""
    return [found.draft, *([found.sleeve.draft] if isinstance(found.sleeve, Sleeve) else [])]


def _verdict(verdict: Verdict) -> tuple[str, str]:
    """Return the word of a verdict and its style."""
    return (verdict.word, STYLES[verdict.word])


def _reprint_lines(found: Adaptation) -> Iterator[str]:
    """Yield lines on which parts are printed again, and on what was chosen for the old speaker."""
    for side in found.sides:
        what = side.side or "part"
        if side.serves:
            yield f"{what}: the old part serves as it is"
        else:
            done = "cut" if found.new[0].job.make == "cut" else "print"
            yield f"{what}: {done} it again; {len(side.features)} of its {side.count} features differ"
    if found.chosen:
        kept = ", ".join(found.chosen)
        yield f"kept, although chosen for {plain_text(found.speakers[0])}: {plain_text(kept)}"


def size_rows(sides: Sequence[SideChange], units: Units) -> list[Row]:
    """Return the rows of changed sizes that have figures."""
    each = [
        [
            (row.name, _size(row.old, units), _size(row.new, units), "", "")
            for row in side.sizes
            if row.changed and not _is_text(row)
        ]
        for side in sides
    ]
    return list(_merge_sides(sides, each))


def _text_rows(sides: Sequence[SideChange]) -> Iterator[str]:
    """Yield the changed sizes that have words instead of figures, such as a label."""
    for side in sides:
        for row in side.sizes:
            if row.changed and _is_text(row):
                yield f"{side.side}: {row.name} {_size(row.old, Units.MM)} → {_size(row.new, Units.MM)}"


def _is_text(row: SizeRow) -> bool:
    """Return whether a size has words for values."""
    return any(isinstance(value, str) for size in (row.old, row.new) if size for value in size.values)


def _finding_rows(sides: Sequence[SideChange], units: Units) -> list[Row]:
    """Return changed verdicts, then clearances, then the rest: of each code the tightest, up to FINDING_ROWS."""
    each = [[_finding_row(row, units) for row in _select_findings(side.findings)] for side in sides]
    return list(_merge_sides(sides, each))[:FINDING_ROWS]


def _select_findings(rows: Sequence[FindingRow]) -> list[FindingRow]:
    """Return the tightest row of each code and of each change of its verdict."""
    groups: dict[tuple[str, bool, str], list[FindingRow]] = {}
    for row in rows:
        if _is_on_screen(row):
            groups.setdefault((row.finding.code, row.verdict_changed, row.finding.verdict.value), []).append(row)
    tightest = [least_of(group, _margin) for group in groups.values()]
    return sorted(tightest, key=lambda row: (not row.verdict_changed, not row.finding.code.startswith("clear.")))


def _is_on_screen(row: FindingRow) -> bool:
    """Return whether a row is for the screen: its verdict changes, or a value that says something of the fit."""
    both = row.old is not None and row.new is not None
    return row.verdict_changed or (row.changed and both and not row.finding.code.startswith(PROOF))


def _margin(row: FindingRow) -> float:
    """Return the distance of a value from its limit, infinite where one of them is missing."""
    value, limit = decisive(row.finding), row.finding.limit
    return float("inf") if value is None or limit is None else abs(value - limit)


def _finding_row(row: FindingRow, units: Units) -> Row:
    """Return a finding as a row of cells."""
    finding = row.finding
    limit = (
        ""
        if finding.limit is None
        else _figure(finding.limit, finding.unit, units).removesuffix(unit_sign(finding.unit))
    )
    word = finding.verdict.word if row.new is not None else "gone"
    if row.verdict_changed:
        word = f"{row.old.verdict.word if row.old else NONE} → {word}"
    return (plain_text(finding.what), _value(row.old, units), _value(row.new, units), limit, word)


def _merge_sides(sides: Sequence[SideChange], each: Sequence[Sequence[Row]]) -> Iterator[Row]:
    """Yield rows that are the same on every side once, and those of one side under its name."""
    where: dict[Row, list[str]] = {}
    for side, rows in zip(sides, each, strict=True):
        for row in rows:
            where.setdefault(row, []).append(side.side)
    for row, names in where.items():
        yield row if len(names) == len(sides) else (f"{', '.join(names)}: {row[0]}", *row[1:])


def _count_line(sides: Sequence[SideChange]) -> str:
    """Return the line that counts what stays the same."""
    sizes = [row for side in sides for row in side.sizes]
    findings = [row for side in sides for row in side.findings]
    same = sum(not row.changed for row in sizes), sum(not row.changed for row in findings)
    counted = f"{same[0]} of {len(sizes)} sizes and {same[1]} of {len(findings)} findings are the same"
    return f"{counted}; every one of them: --json"


def bought_lines(sides: Sequence[SideChange]) -> list[str]:
    """Return the changes of bought parts, all sides together."""
    totals: dict[str, tuple[int, int]] = {}
    for side in sides:
        for item, (old, new) in side.bought.items():
            before = totals.get(item, (0, 0))
            totals[item] = (before[0] + old, before[1] + new)
    changed = [f"{plain_text(item)}: {old} → {new}" for item, (old, new) in totals.items() if old != new]
    if totals and not changed:
        return [SAME]
    return changed


def _sleeve_lines(found: Adaptation) -> tuple[str, list[str]]:
    """Return title and lines on the reducing sleeve; no lines where none is asked for."""
    title = f"a reducing sleeve into the old {found.mount}"
    if isinstance(found.sleeve, NoSleeve):
        return title, [f"none: {found.sleeve.why}"]
    if not isinstance(found.sleeve, Sleeve):
        return title, []
    report = found.sleeve.made.report
    graver = [one for one in report.findings if one.verdict is not Verdict.PASS]
    lines = [f"{report.verdict.word}; print {found.sleeve.count}; the old {found.mount}s stay where they are"]
    lines += [
        f"{one.verdict.word}  {plain_text(one.what)}: {_value(one, report.units)}; {plain_text(one.advice)}"
        for one in graver
    ]
    return title, lines


def _written_lines(found: Adaptation, files: Mapping[str, Sequence[str]]) -> Iterator[str]:
    """Yield lines on the files that were written."""
    yield f"written: {', '.join(plain_text(str(one.file)) for one in new_drafts(found))}"
    for folder, names in files.items():
        yield f"{len(names)} files and report.json are in {plain_text(folder)}/"


def _table(rows: Sequence[Row], width: int) -> RenderableType:
    """Return rows as a table for the screen."""
    from rich.table import Table
    from rich.text import Text

    table = Table.grid(padding=(0, 2, 0, 0), pad_edge=False)
    table.width = width
    table.add_column(no_wrap=True, overflow="ellipsis", ratio=1, min_width=24)
    for _ in range(3):
        table.add_column(no_wrap=True, justify="right")
    table.add_column(no_wrap=True)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row[:-1]), Text(row[-1], STYLES.get(row[-1].split(" ")[-1], "")))
    return table


def _indented(text: str) -> RenderableType:
    """Return a text indented by two columns."""
    from rich.padding import Padding
    from rich.text import Text

    return Padding(Text(text), (0, 0, 0, 2))


def _size(size: NamedSize | None, units: Units) -> str:
    """Return the values of a size as text."""
    if size is None:
        return NONE
    values = [
        plain_text(value) if isinstance(value, str) else _figure(value, size.unit.replace("deg", "1"), units)
        for value in size.values
    ]
    words = ", ".join(values) if any(isinstance(value, str) for value in size.values) else " × ".join(values)
    return words + ("°" if size.unit == "deg" else "")


def _value(finding: Finding | None, units: Units) -> str:
    """Return the value of a finding as text with its unit."""
    value = decisive(finding) if finding else None
    return NONE if finding is None or value is None else _figure(value, finding.unit, units)


def _figure(value: float, unit: str, units: Units) -> str:
    """Return a figure with two decimals and its unit."""
    if unit == "mm" and units is not Units.MM:
        return units(value, 2)
    return f"{number(value, 2)}{unit_sign(unit)}"
