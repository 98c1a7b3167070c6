"""`mounts survey`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY

if TYPE_CHECKING:
    from mounts.load.models.panel import Panel
    from mounts.load.models.pins import PinPanel

PICTURE, PAPER = "pattern.png", "pattern.pdf"


@click.command()
@click.argument("panel")
@click.option(
    "--out", type=click.Path(path_type=Path), default=Path("out"), metavar="FOLDER", help="Where the files go; out/."
)
@IN_LIBRARY
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", help="For the 1:1 page; a4.")
@AS_JSON
def survey(*, panel: str, out: Path, library: Path | None, paper: Literal["a4", "letter"], as_json: bool) -> int:
    """Show a PANEL's hole pattern (a name or a file): places, errors, readings that disagree, nearly a bolt circle?

    Draws it too: pattern.png to look at, pattern.pdf at 1:1 to hold against the door. Ends with 0, 1 when readings
    disagree, 2 when no pattern follows from them; the message then says what to measure next.
    """
    found = _seen(panel, library)

    from mounts.design.pattern import paper_of, pattern_of  # noqa: PLC0415
    from mounts.write.booklet import template_pdf  # noqa: PLC0415
    from mounts.write.files import publish, safe_name  # noqa: PLC0415
    from mounts.write.pattern_picture import pattern_png  # noqa: PLC0415
    from mounts.write.pattern_text import pattern_json, pattern_text  # noqa: PLC0415

    pattern = pattern_of(found)
    folder = out / safe_name(found.name)
    publish(folder, {PICTURE: pattern_png(pattern), PAPER: template_pdf(paper_of(pattern), paper)})
    if as_json:
        click.echo(pattern_json(pattern, (PICTURE, PAPER)), nl=False)
    else:
        click.echo(pattern_text(pattern))
        click.echo(f"\nlook at {folder / PICTURE}; print {folder / PAPER} at 100 % and hold it against the panel")
    return 1 if pattern.survey.disagreement else 0


def _seen(panel: str, library: Path | None) -> Panel | PinPanel:
    """The panel as seen from the front."""
    from mounts.errors import InputError  # noqa: PLC0415
    from mounts.load.library import find_library  # noqa: PLC0415
    from mounts.load.models.pins import PinPanel  # noqa: PLC0415
    from mounts.load.sides import from_front, pins_from_front  # noqa: PLC0415

    file = Path(panel)
    here = file if file.suffix in (".yaml", ".yml") else None
    kept = find_library(here, library)
    loaded = kept.load("panel", here) if here else kept.get("panel", panel, Path("here"))
    if loaded.value is None:
        raise InputError(*loaded.problems)
    return pins_from_front(loaded.value) if isinstance(loaded.value, PinPanel) else from_front(loaded.value)
