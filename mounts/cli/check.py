"""`mounts check`."""

from __future__ import annotations

from pathlib import Path

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY
from mounts.cli.shown import exit_code, show


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@IN_LIBRARY
@AS_JSON
def check(*, job: Path, library: Path | None, as_json: bool) -> int:
    """Check a JOB: everything that `build` does, without writing a file.

    Ends as `build` does: 0, 1 when a limit is broken, 2, 3.
    """
    from mounts.load.job import load_job  # noqa: PLC0415

    jobs = load_job(job, library)

    from mounts import pipeline  # noqa: PLC0415

    report = pipeline.checked(jobs)
    show(report, as_json=as_json)
    return exit_code(report)
