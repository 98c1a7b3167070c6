"""`mounts survey`.

`mounts card`.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from mounts.cli.options import ALL, AS_JSON, IN_LIBRARY, OUT, PAPER, Named, examples, screen

if TYPE_CHECKING:
    from mounts.lengths import Units
    from mounts.load.models.panel import Panel
    from mounts.load.models.pins import PinPanel

PICTURE, SHEET = "pattern.png", "pattern.pdf"


@click.command(
    short_help="Write two pages to fill in while you measure.",
    epilog=examples("mounts card", "mounts card --pins --paper letter"),
)
@click.option("--pins", is_flag=True, help="For a grille or trim piece with moulded pins.")
@PAPER
@OUT
def card(*, pins: bool, paper: Literal["a4", "letter"], out: Path) -> None:
    """Write two pages to fill in while measuring (PDF), in the order of the work at the door.

    Each box stands under the key that it becomes: copy it into the file of `mounts new panel`, which asks in the same
    order (`mounts new panel NAME --pins` for a place with pins).
    """
    from mounts.write.card.page import card_pdf
    from mounts.write.files import publish

    name = "measuring-card-pins.pdf" if pins else "measuring-card.pdf"
    publish(out, {name: card_pdf("pins" if pins else "panel", paper)})
    click.echo(f"{out / name}: print it, fill it in, then copy its boxes into a file of mounts new panel")


@click.command(
    short_help="Show a panel's hole pattern and what is doubtful in it.",
    epilog=examples("mounts survey linnet-hatch", "mounts survey my-door --paper letter"),
)
@click.argument("panel", type=Named("panel"))
@OUT
@IN_LIBRARY
@PAPER
@ALL
@AS_JSON
def survey(
    *, panel: str, out: Path, library: tuple[Path, ...], paper: Literal["a4", "letter"], every: bool, as_json: bool
) -> int:
    """Show a PANEL's hole pattern (a name or a file): places, errors, readings that disagree, nearly a bolt circle?

    Draws it too: pattern.png to look at, pattern.pdf at 1:1 to hold against the door. Ends with 0, 1 when readings
    disagree, 2 when no pattern follows from them; the message then says what to measure next.
    """
    found, units = _seen(panel, library)

    from mounts.design.pattern import describe_pattern, pattern_drawing
    from mounts.write.booklet import template_pdf
    from mounts.write.files import publish, safe_name
    from mounts.write.pattern_picture import pattern_png
    from mounts.write.pattern_text import pattern_json, pattern_text

    pattern = describe_pattern(found, units)
    folder = out / safe_name(found.name)
    publish(folder, {PICTURE: pattern_png(pattern), SHEET: template_pdf(pattern_drawing(pattern), paper)})
    if as_json:
        click.echo(pattern_json(pattern, (PICTURE, SHEET)), nl=False)
    else:
        width = screen()[1]
        click.echo(pattern_text(pattern, width, every=every))
        click.echo(f"\nfiles    in {folder}/: look at {PICTURE}")
        click.echo(f"next     print {SHEET} at 100 % and hold it against the panel")
        click.echo(f"         mounts fits {panel}")
    return 1 if pattern.survey.disagreement else 0


def _seen(panel: str, library: tuple[Path, ...]) -> tuple[Panel | PinPanel, Units]:
    """Return the panel as seen from the front, and the units in which it is shown."""
    from mounts.load.catalogue.layers import locate

    file = locate(("panel",), panel, library)

    from mounts.errors import InputError
    from mounts.load.models.pins import PinPanel
    from mounts.load.resolve.library import find_library
    from mounts.load.resolve.sides import view_from_front, view_pins_from_front

    loaded = find_library(file, library).load("panel", file)
    if loaded.value is None:
        raise InputError(*loaded.problems)
    pins = isinstance(loaded.value, PinPanel)
    return (view_pins_from_front if pins else view_from_front)(loaded.value), loaded.units
