"""`mounts match`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY, Named, examples

if TYPE_CHECKING:
    from mounts.matching.index import Tell

SLOW = 300  # files to be read, from which on it takes so long that one wants to know


@click.command(
    short_help="Find panels with the same holes, pins and opening.",
    epilog=examples("mounts match my-door", "mounts match linnet-front-door --within 1"),
)
@click.argument("panel", metavar="PANEL", type=Named("panel"))
@click.option(
    "--within",
    type=click.FloatRange(0.01, 10),
    metavar="MM",
    show_default="3 times the readings' error, 2.5 at most",
    help="Deviation that counts as the same hole.",
)
@click.option("--most", type=click.IntRange(1), default=5, metavar="N", help="How many matches to show in full.")
@IN_LIBRARY
@AS_JSON
def match(*, panel: str, within: float | None, most: int, library: tuple[Path, ...], as_json: bool) -> int:
    """Find panels that have the same holes, pins and opening as PANEL, a name in the library or a panel's file.

    The order of the holes, their names, the origin, a turn and the mirror side do not matter. Shows the worst deviation
    of a hole, whether the mounts that are known would go on as printed, and what differs. Without --within a hole may
    lie off by three times the error of both readings, 2.5 at most.
    """
    from mounts.load.catalogue.folders import library_layers
    from mounts.load.catalogue.layers import locate
    from mounts.matching.match import SearchOptions, search_panels

    file = locate(("panel",), panel, library)
    root, *below = library_layers(Path(), library)
    looked = search_panels(root, str(file), SearchOptions(within), _telling("panels"), below)
    told = looked.matches[:most]
    if looked.trouble:
        click.echo(f"the index is not kept, so every look reads the whole library: {looked.trouble}", err=True)

    from mounts.load.resolve.library import Library
    from mounts.matching.index import jobs_of
    from mounts.matching.screen import matches_text
    from mounts.matching.serving import servings
    from mounts.matching.tree import matches_json

    held = Library(root, tuple(below))
    jobs = [jobs_of(layer, _telling("jobs")) for layer in (root, *below)]
    found = [(one, servings(one, looked.known, jobs, held)) for one in told]
    if as_json:
        click.echo(matches_json(looked, found), nl=False)
    else:
        from shutil import get_terminal_size

        click.echo(matches_text(looked, found, min(get_terminal_size().columns, 110)), nl=False)
    return 0


def _telling(what: str) -> Tell:
    """Tells on stderr when many files must be read."""

    def tell(done: int, count: int) -> None:
        if done == 0 and count >= SLOW:
            click.echo(f"reading {count} {what}, once; later only those that change", err=True)

    return tell
