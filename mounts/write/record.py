"""The record of a job: everything that the very same part can be made from again, as YAML.

`report.json` says what was found and which files were written; the record says what they were made from, by whom and by
which program. What both hold, the verdict and what was missed, is kept twice on purpose: a record outlives its folder.
"""

from __future__ import annotations

import base64
import hashlib
import platform
import zlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import yaml

from mounts import __version__
from mounts.findings.report import PartReport, Report, Verdict
from mounts.load.models.inputs import JobInputs
from mounts.load.parse.document import parse_plain_scalar
from mounts.load.results.record import SCHEMA, inputs_id
from mounts.load.results.shelf import library_versions, program_mark
from mounts.made import Made
from mounts.papers.caliper import caliper_checks
from mounts.papers.values import Sign
from mounts.write.output import NO_SIDE
from mounts.write.report import round_values
from mounts.write.stl import stl_bytes

HEAD = """# What this part was made from, to make the very same one again: mounts build --again THIS-FILE
# It holds the text of every file that decides it; do not change it.
"""
LONG = 100_000  # bytes from which on a file, which is a drawing then, is packed


class _Dumper(yaml.SafeDumper):
    """Writes text of several lines as a block."""


def _as_block(dumper: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
    style = "|" if "\n" in text else None if isinstance(parse_plain_scalar(text), str) else "'"  # 12e34567 is a number
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)


_Dumper.add_representer(str, _as_block)


def to_yaml(data: object) -> str:
    """Return plain data as YAML, keys in their order, text of several lines as blocks."""
    return str(yaml.dump(data, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=118))


def program_versions() -> dict[str, str]:
    """Return what this program is: its version, the mark of its sources, and its libraries."""
    own = {"mounts": __version__, "mark": program_mark()[:16], "python": platform.python_version()}
    return own | library_versions()


def record_text(made: Sequence[Made], report: Report, inputs: JobInputs) -> str:
    """Return the record of a job's parts.

    Args:
        made: the parts.
        report: of the job.
        inputs: what it was made from.
    """
    data: dict[str, Any] = {
        "kind": "record",
        "schema": SCHEMA,
        "job": report.job,
        "file": inputs.path,
        "id": inputs_id(inputs.files, inputs.defaults),
        "measured": inputs.measured,
        "verdict": str(report.verdict),
        "program": program_versions(),
        "parts": {one.job.part or NO_SIDE: _part(one) for one in made},
        "defaults": dict(inputs.defaults),
        "own": inputs.job,
        "files": {key: _file(contents) for key, contents in sorted(inputs.files.items())},
    }
    return HEAD + to_yaml({key: value for key, value in data.items() if value not in ("", {})})


def unpack_inputs(inputs: JobInputs, folder: Path) -> Path:
    """Write the files of a record into a scratch folder, as they lay to each other, and return the job's own."""
    for key, contents in inputs.files.items():
        place = folder / key
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(contents)
    return folder / inputs.job


def missed_codes(report: PartReport) -> dict[str, str]:
    """Return what warns or fails of a part: the gravest verdict of each code."""
    grave = (Verdict.WARN, Verdict.FAIL)
    return {one.code: str(verdict) for verdict in grave for one in report.findings if one.verdict is verdict}


def _part(made: Made) -> dict[str, Any]:
    missed = missed_codes(made.report)
    found: dict[str, Any] = {"stl": hashlib.sha256(stl_bytes(made.part, made.report.pose)).hexdigest()}
    found |= {"missed": missed} if missed else {}
    return found | ({"sizes": _sizes(made)} if made.job.make == "print" else {})


def _sizes(made: Made) -> dict[str, dict[str, Any]]:
    """Return the five sizes as they are drawn: what is an inside is drawn wider by the growth that is known."""
    found: dict[str, dict[str, Any]] = {}
    for check in caliper_checks(made):
        inside = check.sign in (Sign.SCALE, Sign.HOLES)
        drawn = float(check.value) + (made.job.printer.growth(made.job.material.name) if inside else 0.0)
        shows = {"shows": str(check.sign)} if check.sign not in (None, Sign.LAYER) else {}
        found[check.what] = {"drawn": round_values(drawn), **shows}
    return found


def _file(contents: bytes) -> dict[str, str]:
    digest = {"sha256": hashlib.sha256(contents).hexdigest()}
    try:
        if len(contents) <= LONG:
            return digest | {"text": contents.decode("utf-8")}
    except UnicodeDecodeError:
        pass
    return digest | {"packed": base64.b64encode(zlib.compress(contents, 9)).decode()}
