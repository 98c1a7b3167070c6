"""`mounts adapt`."""

from __future__ import annotations

from pathlib import Path

import click

from mounts.cli.following import following
from mounts.cli.options import ALL, AS_JSON, IN_LIBRARY, OUT, Named, examples, exit_code, screen


@click.command(
    short_help="Fit last year's mount to another speaker.",
    epilog=examples(
        "mounts adapt linnet-woofer --speaker demo-woofer-165",
        "mounts adapt my-job --speaker my-speaker --name my-new-job",
    ),
)
@click.argument("old_job", metavar="OLD_JOB", type=Named("job"))
@click.option(
    "--speaker",
    type=Named("speaker"),
    required=True,
    metavar="NEW",
    help="The new speaker: a name in the library, or a file.",
)
@click.option("--name", metavar="NAME", show_default="the old one's and the speaker's", help="Name of the new job.")
@OUT
@IN_LIBRARY
@ALL
@AS_JSON
def adapt(
    *,
    old_job: str,
    speaker: str,
    name: str | None,
    out: Path,
    library: tuple[Path, ...],
    every: bool,
    as_json: bool,
) -> int:
    """Make OLD_JOB again for another speaker, and show what changes.

    Writes a new job beside the old one, based on it, and the new mount's files; shows what breaks a limit with
    it, which parts are printed again and what can stay; with --all, side by side, what changes. Into the cup of a
    larger tweeter it also makes a reducing sleeve where there is room for its wall.

    Ends as `build` does: 0, 1 when the new mount breaks a limit, 2, 3. With 2 and 3 nothing is written.
    """
    from mounts.load.catalogue.layers import locate

    old = locate(("job",), old_job, library)

    from mounts.adapting.draft import draft_job
    from mounts.errors import MountsError
    from mounts.load.resolve.job import job_document, load_from
    from mounts.load.resolve.library import find_library

    held = find_library(old, library)
    document = job_document(old, held)
    before = load_from(held, old)
    made = draft_job(old, before[0], document, library=held, speaker=speaker, name=name)
    try:
        after = load_from(held, made.file, made.text)

        from mounts.adapting.adapt import adapt_job, write_adaptation
        from mounts.write.output import Wish

        with following():
            found = adapt_job(before, after, made, document, held)
            files = write_adaptation(found, out, Wish())
    except MountsError as error:
        click.echo(f"{error}\n\nnothing was written; {made.file} would have been:\n\n{_numbered(made.text)}", err=True)
        return error.exit_code
    if as_json:
        from mounts.adapting.json_report import comparison_json

        click.echo(comparison_json(found, files), nl=False)
    else:
        from mounts.adapting.screen import adaptation_screen
        from mounts.adapting.tables import comparison_table

        console, width = screen()
        shown = comparison_table(found, width, files) if every else adaptation_screen(found, width, files)
        console.print(shown)
    return exit_code(found.report)


def _numbered(text: str) -> str:
    """Return a file's lines with their numbers, since messages name them."""
    return "\n".join(f"{number:4}  {line}" for number, line in enumerate(text.splitlines(), 1))
