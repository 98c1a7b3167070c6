"""`mounts coupon`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY, OUT, PAPER, Named, examples, exit_code

if TYPE_CHECKING:
    from mounts.calibrating.calibrate import Calibration
    from mounts.calibrating.coupon import Coupon


@click.command(
    short_help="Make a gauge for a printer, or read its values back.",
    epilog=examples("mounts coupon bed-250", "mounts coupon bed-250 --readings out/coupon/readings.yaml"),
)
@click.argument("printer", type=Named("printer"))
@click.option("--material", type=Named("material"), metavar="NAME", default="asa", help="Material to print it in.")
@click.option(
    "--insert",
    type=Named("hardware"),
    metavar="NAME",
    default="insert-m4-short",
    help="Insert for its pockets.",
)
@click.option(
    "--readings",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The file you filled in: update the printer's file.",
)
@click.option("--only-show", is_flag=True, help="With --readings: show the values and change nothing.")
@OUT
@PAPER
@IN_LIBRARY
@AS_JSON
def coupon(
    *,
    printer: str,
    material: str,
    insert: str,
    readings: Path | None,
    only_show: bool,
    out: Path,
    paper: Literal["a4", "letter"],
    library: tuple[Path, ...],
    as_json: bool,
) -> int:
    """Make a gauge to print on PRINTER, or with --readings write what you read off the print into its file.

    The gauge has bars of 120 both ways and both diagonals, holes, pegs, ribs and insert pockets in steps, and a loose
    plug to try fits with. Beside its files lie a sheet that says what to measure where, and readings.yaml to fill in.
    From the readings follow shrink, squareness, hole growth by size and the clearance of each fit word, each with its
    uncertainty; they are written into the printer's file, whose comments and other values stay as they are.

    Ends as `build` does: 0, 1 when the gauge breaks a limit of the printer, 2, 3.
    """
    if only_show and readings is None:
        raise click.UsageError("--only-show goes with --readings")
    from mounts.load.catalogue.layers import locate

    for kind, name in (("printer", printer), ("material", material)):
        locate((kind,), name, library)  # a wrong name is answered before anything heavy is imported
    if readings is not None:
        return _result_text(printer, readings, library, only_show=only_show, as_json=as_json)
    from mounts.calibrating.coupon import find_request, make_coupon, write_coupon
    from mounts.load.resolve.library import find_library
    from mounts.write.output import Wish

    made = make_coupon(find_request(find_library(None, library), printer, material, insert))
    names, folder = write_coupon(made, out, Wish(paper=paper))
    if as_json:
        from mounts.write.report import report_json

        click.echo(report_json(made.report), nl=False)
    else:
        _where(made, names, folder)
    return exit_code(made.report)


def _where(made: Coupon, names: tuple[str, ...], folder: Path) -> None:
    wrong = [finding for part in made.report.parts for finding in part.findings if finding.verdict != "pass"]
    for finding in {finding.advice: finding for finding in wrong}.values():
        click.echo(f"{finding.verdict}: {finding.what}: {finding.advice}")
    click.echo(f"{folder}: {', '.join(names)}, report.json")
    click.echo(f"{made.grams:.0f} g of {made.asked.material.name}, about {made.minutes:.0f} minutes of line at 60 mm/s")
    if exit_code(made.report):
        return
    click.echo(f"print coupon.3mf, measure as coupon.pdf says, fill in {folder / 'readings.yaml'}, then:")
    click.echo(f"mounts coupon {made.asked.printer.name} --readings {folder / 'readings.yaml'}")


def _result_text(name: str, file: Path, library: tuple[Path, ...], *, only_show: bool, as_json: bool) -> int:
    from mounts.calibrating.calibrate import calibrate, result_lines, write_printer
    from mounts.lengths import Units

    found = calibrate(name, file, library)
    if not only_show:
        write_printer(found)
    rows = list(result_lines(found.fitted, found.asked.printer, Units.MM if as_json else found.units))
    if as_json:
        _as_json(found, rows, only_show=only_show)
        return 0
    wide = [max(len(row[k]) for row in rows) for k in (0, 1)]
    for what, value, do in rows:
        click.echo(f"{what:{wide[0]}}  {value:{wide[1]}}  {do}".rstrip())
    if not found.entries:
        click.echo(f"\n{found.file} stays as it is: nothing was read that belongs there")
        return 0
    click.echo(f"\n{'would go' if only_show else 'written'} into {found.file}:")
    for (key, material), value in found.entries.items():
        click.echo(f"  {key}: {{{material}: {value}}}")
    return 0


def _as_json(found: Calibration, rows: list[tuple[str, str, str]], *, only_show: bool) -> None:
    import json

    values = [{"what": what.strip(), "value": value, "advice": do} for what, value, do in rows]
    written = [{"key": key, "material": name, "value": value} for (key, name), value in found.entries.items()]
    whole = {"schema": 1, "file": str(found.file), "written": not only_show, "values": values, "entries": written}
    click.echo(json.dumps(whole, indent=2, ensure_ascii=False))
