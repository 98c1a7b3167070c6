"""`mounts list`, `mounts schema`, `mounts new`."""

from __future__ import annotations

from pathlib import Path

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY


@click.command("list")
@click.argument("kind", required=False)
@IN_LIBRARY
@AS_JSON
def list_library(kind: str | None, library: Path | None, as_json: bool) -> int:
    """List what the library holds; with a KIND (panel, speaker, job …) only that."""
    import json  # noqa: PLC0415
    from dataclasses import asdict  # noqa: PLC0415

    from mounts.load.library import FOLDERS, find_library  # noqa: PLC0415
    from mounts.load.listing import entries  # noqa: PLC0415

    found = find_library(given=library)
    kinds = [word for word in FOLDERS if kind in (None, word, f"{word}s")]
    held = entries(found, kinds)
    if as_json:
        rows = [{**asdict(e), "file": str(e.file), "problems": [str(problem) for problem in e.problems]} for e in held]
        click.echo(json.dumps({"schema": 1, "library": str(found.root), "entries": rows}, indent=2, ensure_ascii=False))
        return 0
    if not held:
        raise click.UsageError(f"the library {found.root} holds no {kind or 'profiles'}")
    width = max(len(entry.name) for entry in held)
    lines: list[str] = []
    for entry in held:
        if entry.kind not in lines:
            lines += ["", entry.kind] if lines else [entry.kind]
        lines.append(f"  {entry.name:{width}}  {entry.about}".rstrip())
        lines += [f"  {'':{width}}  does not load: {problem}" for problem in entry.problems]
    click.echo("\n".join(lines))
    return 0


@click.command()
def schema() -> None:
    """Print the JSON Schema of all files, for an editor that completes keys."""
    from mounts.load.shipped import shipped_schema  # noqa: PLC0415

    click.echo(shipped_schema(), nl=False)


@click.command()
@click.argument("kind", type=click.Choice(["panel", "speaker", "job"]))
@click.argument("name")
@IN_LIBRARY
def new(kind: str, name: str, library: Path | None) -> None:
    """Write a commented file to fill in: a KIND (panel, speaker, job) called NAME, in the library.

    Where there is no library yet, one is begun in profiles/ here, with the materials, printers and hardware that come
    with the program.
    """
    from mounts.errors import InputError, Problem  # noqa: PLC0415
    from mounts.load.blank import blank  # noqa: PLC0415
    from mounts.load.library import FOLDERS, find_library, near, nearest  # noqa: PLC0415
    from mounts.load.shipped import starter  # noqa: PLC0415
    from mounts.write.files import publish, safe_name  # noqa: PLC0415

    if safe_name(name) != name:
        raise InputError(Problem(f'"{name}" is no name for a file; take "{safe_name(name)}"'))
    own = find_library(given=library).root if library else nearest(Path())
    if own is None:
        own = Path("profiles")
        for folder, files in starter().items():
            publish(own / folder, files)
        click.echo(
            f"{own}/: a library of your own, with the materials, printers and hardware that come with the program"
        )
    file = near(own / FOLDERS[kind] / f"{name}.yaml")
    if file.exists():
        raise InputError(Problem("is there already; take another name, or change that file", file=file))
    publish(file.parent, {file.name: blank(kind, name).encode()})  # type: ignore[arg-type]
    click.echo(f"{file}: fill it in from top to bottom; what was not measured can be left out")
