"""`mounts aim`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mounts.cli.following import following
from mounts.cli.options import ALL, AS_JSON, IN_LIBRARY, OUT, Named, examples, screen
from mounts.progress import report_stage

if TYPE_CHECKING:
    from mounts.aiming.values import AimReport

COLDEST, HOTTEST = -40.0, 90.0  # °C of a cabin


@click.command(
    short_help="Show how well a job or a kit faces the listener.",
    epilog=examples("mounts aim linnet-woofer", "mounts aim linnet-minibus --temperature 35"),
)
@click.argument("job", metavar="JOB|KIT", type=Named("job", "kit"))
@OUT
@click.option(
    "--temperature",
    type=click.FloatRange(COLDEST, HOTTEST),
    default=20.0,
    metavar="CELSIUS",
    help="Temperature of the cabin's air, for the speed of sound.",
)
@IN_LIBRARY
@ALL
@AS_JSON
def aim(*, job: str, out: Path, temperature: float, library: tuple[Path, ...], every: bool, as_json: bool) -> int:
    """Show what the aim of a JOB is worth, and what other tilts would be, without making the part; or of a whole kit.

    For every side: the angle between speaker axis and each listener's ears, the level that costs against frequency,
    what more tilt would do, and delays for the tuner; with --all a table of tilts and all of their clearances. Draws
    the level (left.level.png) and the mount cut along the axis with the line to the ear (left.section.png).

    Of a kit: the aim and delays of every speaker in a line; with --all the paths and levels too; no files.

    Ends with 0, 1 when the job's own aim breaks a limit, 2 when the input is wrong or its mount cannot be drawn, 4 when
    that is so of some of a kit's mounts.
    """
    from mounts.load.catalogue.folders import read_kind
    from mounts.load.catalogue.layers import locate

    file = locate(("job", "kit"), job, library)
    if read_kind(file) == "kit":
        return _kit(file, job, library, temperature, every=every, as_json=as_json)

    from mounts.load.resolve.job import load_job

    jobs = load_job(file, library)

    from mounts.aiming.evaluate import evaluate_aim
    from mounts.aiming.plot import figure_files
    from mounts.write.files import check_folder, publish, safe_name

    folder = out / safe_name(jobs[0].name)
    check_folder(folder)
    with following():
        found = evaluate_aim(jobs, temperature)
        report_stage("draw the level and the sections")
        files = figure_files(found)
    paths = [str(path) for path in publish(folder, files)]
    if as_json:
        from mounts.aiming.json_report import aim_json

        click.echo(aim_json(found, list(files)), nl=False)
    elif every:
        _show(found, paths)
    else:
        from mounts.aiming.screen import aim_screen

        console, width = screen()
        console.print(aim_screen(found, job, (str(folder), list(files)), width))
    return 1 if found.breaks_a_limit else 0


def _kit(path: Path, name: str, library: tuple[Path, ...], temperature: float, *, every: bool, as_json: bool) -> int:
    """Evaluate the aim of all of a kit's speakers."""
    from mounts.load.resolve.kit import load_kit

    kit = load_kit(path, library)

    from mounts.aiming.kit import evaluate_kit

    with following():
        found = evaluate_kit(kit, temperature)
    if as_json:
        from mounts.aiming.json_report import kit_json

        click.echo(kit_json(found), nl=False)
    elif every:
        from mounts.aiming.kit_tables import kit_table

        screen()[0].print(kit_table(found))
    else:
        from mounts.aiming.screen import kit_screen

        console, width = screen()
        console.print(kit_screen(found, name, width))
    return 4 if found.refused else 1 if found.aimed.breaks_a_limit else 0


def _show(found: AimReport, paths: list[str]) -> None:
    from mounts.aiming.tables import aim_table

    screen()[0].print(aim_table(found))
    if paths:
        click.echo(f"\nlook at {', '.join(paths)}")
