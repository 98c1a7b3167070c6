"""The report as one JSON document, for a program and for the record.

`report_json` writes these fields, always all of them and in this order; lengths in mm, angles in degrees:

schema: number of this format (2); it rises when a field changes its meaning.
job: the job's name.
verdict: the gravest of all findings: "pass", "do", "warn" or "fail".
files: names of the files that belong to all parts together, in the folder of the report.
parts: one entry a part:
    side: "left", "right", or "" for a part that belongs to no side; "left.a" and "left.b" for a ring in two halves, of
        which a also says what passes of the assembled ring.
    files: names of the part's files, in the folder of the report.
    pose: rigid transform from the panel frame (STEP) to the print pose (STL, 3MF): four rows of four, of which the
        last is 0 0 0 1; a point is a column to its right.
    findings: one entry a check:
        code: stable name of the check, such as "clear.glass"; all of them are in DEVELOPERS.md.
        verdict: "pass", "do" (right once what `advice` says is done by hand, as planned), "warn" or "fail".
        what: what was looked at, in words.
        sense: "least" or "most", what `limit` is; "target" where the value should be `closed_form`, and `limit` is the
            furthest that is allowed on its side; null when the check is no comparison.
        measured: read off the finished mesh, in `unit`; null when not measured there.
        closed_form: computed on the plan, in `unit`; null where no closed form exists.
        limit: the value that decides, in `unit`; null when the check is no comparison.
        unit: "mm", "deg", "N", "MPa", "C", and so on; "1" for a plain number.
        at: [x, y, z], a point in the panel frame; null when the finding has no place.
        between: the two features or things it lies between, each as {id, label}: the id is unique within the part and
            begins with the thing's role, such as "glass", "thing.2" or "hole.A"; null when there are none.
        source: where the limit comes from.
        advice: what to do about it; "" when there is nothing to do.
        margin_sd: standard deviation of the margin from the instruments, in `unit`; null when no reading enters.
    not_measured: paths of readings that would have been checked had they been taken.
    cautions: what can hurt someone on this job, in the order of the work.
    units: units in which sentences and screens give lengths: "mm", "inches" or "both"; figures are mm all the same.
    estimate: grams, hours, cost (null without prices), mass_error_pct and time_error_pct (one standard deviation) of
        printing it, without brim, supports and heating up; null where nothing is printed.
not_measured: those of all parts, each once.
sha256: of each file in the folder of the report but itself, by its name; empty where none was written.

Figures are rounded to 1e-4, the pose to 1e-9. There is no NaN and no infinity: such a figure is null.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from math import isfinite

from mounts.findings.report import SCHEMA, Finding, PartReport, Report
from mounts.identity import ident_trees


def report_json(report: Report, files: Mapping[str, str] | None = None) -> str:
    """Return the report as indented JSON text ending in a line end; equal reports give equal text.

    Args:
        report: of a job.
        files: SHA-256 of each of its files, by name.
    """
    text = (
        json.dumps({**report_tree(report), "sha256": dict(files or {})}, indent=2, ensure_ascii=False, allow_nan=False)
        + "\n"
    )
    return text.encode(errors="replace").decode()  # half a character, as from a broken file name, is no Unicode


def report_tree(report: Report) -> dict[str, object]:
    """Return the report's fields, for a JSON document of which it is a part."""
    missing = dict.fromkeys(path for part in report.parts for path in part.not_measured)
    return {
        "schema": SCHEMA,
        "job": report.job,
        "verdict": str(report.verdict),
        "files": list(report.files),
        "parts": [part_tree(part) for part in report.parts],
        "not_measured": list(missing),
    }


def part_tree(part: PartReport) -> dict[str, object]:
    """Return one part's fields, as `load/results/report.py` reads them back."""
    return {
        "side": part.side,
        "files": list(part.files),
        "pose": [[round_values(cell, 9) for cell in row] for row in part.pose],
        "findings": [_finding(finding) for finding in part.findings],
        "not_measured": list(part.not_measured),
        "cautions": list(part.cautions),
        "units": str(part.units),
        "estimate": None if part.estimate is None else {k: round_values(v) for k, v in asdict(part.estimate).items()},
    }


def _finding(finding: Finding) -> dict[str, object]:
    return {
        "code": finding.code,
        "verdict": str(finding.verdict),
        "what": finding.what,
        "sense": finding.sense and str(finding.sense),
        "measured": round_values(finding.measured),
        "closed_form": round_values(finding.closed_form),
        "limit": round_values(finding.limit),
        "unit": finding.unit,
        "at": None if finding.at is None else [round_values(place) for place in finding.at],
        "between": None if finding.between is None else ident_trees(finding.between),
        "source": finding.source,
        "advice": finding.advice,
        "margin_sd": round_values(finding.margin_sd),
    }


def round_values(value: float | None, places: int = 4) -> float | None:
    """Return a float that JSON can hold: rounded, without a negative zero; None for NaN and infinity."""
    if value is None or not isfinite(value):
        return None
    return round(float(value), places) + 0.0
