"""`mounts fits`.

`mounts match`.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mounts.cli.following import following
from mounts.cli.options import ALL, AS_JSON, IN_LIBRARY, Named, examples, screen
from mounts.progress import report_stage

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

        units = held.load("panel", file).units
        click.echo(matches_text(looked, found, min(get_terminal_size().columns, 110), units), nl=False)
    return 0


def _telling(what: str) -> Tell:
    """Tells on stderr when many files must be read."""

    def tell(done: int, count: int) -> None:
        if done == 0 and count >= SLOW:
            click.echo(f"reading {count} {what}, once; later only those that change", err=True)

    return tell


def _clock(_: click.Context, __: click.Parameter, value: str | None) -> float | None:
    """Return a clock direction in degrees."""
    if value is None:
        return None
    from mounts.load.parse import units

    try:
        return units.clock(value)
    except ValueError as error:
        raise click.BadParameter(str(error)) from error


def _tilts(_: click.Context, __: click.Parameter, value: str) -> tuple[float, ...]:
    """Return the tilts of --tilts, each from 0 to 45 degrees."""
    try:
        found = tuple(dict.fromkeys(float(word) for word in value.split(",")))
    except ValueError as error:
        raise click.BadParameter(f"{value} is no list of degrees, such as 0,5,10") from error
    if not all(0 <= tilt <= 45 for tilt in found):
        raise click.BadParameter(f"{value} holds a tilt that is not from 0 to 45 degrees")
    return found


def _held(reference: str | None) -> str | Mapping[str, object] | None:
    """Return a name as it is, and for a path the name that its file holds."""
    from mounts.load.catalogue.folders import is_path
    from mounts.load.parse.document import read

    if reference is None or not is_path(reference):
        return reference
    found: Mapping[str, object] = read(Path(reference)).data
    return found


@click.command(
    short_help="Show what goes in a panel before you buy anything.",
    epilog=examples("mounts fits linnet-front-door", "mounts fits my-door --tilts 0,8 --toward 10:30"),
)
@click.argument("panel", metavar="PANEL", type=Named("panel"))
@click.option("--tilts", callback=_tilts, default="0,5,10", metavar="DEGREES", help="Tilts to try.")
@click.option(
    "--toward",
    callback=_clock,
    metavar="CLOCK",
    show_default="the ear, else 12:00",
    help="Direction of the tilt, as 10:30.",
)
@click.option(
    "--material",
    type=Named("material"),
    metavar="NAME",
    show_default="asa, in the sun pc-abs",
    help="Material of the mounts.",
)
@click.option(
    "--printer", type=Named("printer"), metavar="NAME", show_default="the largest bed", help="Printer that makes them."
)
@click.option(
    "--fix-to-panel", type=Named("hardware"), metavar="NAME", show_default="rivet-nut-m5", help="Hardware in the panel."
)
@click.option(
    "--fix-speaker",
    type=Named("hardware"),
    metavar="NAME",
    show_default="short inserts, else pilots",
    help="What the speaker's screws go into.",
)
@IN_LIBRARY
@ALL
@AS_JSON
def fits(
    *,
    panel: str,
    tilts: tuple[float, ...],
    toward: float | None,
    material: str | None,
    printer: str | None,
    fix_to_panel: str | None,
    fix_speaker: str | None,
    library: tuple[Path, ...],
    every: bool,
    as_json: bool,
) -> int:
    """Show what goes in PANEL, a name in the library or a panel's file, before anything is bought.

    Depth behind, magnet, flange and front room at each tilt, and which speakers go in (your own;
    where none of them does, the demo ones too), with their margins and what limits each. Every mount is planned, none
    is built: a ring as low as it can be, lifted where that gives the speaker room behind; a cup as near the grille as
    it can be.
    """
    from mounts.load.catalogue.layers import locate

    file = locate(("panel",), panel, library)

    from mounts.choosing.choices import try_speakers
    from mounts.choosing.room import find_rooms, suit_gasket
    from mounts.choosing.screen import fits_text
    from mounts.choosing.tree import fits_json
    from mounts.choosing.trial import Workshop, find_place, refuse_unknown
    from mounts.load.resolve.library import find_library

    held = find_library(file, library)
    workshop = Workshop(_held(material), _held(printer), fix_to_panel, fix_speaker)
    refuse_unknown(held, workshop)
    place = find_place(held, str(file), toward)

    def tell(done: int, count: int) -> None:
        if done == 0 and not sys.stderr.isatty():  # where the line says it
            click.echo(f"planning mounts for {count} speakers at {len(tilts)} tilts", err=True)
        report_stage("speaker %d of %d at %d tilts", done + 1, count, len(tilts))

    with following():
        chosen = try_speakers(held, place, workshop, tilts, tell)
        report_stage("the room that there is")
        room = find_rooms(held, place, suit_gasket(held, place, workshop), tilts)
    if as_json:
        click.echo(fits_json(place, room, chosen), nl=False)
    else:
        click.echo(fits_text(place, room, chosen, screen()[1], held.load("panel", file).units, every=every), nl=False)
    return 0
