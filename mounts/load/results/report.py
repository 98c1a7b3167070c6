"""A part's report read back from the fields that `write/report.py` makes of it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from mounts.errors import InputError, Problem
from mounts.findings.codes import Sense
from mounts.findings.report import Estimate, Finding, PartReport, Verdict
from mounts.identity import Ident, read_ident
from mounts.lengths import Units

REPORT = "report.json"
MOST_BYTES = 100_000_000


def parse_part_report(tree: Mapping[str, Any]) -> PartReport:
    """Return the report in these fields, rounded as they are.

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
        units=Units(tree.get("units", "mm")),
        estimate=None if tree["estimate"] is None else Estimate(**tree["estimate"]),
    )


def read_earlier(folder: Path) -> tuple[PartReport, ...]:
    """Return the parts of the report that an earlier run left in a folder; none where none can be read."""
    try:
        return tuple(map(parse_part_report, json.loads((folder / REPORT).read_bytes())["parts"]))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return ()


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


def changed_files(folder: Path) -> tuple[int, tuple[tuple[str, str], ...]]:
    """Return how many files a job's report names, and those that are not as written: name, and what is wrong.

    Files that the report does not name are nobody's business.

    Raises:
        InputError: if there is no report, or it names no files.
    """
    digests = _digests(folder / REPORT)
    return len(digests), tuple(_changed(folder, digests))


def _changed(folder: Path, digests: dict[str, str]) -> Iterator[tuple[str, str]]:
    for name, digest in sorted(digests.items()):
        try:
            with (folder / name).open("rb") as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()
        except FileNotFoundError:
            yield name, "is missing"
        except OSError as error:
            yield name, f"cannot be read: {(error.strerror or str(error)).lower()}"
        else:
            if found != digest:
                yield name, "is not as it was written"


def _digests(report: Path) -> dict[str, str]:
    try:
        if report.stat().st_size > MOST_BYTES:
            raise ValueError("it is larger than 100 MB")
        digests = json.loads(report.read_bytes())["sha256"]
        plain = all(isinstance(digest, str) and Path(name).name == name for name, digest in digests.items())
    except FileNotFoundError as error:
        raise InputError(
            Problem(f"there is no {REPORT} in it; give a folder that build wrote", file=report.parent)
        ) from error
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise InputError(Problem("holds no SHA-256 of files, as one that build wrote does", file=report)) from error
    if not plain or not digests:
        raise InputError(Problem("names no files beside it, as one that build wrote does", file=report))
    return dict(digests)
