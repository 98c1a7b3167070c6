"""A kit's report: `kit.json` for the record, and a table for the screen.

`kit_json` writes, always all of them and in this order:

schema: number of this format (2); it rises when a field changes its meaning.
kit, vehicle, vehicles: of the kit's file.
verdict: the gravest of all parts: "pass", "do", "warn" or "fail", as in report.json.
parts: one entry a part, in the order of the kit's file:
    job, side, copies: whose part, and how many for all vehicles together.
    verdict: of its report; "fail" for one that is lost.
    how: "made" now, "kept" from an earlier run, or "lost".
    why: for a lost one the reason, else "".
    files: paths from the kit's folder.
    worst: code, what and advice of the gravest finding that did not pass; null when all passed.
    not_measured: how many readings would have been checked had they been taken.
    estimate: of one copy, as in report.json; null where nothing is printed.
beds: one entry a bed:
    number, printer, material: from 1; what it is printed on and of.
    parts: name and number of copies of each part on it.
    files: in the kit's folder.
    estimate: of all that lies on it.
too_large: one entry a part that goes on no bed:
    part, least_bed: its name, and the least bed that would take it, [x, y, z] mm.
    printer: of the kit, that would take it; "" where none would.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import asdict
from itertools import groupby
from typing import TYPE_CHECKING

from mounts.findings.kit import KitReport, KitRow, summed
from mounts.findings.report import Verdict
from mounts.findings.wording import value_with_limit
from mounts.lengths import Units
from mounts.write.screen import STYLES, Done, add_headline, add_line, estimate_words
from mounts.write.text_shaping import plain_text

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.text import Text

SCHEMA = 2
LOST = "LOST"  # in place of a verdict
SHOWN = 5  # groups of parts, names and parts too large for a bed that are shown
BEDS = 2  # that are shown one by one; more of them only as a number


def kit_json(report: KitReport) -> str:
    """Return the report as indented JSON text ending in a line end."""
    tree = {
        "schema": SCHEMA,
        "kit": report.kit,
        "vehicle": report.vehicle,
        "vehicles": report.vehicles,
        "verdict": str(report.verdict),
        "parts": [_part(row) for row in report.rows],
        "beds": [asdict(bed) for bed in report.laid.beds],
        "too_large": [asdict(one) for one in report.laid.too_large],
    }
    text = json.dumps(tree, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    return text.encode(errors="replace").decode()


def _part(row: KitRow) -> dict[str, object]:
    worst = row.worst
    return {
        "job": row.job,
        "side": row.side,
        "copies": row.copies,
        "verdict": str(row.verdict),
        "how": row.how,
        "why": row.why,
        "files": list(row.files),
        "worst": None if worst is None else {"code": worst.code, "what": worst.what, "advice": worst.advice},
        "not_measured": row.missing,
        "estimate": None if row.estimate is None else asdict(row.estimate),
    }


def kit_table(report: KitReport) -> RenderableType:
    """Return a line for each part, or for both sides alike: verdict, job, copies, what is worst; or why it is lost.

    All text is shown as it is: none of it is markup.
    """
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_header=False)
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    table.add_column(justify="right", no_wrap=True)
    table.add_column(overflow="fold", ratio=1)
    for (job, *_), alike in groupby(
        report.rows, lambda row: (row.job, row.how, row.verdict, row.copies, _explain(row))
    ):
        rows = list(alike)
        word = LOST if rows[0].how == "lost" else rows[0].verdict.word
        name = plain_text(", ".join(filter(None, (job, " and ".join(row.side for row in rows if row.side)))))
        copies = f"× {rows[0].copies}" if rows[0].copies > 1 else ""
        table.add_row(
            Text(word, STYLES["FAIL" if word == LOST else word]), Text(name), Text(copies), Text(_explain(rows[0]))
        )
    return table


def kit_summary(report: KitReport, width: int, done: Done) -> Text:
    """Return the kit in about twenty lines: the verdict, what is wrong with which parts, the beds, what comes next.

    Args:
        report: of the kit.
        width: columns of the screen.
        done: where the files are, and what comes next.
    """
    from rich.text import Text

    page = Text()
    add_headline(page, report.kit, *_verdict(report), width)
    groups = [group for group in _groups(report) if group[0].verdict is not Verdict.PASS]
    unread = [row for row in report.rows if row.missing]
    if groups or unread:
        page.append("\n")
    for rows in groups[:SHOWN]:
        _add_group(page, rows, width)
    if len(groups) > SHOWN:
        add_line(page, "", f"and {len(groups) - SHOWN} more: --all shows every part", width)
    if unread:
        add_line(page, "UNKNOWN", f"{_names(unread)}: readings not taken; mounts check JOB says which", width)
    page.append("\n")
    beds = bed_lines(report)
    if len(beds) > BEDS:
        count = Counter(f"{bed.printer}, {bed.material}" for bed in report.laid.beds)
        said = "; ".join(f"{many} of {what}" for what, many in count.items())
        beds = (f"{said}: kit.json and the papers say what lies on which", *beds[len(report.laid.beds) :][:SHOWN])
    for number, text in enumerate(beds):
        add_line(page, "" if number else "beds", text, width)
    for word, text in (("parts", _counted(report)), ("print", _printing(report)), ("files", done.files)):
        if text:
            add_line(page, word, text, width)
    for number, text in enumerate(done.next):
        add_line(page, "" if number else "next", text, width)
    page.rstrip()
    return page


def _verdict(report: KitReport) -> tuple[str, str]:
    """Return the word of a kit's verdict and how many parts stand behind it."""
    failed = sum(row.verdict is Verdict.FAIL for row in report.rows) - len(report.lost)
    counts = [(len(report.lost), "not made"), (failed, "not OK")]
    counts += [(sum(bool(row.missing) for row in report.rows), "with readings not taken")]
    counts += [(sum(row.verdict is Verdict.WARN for row in report.rows), "with warnings")]
    said = ", ".join(f"{count} {what}" for count, what in counts if count)
    said = f"{said} of {len(report.rows)} parts" if said else f"{len(report.rows)} parts"
    if report.verdict is Verdict.FAIL:
        return "NOT OK", said
    if counts[2][0]:
        return "UNKNOWN", said
    return ("OK, BUT" if report.verdict is Verdict.WARN else "OK"), said


def _groups(report: KitReport) -> list[list[KitRow]]:
    """Return the parts by what is worst of them, the gravest first: a cause that several share is one entry."""
    groups: dict[tuple[str, ...], list[KitRow]] = {}
    for row in report.rows:
        groups.setdefault((row.verdict, row.worst.code if row.worst else "", row.why), []).append(row)
    order = list(Verdict)
    return sorted(groups.values(), key=lambda rows: -order.index(rows[0].verdict))


def _add_group(page: Text, rows: list[KitRow], width: int) -> None:
    first = rows[0]
    if first.how == "lost":
        add_line(page, LOST, f"{_names(rows)}: {first.why}", width)
        return
    worst = first.worst
    what = "" if worst is None else f": {worst.what}"
    add_line(
        page, first.verdict.word, f"{_names(rows)}{what}", width, value_with_limit(worst, first.units) if worst else ""
    )
    if worst is not None and (worst.change or worst.advice):
        add_line(page, "", f"→ {worst.change or worst.advice}", width)


def _names(rows: list[KitRow]) -> str:
    """Return the names of the parts' jobs, each once, the first few."""
    names = list(dict.fromkeys(row.job for row in rows))
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return ", ".join(names[:SHOWN]) + more


def _counted(report: KitReport) -> str:
    """Return what became of the parts, and how many pieces there are to print."""
    kept, made = (sum(row.how == how for row in report.rows) for how in ("kept", "made"))
    pieces = sum(row.copies for row in report.rows if row.how != "lost")
    return f"{made} parts made, {kept} unchanged, {len(report.lost)} lost; {pieces} pieces to print"


def _printing(report: KitReport) -> str:
    """Return what printing all beds takes."""
    beds = [(bed.estimate, 1) for bed in report.laid.beds]
    return f"{estimate_words(summed(beds))} in all" if beds else ""


def bed_lines(report: KitReport) -> tuple[str, ...]:
    """Return what lies on which bed, in plain text; then what goes on none."""
    units = Units.shared(row.units for row in report.rows)
    beds = (
        f"bed {bed.number}, {bed.printer}, {bed.material}: "
        + ", ".join(plain_text(name) + (f" × {count}" if count > 1 else "") for name, count in bed.parts)
        + f"; {estimate_words(bed.estimate)}"
        for bed in report.laid.beds
    )
    large = (
        f"{plain_text(one.part)} goes on no bed: it needs {' × '.join(units(side, 0) for side in one.least_bed)}; "
        + (f"give printer: {one.printer} in its job" if one.printer else "give a larger printer")
        for one in report.laid.too_large
    )
    return (*beds, *large)


def _explain(row: KitRow) -> str:
    """Return the reason for a lost part; else what is worst, and what was not measured."""
    if row.how == "lost":
        return plain_text(row.why)
    told = [row.worst.what] if row.worst else []
    if row.missing:
        told.append(f"{row.missing} reading{'s' if row.missing > 1 else ''} not taken")
    return plain_text("; ".join(told))
