"""`mounts check`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mounts.cli.following import following
from mounts.cli.options import ALL, AS_JSON, IN_LIBRARY, Named, examples, exit_code, show

if TYPE_CHECKING:
    from mounts.findings.report import Report
    from mounts.load.models.job import Job
    from mounts.load.models.workshop import Material

MESHES = (".stl", ".3mf", ".obj")


@click.command(
    short_help="Check a job, a mesh file or a folder; write nothing.",
    epilog=examples("mounts check linnet-woofer --all", "mounts check part.stl --job linnet-woofer"),
)
@click.argument("what", metavar="JOB|MESH|FOLDER", type=Named("job"))
@click.option("--job", type=Named("job"), help="For a mesh: the job that it belongs to.")
@click.option("--material", type=Named("material"), metavar="NAME", help="For a mesh: the material to print it in.")
@IN_LIBRARY
@ALL
@AS_JSON
def check(
    *, what: str, job: str | None, material: str | None, library: tuple[Path, ...], every: bool, as_json: bool
) -> int:
    """Check a JOB, a MESH file from anyone, or a FOLDER that `build` wrote; write nothing.

    A job is planned, built and checked as `build` does. A mesh (STL, 3MF, OBJ) is looked at for soundness and thin
    walls; with --job it is also set in its place, however it was saved, and checked as the part of that job:
    a ring or half of one, a cup, a spacer, a board or its foot.

    Of a folder that `build` wrote, as out/JOB, every file is held against the report's SHA-256.

    Ends as `build` does: 0, 1 when a limit is broken or a file is not as it was written, 2, 3.
    """
    if _is_folder(what):
        return _folder(Path(what), as_json=as_json)
    is_mesh = what.lower().endswith(MESHES)
    if (job or material) and not is_mesh:
        raise click.UsageError("--job and --material go with a mesh file; a job says its own material")
    with following():
        report = _mesh(Path(what), job, material, library) if is_mesh else _job(what, library)
    from mounts.write.screen import Done, next_step

    step = next_step(report, f"mounts check {what}")
    if not step and not is_mesh:
        step = f"mounts build {what} writes the parts and the papers"
    show(report, Done(next=(step,) if step else (), cautions_in="--all shows them"), as_json=as_json, every=every)
    return exit_code(report)


def _is_folder(what: str) -> bool:
    """Return whether a folder is meant, not a job of that name."""
    return Path(what).is_dir() and ("/" in what or (Path(what) / "report.json").is_file())


def _folder(folder: Path, *, as_json: bool) -> int:
    """Compare a job's files with those that were written, print what changed and return the exit code."""
    from contextlib import suppress

    from mounts.load.results.report import changed_files
    from mounts.write.files import settle

    with suppress(OSError):  # what cannot be written to cannot have been left half written by us
        settle(folder)
    count, changed = changed_files(folder)
    if as_json:
        import json

        click.echo(json.dumps({"schema": 1, "folder": str(folder), "files": count, "changed": dict(changed)}, indent=2))
    else:
        for name, what in changed:
            click.echo(f"{folder / name} {what}")
        click.echo(f"{folder}: {count - len(changed)} of {count} files are as they were written")
    return 1 if changed else 0


def _job(name: str, library: tuple[Path, ...]) -> Report:
    from mounts.load.catalogue.layers import locate

    file = locate(("job",), name, library)

    from mounts.load.resolve.job import load_job

    jobs = load_job(file, library)

    from mounts import pipeline

    return pipeline.check(jobs)


def _mesh(file: Path, job: str | None, name: str | None, library: tuple[Path, ...]) -> Report:
    from mounts.load.catalogue.layers import locate

    of = locate(("job",), job, library) if job else None

    from mounts.load.resolve.job import load_job

    material = _material(name, library, of) if name else None
    jobs = load_job(of, library) if of else ()

    from mounts import foreign
    from mounts.load.formats.mesh import read_mesh

    part = read_mesh(file)
    if material and jobs:
        _refuse_unfit(material, jobs)
    if not jobs:
        return foreign.check_mesh(part, material)
    return foreign.check_mesh_as(part, [replace(one, material=material) for one in jobs] if material else jobs)


def _refuse_unfit(material: Material, jobs: Sequence[Job]) -> None:
    from mounts.errors import InputError, Problem

    why = [material.unfit(one.make) for one in jobs]
    if all(why):
        raise InputError(Problem(f"{why[0]}; name another with --material"))


def _material(name: str, library: tuple[Path, ...], job: Path | None) -> Material:
    from mounts.errors import InputError
    from mounts.load.resolve.library import find_library

    found = find_library(job, library).get("material", name)
    if found.problems:
        raise InputError(*found.problems)
    material: Material = found.value
    return material
