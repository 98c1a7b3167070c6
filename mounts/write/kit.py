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
from dataclasses import asdict
from itertools import groupby
from typing import TYPE_CHECKING

from mounts.findings.kit import KitReport, KitRow
from mounts.write.lettering import plain
from mounts.write.screen import STYLES, estimate_words

if TYPE_CHECKING:
    from rich.console import RenderableType

SCHEMA = 2
LOST = "LOST"  # in place of a verdict


def kit_json(report: KitReport) -> str:
    """The report as indented JSON text ending in a line end."""
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
    """A line for each part, or for both sides alike: verdict, job, copies, what is worst; or why it is lost.

    All text is shown as it is: none of it is markup.
    """
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_header=False)
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    table.add_column(justify="right", no_wrap=True)
    table.add_column(overflow="fold", ratio=1)
    for (job, *_), alike in groupby(report.rows, lambda row: (row.job, row.how, row.verdict, row.copies, _said(row))):
        rows = list(alike)
        word = LOST if rows[0].how == "lost" else rows[0].verdict.word
        name = plain(", ".join(filter(None, (job, " and ".join(row.side for row in rows if row.side)))))
        copies = f"× {rows[0].copies}" if rows[0].copies > 1 else ""
        table.add_row(
            Text(word, STYLES["FAIL" if word == LOST else word]), Text(name), Text(copies), Text(_said(rows[0]))
        )
    return table


def bed_lines(report: KitReport) -> tuple[str, ...]:
    """What lies on which bed, in plain text; then what goes on none."""
    beds = (
        f"bed {bed.number}, {bed.printer}, {bed.material}: "
        + ", ".join(plain(name) + (f" × {count}" if count > 1 else "") for name, count in bed.parts)
        + f"; {estimate_words(bed.estimate)}"
        for bed in report.laid.beds
    )
    large = (
        f"{plain(one.part)} goes on no bed: it needs {' × '.join(f'{side:g}' for side in one.least_bed)}; "
        + (f"give printer: {one.printer} in its job" if one.printer else "give a larger printer")
        for one in report.laid.too_large
    )
    return (*beds, *large)


def _said(row: KitRow) -> str:
    """The reason for a lost part; else what is worst, and what was not measured."""
    if row.how == "lost":
        return plain(row.why)
    told = [row.worst.what] if row.worst else []
    if row.missing:
        told.append(f"{row.missing} reading{'s' if row.missing > 1 else ''} not taken")
    return plain("; ".join(told))
