"""`mounts build`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY, OUT, PAPER, Named
from mounts.cli.shown import exit_code, show

if TYPE_CHECKING:
    from mounts.findings.report import Report

HALF_SLICE = ".b.first-check."
FORMATS = ("stl", "step", "3mf", "png", "pdf", "dxf", "html")


def _formats(_: click.Context, __: click.Parameter, value: str | None) -> tuple[str, ...]:
    """The formats of --only, each known."""
    if value is None:
        return FORMATS
    wanted = tuple(dict.fromkeys(word.strip().lower() for word in value.split(",") if word.strip()))
    unknown = [word for word in wanted if word not in FORMATS]
    if unknown or not wanted:
        raise click.BadParameter(f"{', '.join(unknown) or 'nothing'} is no format; formats: {', '.join(FORMATS)}")
    return wanted


@click.command()
@click.argument("job", metavar="JOB|KIT", type=Named("job", "kit"))
@OUT
@IN_LIBRARY
@click.option("--only", callback=_formats, metavar="FORMATS", help="Only these, as stl,step.")
@PAPER
@AS_JSON
@click.option("--first-check", is_flag=True, help="Make only a thin slice of the base, to hold against the door.")
@click.option("--dummy", is_flag=True, help="Make only thin walls where mount and speaker end, to try window and trim.")
@click.option("--workers", type=click.IntRange(1, 64), help="For a kit: so many parts at a time; one a core.")
@click.option("--cluster", metavar="ADDRESS", help="For a kit: work on this dask scheduler, as tcp://10.0.0.5:8786.")
@click.option("--trusted-network", is_flag=True, help="With --cluster: its network is yours alone, so tcp:// will do.")
@click.option(
    "--time-limit", type=click.FloatRange(1), default=600.0, help="For a kit: seconds one part may take; 600."
)
@click.option("--fresh", is_flag=True, help="For a kit: make everything anew, also what has not changed.")
def build(
    *,
    job: str,
    out: Path,
    library: tuple[Path, ...],
    only: tuple[str, ...],
    paper: Literal["a4", "letter"],
    as_json: bool,
    first_check: bool,
    dummy: bool,
    workers: int | None,
    cluster: str | None,
    trusted_network: bool,
    time_limit: float,
    fresh: bool,
) -> int:
    """Make a JOB: plan, build, check and write every side that it asks for; or a kit: all its jobs.

    Ends with 0 when all is well, only warned of or to be finished by hand, 1 when something drawable breaks a limit,
    2 when the input is wrong, the part cannot be drawn or the files cannot be written there, 3 when a kernel fails,
    4 when some of a kit's parts were not made.
    """
    if first_check and dummy:
        raise click.UsageError("--first-check and --dummy are two things; make one after the other")
    from mounts.load.folders import kind_in  # noqa: PLC0415
    from mounts.load.layers import locate  # noqa: PLC0415

    file = locate(("job", "kit"), job, library)
    if kind_in(file) == "kit":
        from mounts.cli.kit import Hands, build_kit  # noqa: PLC0415
        from mounts.write.output import Wish  # noqa: PLC0415

        if first_check or dummy:
            raise click.UsageError("--first-check and --dummy are for one job; give one of the kit's jobs")
        hands = Hands(workers, cluster, time_limit, fresh, trusted_network)
        return build_kit(file, library, out, Wish(only, paper), hands, as_json=as_json)

    from mounts.load.job import load_job  # noqa: PLC0415

    jobs = load_job(file, library)  # wrong input is answered before anything heavier is imported

    from mounts import pipeline, trials  # noqa: PLC0415
    from mounts.write.output import Wish  # noqa: PLC0415

    wish = Wish(only, paper)
    if first_check:
        names, folder = trials.write_slices(jobs, out, wish)
        click.echo(f"{folder}: {', '.join(names)}")
        if any(HALF_SLICE in name for name in names):
            click.echo("the mount comes in two halves, and so does its slice: print both, and push their ends together")
            click.echo("on the face; every screw must go in by hand, and the opening must show")
        return 0
    if dummy:
        report, folder = trials.write_dummies(jobs, out, wish)
        return _dummies(report, folder, as_json=as_json)
    report, folder = pipeline.write(jobs, out, wish)
    show(report, as_json=as_json, pictures="png" in only)
    if not as_json:
        _where_to_look(report, folder)
    return exit_code(report)


def _dummies(report: Report, folder: Path, *, as_json: bool) -> int:
    """What was written of the dummies, where they need support, and what to do with them."""
    if as_json:
        show(report, as_json=True)
        return exit_code(report)
    for part in report.parts:
        click.echo(f"{folder}: {', '.join(part.files)}")
        for finding in part.findings:
            if finding.verdict != "pass":
                click.echo(f"  {finding.verdict}: {finding.what}: {finding.advice}")
    click.echo("print each half as it lies and screw them together through the opening with two M3 screws")
    click.echo(
        "on the panel's own fixings: wind the window down and up by hand, then close the trim over it; nothing may"
    )
    click.echo("touch. Battery off near airbags; no hand in the door while the window moves.")
    return exit_code(report)


def _where_to_look(report: Report, folder: Path) -> None:
    """What to look at first: the worst finding, the pictures, the papers."""
    from mounts.papers.words import worst  # noqa: PLC0415
    from mounts.write.lettering import plain  # noqa: PLC0415

    names = [name for part in report.parts for name in part.files]
    pictures = [str(folder / name) for name in names if name.endswith(".png")]
    papers = [str(folder / name) for name in report.files]
    pages = [folder / name for name in names if name.endswith(".html")]
    click.echo(f"\n{len(names) + len(papers)} files and report.json are in {folder}/")
    found = [finding for part in report.parts if (finding := worst(part.findings)) is not None]
    if found:
        first = worst(found)
        assert first is not None
        click.echo(f"look here first: {first.verdict.upper()} {plain(first.what)}")
        if first.advice:
            click.echo(f"  → {plain(first.advice)}")
    if pictures:
        click.echo(f"look at {', '.join(pictures)}")
    if pages:
        size = sum(page.stat().st_size for page in pages) / len(pages) / 1e6
        told = ", ".join(map(str, pages))
        click.echo(f"turn, cut and measure it in {told}: open in a browser, {size:.1f} MB{' each' * (len(pages) > 1)}")
    if papers:
        click.echo(f"print {', '.join(papers)} at 100 %: hold its template against the face before you print the part")
