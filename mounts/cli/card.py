"""`mounts card`."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from mounts.cli.options import OUT, PAPER, examples


@click.command(
    short_help="Write a page to fill in while you measure.",
    epilog=examples("mounts card", "mounts card --pins --paper letter"),
)
@click.option("--pins", is_flag=True, help="For a grille or trim piece with moulded pins.")
@PAPER
@OUT
def card(*, pins: bool, paper: Literal["a4", "letter"], out: Path) -> None:
    """Write a page to fill in while measuring (PDF), in the order of the work at the door.

    Each box stands under the key that it becomes: copy it into the file of `mounts new panel`, which asks in the same
    order (`mounts new panel NAME --pins` for a place with pins).
    """
    from mounts.write.card.page import card_pdf
    from mounts.write.files import publish

    name = "measuring-card-pins.pdf" if pins else "measuring-card.pdf"
    publish(out, {name: card_pdf("pins" if pins else "panel", paper)})
    click.echo(f"{out / name}: print it, fill it in, then copy its boxes into a file of mounts new panel")
