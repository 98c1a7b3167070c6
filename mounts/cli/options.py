"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path

import click

IN_LIBRARY = click.option(
    "--library",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Folder of profiles; the nearest profiles/ when not given.",
)
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of a table.")
