"""`mounts start`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from mounts.cli.build import build
from mounts.cli.options import ALL, AS_JSON, IN_LIBRARY, OUT, PAPER, Named, examples


@click.command(
    short_help="From a panel and a speaker to a mount in one go.",
    epilog=examples("mounts start my-door my-speaker", "mounts start my-door my-speaker --tilt 8 --name my-job"),
)
@click.argument("panel", type=Named("panel"))
@click.argument("speaker", type=Named("speaker"))
@click.option("--name", metavar="NAME", show_default="panel and speaker", help="Name of the job.")
@click.option(
    "--tilt",
    type=click.FloatRange(0, 60),
    metavar="DEGREES",
    show_default="towards the ears, level where they were not measured",
    help="How far it leans.",
)
@click.option("--both", is_flag=True, help="For both sides of the vehicle, not the panel's own alone.")
@click.option("--material", type=Named("material"), metavar="NAME", help="What it is printed of.")
@click.option("--printer", type=Named("printer"), metavar="NAME", help="The printer.")
@click.option("--fix-to-panel", type=Named("hardware"), metavar="NAME", help="What holds the mount.")
@click.option("--fix-speaker", type=Named("hardware"), metavar="NAME", help="What the speaker's screws go into.")
@OUT
@IN_LIBRARY
@PAPER
@ALL
@AS_JSON
def start(
    *,
    panel: str,
    speaker: str,
    name: str | None,
    tilt: float | None,
    both: bool,
    material: str | None,
    printer: str | None,
    fix_to_panel: str | None,
    fix_speaker: str | None,
    library: tuple[Path, ...],
    **options: Any,
) -> int:
    """Write a job for SPEAKER on PANEL and build it: the plainest mount that keeps every clearance and wall.

    What is usual is taken first; where it misses something, the plainest change that keeps everything, and the file
    says beside each line why it is there. Change it as you like, and build it again.
    """
    from mounts.load.catalogue.layers import locate

    file = locate(("panel",), panel, library)

    from mounts.choosing.start import StartRequest, start_job
    from mounts.choosing.trial import Workshop, find_place, refuse_unknown
    from mounts.cli.following import following
    from mounts.errors import InputError, Problem
    from mounts.load.catalogue.folders import FOLDERS, nearest_profiles, short_path
    from mounts.load.editing.template import set_schema_line
    from mounts.load.resolve.library import find_library
    from mounts.write.files import publish, safe_name
    from mounts.write.formats import FORMATS

    held = find_library(file, library)
    called = name if name is not None else safe_name(f"{file.stem}-{Path(speaker).stem}")
    if safe_name(called) != called:
        raise InputError(Problem(f'"{called}" is no name for a file; take "{safe_name(called)}"'))
    root = library[0] if library else nearest_profiles(Path()) or Path("profiles")
    in_library = held.layers.holds("panel", file)
    job = short_path((root / FOLDERS["job"] if in_library else file.parent) / f"{called}.yaml")
    if job.exists():
        raise InputError(Problem("is there already; build it, or take another name with --name", file=job))
    workshop = Workshop(material, printer, fix_to_panel, fix_speaker)
    refuse_unknown(held, workshop)
    asked = StartRequest(find_place(held, str(file), None), speaker, workshop, job, tilt, both)
    with following():
        started = start_job(held, asked)
    publish(job.parent, {job.name: set_schema_line(started.text, root).encode()})
    click.echo(f"{job}: written, with a reason beside each line", err=True)
    for change in started.changes:
        click.echo(f"taken: {change}", err=True)
    options["job"] = called if in_library and not library else str(job)
    return int(click.get_current_context().invoke(build, library=library, only=tuple(FORMATS), **options))
