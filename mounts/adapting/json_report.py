"""Comparison of two jobs as one JSON document."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from mounts.adapting.adapt import Adaptation
from mounts.adapting.compare import SideChange
from mounts.adapting.draft import NoSleeve, Sleeve
from mounts.findings.report import SCHEMA, Finding, Report
from mounts.findings.wording import decisive
from mounts.identity import ident_trees
from mounts.kinds.sizes import NamedSize
from mounts.write.report import report_tree, round_values


def comparison_json(found: Adaptation, files: Mapping[str, Sequence[str]]) -> str:
    """Return the comparison as one JSON document ending in a line end.

    schema: number of this format (2), that of report.json.
    job, based_on, file: the new job, the old one, and the new one's file.
    speaker, verdict: {old, new}.
    sides: one entry a side:
        side, serves: whether the old part serves as it is; features: names of those that differ.
        sizes: {name, unit, old, new, changed}, old and new lists of figures or words, null where there is none.
        findings: {code, what, sense, unit, old, new, changed}, old and new {verdict, value, limit}.
        bought: {item: {old, new}}, how many.
    stays: what stays in the vehicle, in words; chosen: values that were chosen for the old speaker and are kept.
    sleeve: null where none is asked for; else {why, short} where there is none, or {job, file, count, report}.
    report: of the new job, as in report.json.
    files: names of the files written, by folder.
    """
    old, new = found.old_report, found.report
    tree = {
        "schema": SCHEMA,
        "job": new.job,
        "based_on": old.job,
        "file": str(found.draft.file),
        "speaker": dict(zip(("old", "new"), found.speakers, strict=True)),
        "verdict": {"old": str(old.verdict), "new": str(new.verdict)},
        "sides": [_side_tree(side) for side in found.sides],
        "stays": list(found.stays),
        "chosen": list(found.chosen),
        "sleeve": _sleeve_tree(found.sleeve),
        "report": report_tree(new),
        "files": {folder: list(names) for folder, names in files.items()},
    }
    return json.dumps(tree, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _side_tree(side: SideChange) -> dict[str, object]:
    """Return a JSON-serialisable dict of one side's changes."""
    return {
        "side": side.side,
        "serves": side.serves,
        "features": ident_trees(side.features),
        "sizes": [
            {
                "name": row.name,
                "unit": row.unit,
                "old": _values(row.old),
                "new": _values(row.new),
                "changed": row.changed,
            }
            for row in side.sizes
        ],
        "findings": [
            {
                "code": row.finding.code,
                "what": row.finding.what,
                "sense": row.finding.sense and str(row.finding.sense),
                "unit": row.finding.unit,
                "old": _finding_tree(row.old),
                "new": _finding_tree(row.new),
                "changed": row.changed,
            }
            for row in side.findings
        ],
        "bought": {item: {"old": old, "new": new} for item, (old, new) in side.bought.items()},
    }


def _values(size: NamedSize | None) -> list[float | str | None] | None:
    """Return the values of a size for JSON, rounded."""
    return None if size is None else [one if isinstance(one, str) else round_values(one) for one in size.values]


def _finding_tree(finding: Finding | None) -> dict[str, object] | None:
    """Return a JSON-serialisable dict of a finding's verdict, value and limit."""
    if finding is None:
        return None
    return {
        "verdict": str(finding.verdict),
        "value": round_values(decisive(finding)),
        "limit": round_values(finding.limit),
    }


def _sleeve_tree(sleeve: Sleeve | NoSleeve | None) -> dict[str, object] | None:
    """Return a JSON-serialisable dict of a sleeve, or of why there is none."""
    if sleeve is None:
        return None
    if isinstance(sleeve, NoSleeve):
        return {"why": sleeve.why, "short": round_values(sleeve.short)}
    made = sleeve.made
    report = report_tree(Report(made.job.name, (made.report,)))
    return {"job": made.job.name, "file": str(sleeve.draft.file), "count": sleeve.count, "report": report}
