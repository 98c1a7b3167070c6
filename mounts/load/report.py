"""A part's report read back from the fields that `write/report.py` makes of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mounts.findings.codes import Sense
from mounts.findings.report import Estimate, Finding, PartReport, Verdict
from mounts.identity import Ident, read_ident


def part_report(tree: Mapping[str, Any]) -> PartReport:
    """The report that these fields tell, rounded as they are.

    Raises:
        KeyError, TypeError, ValueError: if they are not a part's fields.
    """
    return PartReport(
        side=str(tree["side"]),
        findings=tuple(_finding(fields) for fields in tree["findings"]),
        not_measured=tuple(tree["not_measured"]),
        pose=tuple(tuple(float(cell) for cell in row) for row in tree["pose"]),
        files=tuple(tree["files"]),
        cautions=tuple(tree["cautions"]),
        estimate=None if tree["estimate"] is None else Estimate(**tree["estimate"]),
    )


def _finding(fields: Mapping[str, Any]) -> Finding:
    told = dict(fields)
    at, between, sense = told.pop("at"), told.pop("between"), told.pop("sense")
    return Finding(
        verdict=Verdict(told.pop("verdict")),
        at=None if at is None else (at[0], at[1], at[2]),
        between=None if between is None else (_ident(between[0]), _ident(between[1])),
        sense=None if sense is None else Sense(sense),
        **told,
    )


def _ident(fields: Mapping[str, Any]) -> Ident:
    return read_ident(str(fields["id"]), str(fields["label"]))
