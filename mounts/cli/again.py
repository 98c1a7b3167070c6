"""`mounts build --again`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from mounts.cli.options import exit_code, show

if TYPE_CHECKING:
    from mounts.load.results.record import Record
    from mounts.write.output import Wish

FOLDER = "again"  # below --out, so that what was built since stays


def build_again(
    file: Path, library: Sequence[Path], out: Path, wish: Wish, seconds: float, *, every: bool, as_json: bool
) -> int:
    """Make the parts of a record again, say whether they are the same and what would be different today."""
    from mounts.load.results.record import RECORD, read_record

    record = read_record(file)

    from mounts import pipeline
    from mounts.again import load_recorded, verdict_differences
    from mounts.cli.following import following, time_limit
    from mounts.write.screen import Done

    with TemporaryDirectory(prefix="mounts-") as scratch, following(), time_limit(seconds):
        jobs, inputs, defaults = load_recorded(record, Path(scratch).resolve())
        report, folder = pipeline.write(jobs, out / FOLDER, wish, inputs)
        now = read_record(folder / RECORD)
        same = {side: side in now.parts and now.parts[side].stl == part.stl for side, part in record.parts.items()}
        checked = verdict_differences(*({k: p.missed for k, p in one.parts.items()} for one in (record, now)))
        said = [("again", f"{side}: {'the very same part' if is_same else 'NOT the same part'}")
                for side, is_same in same.items()]  # fmt: skip
        said += [("today", line) for line in (*_today(record, now, library), *defaults, *checked)]
    if as_json:
        import json

        today = [line for label, line in said if label == "today"]
        click.echo(json.dumps({"schema": 1, "record": str(file), "folder": str(folder), "same": same, "today": today},
                              indent=2, ensure_ascii=False))  # fmt: skip
    else:
        if not any(label == "today" for label, _ in said):
            said.append(("today", "nothing would be different"))
        names = [name for part in report.parts for name in part.files]
        show(
            report,
            Done(f"{len(names)} in {folder}/", said=tuple(said), cautions_in="--all shows them"),
            as_json=False,
            every=every,
        )
    return exit_code(report)


def _today(record: Record, now: Record, library: Sequence[Path]) -> Iterator[str]:
    """Yield what would be different if the job's file were built today: versions, files, and then verdicts."""
    from mounts import pipeline
    from mounts.again import input_differences, program_differences, verdict_differences
    from mounts.errors import InputError
    from mounts.load.catalogue.layers import locate
    from mounts.load.resolve.inputs import gather_inputs
    from mounts.load.resolve.job import load_from
    from mounts.load.resolve.library import find_library
    from mounts.write.output import NO_SIDE
    from mounts.write.record import missed_codes

    yield from program_differences(record.program, now.program)
    try:
        file = locate(("job",), record.file if Path(record.file).is_file() else record.job, library)
        held = find_library(file, library)
        jobs = load_from(held, file)
        changes = list(input_differences(record.inputs.files, gather_inputs(held, file).files))
        yield from changes
        if changes:
            report = pipeline.check(jobs)
            parts = {part.side or NO_SIDE: missed_codes(part) for part in report.parts}
            yield from verdict_differences({side: part.missed for side, part in now.parts.items()}, parts)
    except InputError as error:
        yield f"the job cannot be built from its files: {error.problems[0]}"
