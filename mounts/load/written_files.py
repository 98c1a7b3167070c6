"""Whether the files of a job are still those that were written: by the SHA-256 that its report holds of each."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path

from mounts.errors import InputError, Problem

REPORT = "report.json"
MOST_BYTES = 100_000_000


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
